/**
 * How soon the page of a key can be answered, and how soon a tap shows the next couplet, on a processor that DevTools slow
 * down six times; and how large the page of a key of 100 couplets is. The large key has 1,000 couplets, and 500 of its taxa are
 * described. A page with nothing but a button takes a quarter of a second so slowed. `npm run bench -- page`.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { chromiumPath, launching } from '../support/chromium.mjs';
import { generateKey } from './generate.mjs';

const program = fileURLToPath(new URL('../../bin/keywright.js', import.meta.url));
const SLOWED = 6;

if (chromiumPath === undefined) {
  console.log('page: not measured, for no Chromium was found; CHROMIUM can name one');
  process.exit(0);
}

const folder = mkdtempSync(join(tmpdir(), 'keywright-bench-page-'));
const browser = await chromium.launch(launching);
try {
  const small = pageOf(100);
  const kilobytes = statSync(small).size / 1024;
  report('page of 100 couplets', `${kilobytes.toFixed(0)} KB`, '150 KB', kilobytes <= 150);
  const smallFirsts = [];
  for (let n = 0; n < 9; n++) smallFirsts.push((await measure(small)).first);
  const soon = median(smallFirsts);
  report(
    `first answer possible, 100 couplets, slowed ${SLOWED} times`,
    `${soon.toFixed(0)} ms`,
    '1000 ms',
    soon <= 1000,
  );
  const file = pageOf(1000);
  const firsts = [];
  const begins = [];
  const taps = [];
  for (let n = 0; n < 9; n++) {
    const measured = await measure(file);
    firsts.push(measured.first);
    begins.push(measured.begin);
    taps.push(...measured.taps);
  }
  const first = median(firsts);
  report(
    `first answer possible, 1,000 couplets, slowed ${SLOWED} times`,
    `${first.toFixed(0)} ms`,
    '1000 ms',
    first <= 1000,
  );
  const begin = median(begins);
  report('a tap then shows the first couplet', `${begin.toFixed(0)} ms`, '100 ms', begin <= 100);
  const slow = taps.sort((a, b) => a - b)[Math.floor(taps.length * 0.95)] ?? 0;
  report(`a tap shows the next couplet (95 of 100)`, `${slow.toFixed(0)} ms`, '100 ms', slow <= 100);
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}

/** The page of a key with so many couplets, whose taxa are described. */
function pageOf(couplets) {
  const key = join(folder, `k${couplets}.key.yaml`);
  const out = join(folder, `k${couplets}.html`);
  writeFileSync(key, generateKey({ couplets, seed: 5, described: 500 }).text);
  const { status, stderr } = spawnSync(process.execPath, [program, 'page', key, '--out', out], {
    encoding: 'utf8',
  });
  if (status !== 0) throw new Error(stderr);
  return out;
}

/** Opens the page and keys one find out; times in milliseconds, from within the page. */
async function measure(file) {
  const device = await browser.newContext({ viewport: { width: 390, height: 780 }, offline: true });
  const page = await device.newPage();
  const session = await device.newCDPSession(page);
  await session.send('Emulation.setCPUThrottlingRate', { rate: SLOWED });
  await page.addInitScript(() => {
    new MutationObserver((_, watching) => {
      if (document.querySelector('main button.strong') === null) return;
      watching.disconnect();
      console.log(performance.now());
    }).observe(document, { childList: true, subtree: true });
  });
  // Nothing is asked of the page before it is ready: what asks would be slowed as much.
  const told = page.waitForEvent('console');
  await page.goto(pathToFileURL(file).href, { waitUntil: 'commit' });
  const first = Number((await told).text());
  // A person reads the first screen for a moment.
  await page.waitForTimeout(500);
  const begin = await page.evaluate(
    () =>
      new Promise((done) => {
        const from = performance.now();
        new MutationObserver((_, watching) => {
          if (document.querySelector('button.lead') === null) return;
          watching.disconnect();
          requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - from)));
        }).observe(document, { childList: true, subtree: true });
        document.querySelector('main button.strong').click();
      }),
  );
  const taps = [];
  for (let n = 0; n < 12; n++) {
    const time = await page.evaluate(
      (which) =>
        new Promise((done) => {
          const leads = [...document.querySelectorAll('li:not(.out) > button.lead:not(.cant-tell)')];
          const lead = leads[which % leads.length];
          if (lead === undefined) return done(undefined);
          const from = performance.now();
          lead.click();
          // Twice: the first frame is asked for before it is drawn, the second comes after.
          requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - from)));
        }),
      n,
    );
    if (time === undefined) break;
    taps.push(time);
  }
  await device.close();
  return { first, begin, taps };
}

function median(numbers) {
  return [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)] ?? 0;
}

function report(what, found, target, holds) {
  console.log(`${holds ? 'ok  ' : 'MISS'} ${what}: ${found} (target ${target})`);
}
