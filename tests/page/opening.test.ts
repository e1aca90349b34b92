/** The page where something is amiss: an old browser, one that keeps nothing, a file that was damaged on its way. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { inflateRawSync } from 'node:zlib';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { base91, fromBase91 } from '../../src/page/base91.js';
import { chromiumPath, newDevice, openFile, startBrowser } from '../support/browser.js';
import { program } from '../support/program.js';

let folder = '';
let file = '';
let browser: Browser;
let device: BrowserContext;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-opening-'));
  file = join(folder, 'tufts.html');
  const { status, stderr } = program(['page', 'tarn-wood-tufts', '--out', file]);
  expect([status, stderr]).toEqual([0, expect.stringContaining('written')]);
  if (chromiumPath !== undefined) browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

const beginButton = (page: Page) => page.getByRole('button', { name: 'Key out a find' });
const leads = (page: Page) => page.locator('button.lead');
const finds = (page: Page) => page.locator('ul.finds li');

/** Begins a find, answers its first couplet, and goes back to the first screen. */
async function keyOut(page: Page): Promise<void> {
  await beginButton(page).click();
  await leads(page).nth(1).click();
  await page.locator('details.answers').waitFor();
  await page.goBack();
  await beginButton(page).waitFor();
}

const withoutStreams = () => {
  Reflect.deleteProperty(globalThis, 'DecompressionStream');
};

/** Takes away what not all browsers of April 2023 had. */
const withoutNews = () => {
  const gone: readonly (readonly [object, readonly string[]])[] = [
    [globalThis, ['DecompressionStream', 'structuredClone', 'Iterator', 'scheduler', 'requestIdleCallback']],
    [Array.prototype, ['findLast', 'findLastIndex', 'toSorted', 'toReversed', 'toSpliced', 'with']],
    [Array, ['fromAsync']],
    [Object, ['groupBy']],
    [Map, ['groupBy']],
    [Promise, ['withResolvers', 'try']],
    [String.prototype, ['isWellFormed', 'toWellFormed']],
    [Set.prototype, ['union', 'intersection', 'difference', 'isSubsetOf', 'isSupersetOf', 'isDisjointFrom']],
    [Uint8Array.prototype, ['toSorted', 'toReversed', 'with', 'toBase64', 'toHex']],
    [Intl, ['Segmenter']],
    [navigator, ['storage']],
  ];
  for (const [holder, names] of gone) for (const name of names) Reflect.deleteProperty(holder, name);
};

/** The page with one letter of what was packed in an element changed, so that it can still be unpacked. */
function damaged(id: 'style' | 'program' | 'key'): string {
  const html = readFileSync(file, 'utf8');
  const element = new RegExp(`(?<=id="${id}" data-bytes="(\\d+)">)[^<]+`).exec(html);
  if (element === null) throw new Error(`the page has no ${id}`);
  const bytes = fromBase91(element[0]).slice(0, Number(element[1]));
  const sound = inflateRawSync(bytes.subarray(2, -4)).toString();
  for (let at = 20; at < bytes.length - 4; at++) {
    const changed = Uint8Array.from(bytes, (byte, i) => (i === at ? byte ^ 16 : byte));
    try {
      const text = inflateRawSync(changed.subarray(2, -4)).toString();
      if (text.length !== sound.length || text === sound) continue;
      if (id === 'key') JSON.parse(text);
    } catch {
      continue;
    }
    const path = join(folder, `damaged-${id}.html`);
    writeFileSync(
      path,
      html.replace(element[0], () => base91(changed)),
    );
    return path;
  }
  throw new Error('each changed bit was seen');
}

describe.skipIf(chromiumPath === undefined)('a page', () => {
  beforeEach(async () => {
    device = await newDevice(browser);
  });
  afterEach(() => device.close());

  it('works in a browser of April 2023, which cannot unpack by itself', async () => {
    await device.addInitScript(withoutNews);
    const opened = await openFile(device, file);
    const { page } = opened;
    await keyOut(page);
    await finds(page).locator('a').click();
    await page.getByRole('button', { name: 'Result' }).click();
    await page.locator('.verdict').waitFor();
    const [saved] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Save the record as a file' }).first().click(),
    ]);
    const path = join(folder, 'saved.record.yaml');
    await saved.saveAs(path);
    await page.goto(page.url().replace(/#.*/, '#'));
    await page.locator('#take-in').setInputFiles(path);
    await page.getByText('is here already').waitFor();
    await finds(page).locator('a').click();
    await page.locator('a[href^="#find"]').first().click();
    await page.locator('details.answers').waitFor();
    await page.locator('a[href^="#sheet"]').first().click();
    await page.locator('main.sheet').waitFor();
    await page.goBack();
    await page.locator('a[href="#picture"]').first().click();
    await page.locator('main.picture').waitFor();
    opened.expectQuiet();
  });

  it.each([
    ['program', true],
    ['program', false],
    ['style', true],
    ['key', true],
    ['key', false],
  ] as const)('says that its %s was damaged (browser unpacks: %s)', async (id, streams) => {
    if (!streams) await device.addInitScript(withoutStreams);
    const { page } = await openFile(device, damaged(id));
    await page.locator('#failed').waitFor({ state: 'visible' });
    expect(await page.locator('#failed').textContent()).toContain('damaged on its way');
    expect(await beginButton(page).count()).toBe(0);
  });

  it.each([
    ['has no store', () => Object.defineProperty(globalThis, 'indexedDB', { value: undefined })],
    [
      'refuses it',
      () => {
        IDBFactory.prototype.open = () => {
          throw new DOMException('private', 'SecurityError');
        };
      },
    ],
  ])(
    'keys out and lists the first find in a browser that %s, and says that it is not kept',
    async (_, amiss) => {
      await device.addInitScript(amiss);
      const opened = await openFile(device, file);
      const { page } = opened;
      await page.locator('.trouble').waitFor();
      await keyOut(page);
      await expect.poll(() => finds(page).count()).toBe(1);
      await finds(page).locator('a').click();
      await page.locator('details.answers').waitFor();
      expect(await page.locator('.trouble').textContent()).toContain('keeps nothing');
      opened.expectQuiet();
    },
  );

  it('does not wait for a store that never opens', async () => {
    await device.clock.install();
    await device.addInitScript(() => {
      IDBFactory.prototype.open = () => ({}) as IDBOpenDBRequest;
    });
    const opened = await openFile(device, file);
    const { page } = opened;
    await keyOut(page);
    expect(await page.locator('.trouble').count()).toBe(0);
    await device.clock.fastForward(11_000);
    await page.locator('.trouble').waitFor();
    await expect.poll(() => finds(page).count()).toBe(1);
    opened.expectQuiet();
  });

  it.each(['#find/%', '#result/nobody', '#details/', '#%E0%A4%A'])(
    'opened at %s shows the first screen',
    async (hash) => {
      const opened = await openFile(device, file, hash);
      const { page } = opened;
      await beginButton(page).waitFor();
      await keyOut(page);
      await page.evaluate((to) => {
        location.hash = to;
      }, `${hash}0`);
      await beginButton(page).waitFor();
      await keyOut(page);
      await expect.poll(() => finds(page).count()).toBe(2);
      opened.expectQuiet();
    },
  );
});
