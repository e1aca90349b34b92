/** Keys are not trusted: whatever their texts hold comes out as text, on every screen. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { contentsOf } from '../../src/commands/page/contents.js';
import { pageHtml } from '../../src/commands/page/html.js';
import { readYaml } from '../../src/key/document.js';
import { emptyShelf } from '../../src/key/load.js';
import type { PageData } from '../../src/page/data.js';
import { keyMark } from '../../src/record/key-mark.js';
import { chromiumPath, newDevice, openFile, startBrowser } from '../support/browser.js';
import { root } from '../support/program.js';

let folder = '';
let browser: Browser;
let device: BrowserContext;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-hostile-'));
  if (chromiumPath === undefined) return;
  browser = await startBrowser();
  device = await newDevice(browser);
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Texts that would do something if any of them were taken for more than text. */
const HOSTILE = [
  `<img src=x onerror="globalThis.hit='img'">`,
  `</script><script>globalThis.hit='script'</script>`,
  `"><svg onload="globalThis.hit='svg'">`,
  `' onmouseover='globalThis.hit="handler"' style='position:fixed;inset:0`,
  `<style>*{display:none!important}</style>`,
  `<a href="javascript:globalThis.hit='link'">here</a>`,
  `javascript:globalThis.hit='address'`,
  `[here](javascript:globalThis.hit='markdown')`,
  `<iframe src="data:text/html,<script>parent.hit=1</script>"></iframe>`,
  `<!--`,
  `{{constructor.constructor('globalThis.hit=1')()}} \${globalThis.hit=1}`,
];

/** Properties of a key whose value is text for people, as its schema says. */
function textProperties(): ReadonlySet<string> {
  const schema = readFileSync(join(root, 'schemas/key.schema.json'), 'utf8');
  const found = [...schema.matchAll(/"([\w-]+)": \{\s*"\$ref": "#\/\$defs\/(?:text|phrase|name)"/g)].map(
    (m) => m[1] ?? '',
  );
  return new Set([...found, 'authors', 'common', 'tools', 'lead', 'title', 'caption', 'name', 'note']);
}

const texts = textProperties();

/** The data with a hostile text behind every text for people, each in its turn. */
function poisoned(data: unknown, property: string, count: { n: number }): unknown {
  if (typeof data === 'string')
    return texts.has(property) ? `${data} ${HOSTILE[count.n++ % HOSTILE.length]}` : data;
  if (Array.isArray(data)) return data.map((item) => poisoned(item, property, count));
  if (typeof data !== 'object' || data === null) return data;
  return Object.fromEntries(
    Object.entries(data).map(([name, value]) => [name, poisoned(value, name, count)]),
  );
}

const KEY = `keywright: 1
id: caps
title: Caps
version: 1.0.0
date: 2026-10-01
authors: [A. Author]
licence: CC-BY-4.0
sources: {book: {cite: A book}}
scope: {group: caps, regions: [GB-CMA], complete: false, note: In one wood}
note: A note
glossary: {ring: A collar}
characters:
  ring:
    name: ring on the stem
    states: {present: a ring, absent: no ring}
    look: Look from below
    tools: [lens]
    perishable: true
    wait: 6 h
    figures: [{file: ring.png, caption: Ring, by: A. Drawer}]
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa, note: Beware, figures: [{file: a.png, caption: Ring}]}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Pretty, taxon: bb}
    - {lead: Not pretty, taxon: cc}
taxa:
  aa: {name: Aa aa, authority: L., common: [angel], concern: {level: deadly, effect: liver failure, onset: 6 h, source: a book}, habitat: wood, note: A note, figures: [{file: aa.png, caption: Aa}]}
  bb: {name: Bb bb, common: [bell], concern: {level: unknown}}
  cc: {name: Cc cc, concern: {level: severe, effect: cramps, source: a book}}
`;

describe.skipIf(chromiumPath === undefined)('a hostile key', () => {
  it('is shown as text on every screen, and does nothing', async () => {
    const count = { n: 0 };
    const text = JSON.stringify(poisoned(readYaml(KEY, 'caps.key.yaml').data, '', count));
    expect(count.n).toBeGreaterThan(30);
    const contents = contentsOf(text, 'caps.key.yaml', emptyShelf);
    if (contents === undefined) throw new Error('the key is not sound');
    const { chain, files } = contents;
    const source = `data:image/svg+xml;base64,${Buffer.from(
      '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" onload="parent.hit=1"><script>parent.hit=1;top.hit=1</script><image href="http://127.0.0.1:9/x"/></svg>',
    ).toString('base64')}`;
    const data: PageData = {
      program: `keywright </script>${HOSTILE[1]}`,
      made: '2026-10-18',
      centre: `0800"><img src=x onerror="globalThis.hit=1">`,
      mark: keyMark(chain),
      main: 'caps.key.yaml',
      files,
      figures: { 'ring.png': { source }, 'a.png': { source }, 'aa.png': { source } },
    };
    const file = join(folder, 'hostile.html');
    writeFileSync(file, pageHtml(data, chain.main));
    const opened = await openFile(device, file);
    const { page } = opened;
    let shown = '';
    const look = async (screen: string) => {
      const {
        hit,
        elements,
        links,
        visible,
        text: seen,
      } = await page.evaluate(() => {
        for (const folded of document.querySelectorAll('details')) folded.open = true;
        return {
          hit: (globalThis as { hit?: unknown }).hit ?? null,
          elements: [
            ...document.querySelectorAll(
              'img[src="x"], svg:not(.swatch), iframe, style:not(head > style), [style], [onerror], [onload], [onmouseover]',
            ),
          ].map((e) => e.outerHTML),
          links: [...document.querySelectorAll('[href], [src], [action]')]
            .map((e) => e.getAttribute('href') ?? e.getAttribute('src') ?? e.getAttribute('action') ?? '')
            .filter((address) => !/^(#|tel:[+\d]|data:image\/|blob:)/.test(address)),
          visible: document.querySelector('main')?.getBoundingClientRect().height ?? 0,
          text: document.body.textContent ?? '',
        };
      });
      expect({ screen, hit, elements, links }).toEqual({ screen, hit: null, elements: [], links: [] });
      expect(visible).toBeGreaterThan(50);
      shown += seen;
    };
    const button = (name: string) => page.getByRole('button', { name, exact: true });
    await button('Key out a find').waitFor();
    await look('home');
    await page.locator('a[href="#key"]').first().click();
    await page.locator('h1').first().waitFor();
    await look('key');
    await page.goBack();
    await button('Key out a find').click();
    await page.locator('button.lead').first().waitFor();
    await look('couplet');
    await button('Note').click();
    await page
      .locator('dialog[open] textarea, dialog[open] input')
      .first()
      .fill(HOSTILE[0] ?? '');
    await button('Keep').click();
    await page.locator('button.lead').nth(1).click();
    await expect.poll(() => page.locator('details.answers').count()).toBe(1);
    await look('second couplet');
    await button('Result').click();
    await page.locator('.verdict').waitFor();
    await look('result');
    await page.goBack();
    await page.locator('nav.way a[href^="#details"]').click();
    await page.locator('main.details').waitFor();
    await page.locator('#detail-place').fill(HOSTILE[2] ?? '');
    await page.keyboard.press('Tab');
    await look('details');
    await page.locator('nav.way a[href="#"]').click();
    await button('Key out a find').waitFor();
    await look('finds');
    // Every kind of them was there to be seen.
    for (const hostile of HOSTILE) expect(shown.replace(/\s+/g, ' ')).toContain(hostile.replace(/\s+/g, ' '));
    opened.expectQuiet();
  });
});
