/** A page without a pointer: every control is reached with Tab, what has the focus is seen, and the focus is never lost. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { chromiumPath, newDevice, openFile, startBrowser } from '../support/browser.js';
import { program } from '../support/program.js';
import { answers, button, focused, heading, PICTURE, reach, unreached } from './hands.js';

let folder = '';
let file = '';
let browser: Browser;
let device: BrowserContext;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-keyboard-'));
  file = join(folder, 'tufts.html');
  const { status, stderr } = program([
    'page',
    'tarn-wood-tufts',
    '--out',
    file,
    '--poison-centre',
    '0800 0100 200',
  ]);
  expect([status, stderr]).toEqual([0, expect.stringContaining('written')]);
  if (chromiumPath !== undefined) browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

const press = (page: Page, key: string) => page.keyboard.press(key);

/** Reaches a control and presses Enter on it. */
async function enter(page: Page, name: RegExp, key: 'Tab' | 'Shift+Tab' = 'Tab'): Promise<void> {
  await reach(page, name, key);
  await press(page, 'Enter');
}

/** Opens a dialog by the control that has the focus, sees that Tab stays in it, and leaves it with Escape. */
async function dialogByKeyboard(page: Page): Promise<void> {
  const from = await focused(page);
  await press(page, 'Enter');
  await page.locator('dialog[open]').waitFor();
  const inside = () => page.evaluate(() => document.activeElement?.closest('dialog') !== null);
  expect(await inside()).toBe(true);
  expect(await unreached(page)).toEqual([]);
  for (let n = 0; n < 12; n++) {
    await press(page, n % 2 === 0 ? 'Tab' : 'Shift+Tab');
    expect((await focused(page)) === 'lost' || (await inside())).toBe(true);
  }
  await press(page, 'Escape');
  await expect.poll(() => page.locator('dialog').count()).toBe(0);
  expect(await focused(page)).toBe(from);
}

/** Waits until a heading has the focus, as on a new screen, and sees that Tab reaches all that follows. */
async function newScreen(page: Page, screen: string): Promise<void> {
  await page.locator(screen).waitFor();
  await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe('H1');
  expect(await unreached(page)).toEqual([]);
}

describe.skipIf(chromiumPath === undefined)('a page worked with the keyboard alone', () => {
  beforeEach(async () => {
    device = await newDevice(browser);
  });
  afterEach(() => device.close());

  it.each([
    [390, '112.5%'],
    [320, '225%'],
  ])(
    'asks its couplets, takes a doubt and a note, and shows the result, at %i px with text of %s',
    async (width, size) => {
      await device.close();
      device = await newDevice(browser, width);
      const { page } = await openFile(device, file);
      await button(page, 'Key out a find').waitFor();
      await page.evaluate((text) => {
        document.documentElement.style.fontSize = text;
      }, size);
      expect(await unreached(page)).toEqual([]);
      await enter(page, /About this key/);
      await newScreen(page, 'h2:has-text("Sources")');
      await enter(page, /Finds$/);
      await newScreen(page, 'main.home');
      await enter(page, /Key out a find/);
      await newScreen(page, 'main.keying');
      await enter(page, /How to look/);
      await reach(page, /Enlarge/);
      await dialogByKeyboard(page);
      await enter(page, /button b/);
      await expect.poll(() => answers(page)).toBe(1);
      // One goes on reading at the couplet that is asked now.
      expect(await focused(page)).toMatch(/ h1 Couplet 3/);
      for (const [name, text] of [
        [/ Doubt/, 'wet light'],
        [/ Note/, 'by the tarn'],
      ] as const) {
        await reach(page, name);
        await dialogByKeyboard(page);
        await press(page, 'Enter');
        await page.locator('dialog[open]').waitFor();
        await page.keyboard.type(text);
        await enter(page, / Keep/);
        await expect.poll(() => page.locator('dialog').count()).toBe(0);
        expect(await focused(page)).toMatch(name);
      }
      await reach(page, / Seen on/);
      await dialogByKeyboard(page);
      // Back to where there is no answer to take back.
      await enter(page, / Back/, 'Shift+Tab');
      await expect.poll(() => answers(page)).toBe(0);
      await expect.poll(() => focused(page)).toMatch(/ h1 Couplet 1/);
      for (const n of [1, 2]) {
        await enter(page, /button b/);
        await expect.poll(() => answers(page)).toBe(n);
      }
      await enter(page, /Your answers/);
      await enter(page, /Answer 1 again/);
      await expect.poll(() => focused(page)).toMatch(/ h1 Couplet 1/);
      await enter(page, / Result/);
      await newScreen(page, '.verdict');
      await enter(page, /All that is known/);
      expect(await focused(page)).toMatch(/All that is known/);
      await enter(page, /Go on answering/, 'Shift+Tab');
      await newScreen(page, 'main.keying');
    },
  );

  it('is filled in any order, shows the picture, and describes the find', async () => {
    const { page } = await openFile(device, file);
    await button(page, 'Key out a find').waitFor();
    await enter(page, /Key out a find/);
    await newScreen(page, 'main.keying');
    await enter(page, /In any order/);
    await newScreen(page, 'main.sheet');
    await reach(page, /no trace of one/);
    await press(page, 'Space');
    await expect.poll(() => page.locator('button[aria-pressed="true"]').count()).toBe(1);
    expect(await focused(page)).toMatch(/no trace of one/);
    await reach(page, /a ring, or a clear zone/, 'Shift+Tab');
    // What is measured: a wrong text stays to be mended, a right one is taken, and the field keeps the focus.
    await reach(page, /input In cm/);
    const field = page.locator('#number-cap-width');
    await page.keyboard.type('abc');
    await press(page, 'Enter');
    await page.locator('#number-cap-width-problem').waitFor();
    expect(await field.inputValue()).toBe('abc');
    expect(await focused(page)).toMatch(/input In cm/);
    await press(page, 'Control+A');
    await page.keyboard.type('3');
    await press(page, 'Enter');
    await expect.poll(() => page.locator('#number-cap-width-problem').count()).toBe(0);
    await expect.poll(() => field.inputValue()).toBe('3 cm');
    expect(await focused(page)).toMatch(/input In cm/);
    await press(page, 'Control+A');
    await press(page, 'Delete');
    await press(page, 'Enter');
    expect(await focused(page)).toMatch(/input In cm/);
    // What is to be looked at next leads to its line.
    const next = page.locator('button.link').first();
    const named = (await next.textContent()) ?? '';
    await enter(page, new RegExp(`button ${named.slice(0, 12)}`), 'Shift+Tab');
    expect(await focused(page)).toMatch(new RegExp(`legend ${named.slice(0, 12)}`));
    await reach(page, / Seen on/);
    await dialogByKeyboard(page);
    await press(page, 'Enter');
    await page.locator('dialog[open]').waitFor();
    await press(page, 'ArrowDown');
    await enter(page, / Keep/);
    await expect.poll(() => focused(page)).toMatch(/ Seen on/);
    expect(await button(page, 'Seen on').textContent()).toBe('Specimen a');
    await enter(page, /Couplet by couplet/, 'Shift+Tab');
    await newScreen(page, 'main.keying');

    await enter(page, /Picture of the key/);
    await newScreen(page, 'main.picture');
    for (const [name, limit] of [
      [/ Larger/, 4],
      [/ Smaller/, 8],
    ] as const) {
      await reach(page, name, 'Shift+Tab');
      for (let n = 0; n < limit; n++) await press(page, 'Enter');
      await page.waitForTimeout(100);
      expect(await focused(page)).toMatch(name);
    }
    await reach(page, / Larger/);
    for (let n = 0; n < 5; n++) await press(page, 'Enter');
    await reach(page, /section Picture of the key/);
    const left = () => page.locator('.frame').evaluate((frame) => frame.scrollLeft);
    const before = await left();
    await press(page, 'ArrowRight');
    await expect.poll(left).toBeGreaterThan(before);
    await enter(page, / a /, 'Shift+Tab');
    await newScreen(page, 'main.keying');

    await enter(page, /\d\d:\d\d UTC/);
    await newScreen(page, 'main.details');
    await reach(page, /input Found on/);
    await page.keyboard.type('yesterday');
    await press(page, 'Enter');
    await page.locator('#detail-date-problem').waitFor();
    // What is wrong stays, to be mended.
    expect(await page.locator('#detail-date').inputValue()).toBe('yesterday');
    await enter(page, /Put in today/);
    await expect.poll(() => page.locator('#detail-date').inputValue()).toMatch(/^\d{4}-\d\d-\d\d$/);
    for (let n = 1; n < 3; n++) {
      const [chooser] = await Promise.all([
        page.waitForEvent('filechooser'),
        enter(page, /Take a photograph/),
      ]);
      await chooser.setFiles(PICTURE);
      await expect.poll(() => page.locator('figure img').count()).toBe(n);
    }
    for (let n = 1; n >= 0; n--) {
      await enter(page, / Remove/, 'Shift+Tab');
      await expect.poll(() => page.locator('figure').count()).toBe(n);
      await expect.poll(() => focused(page)).not.toBe('lost');
    }
  });

  it('hands out several finds, takes them in, and removes them', async () => {
    const { page } = await openFile(device, file);
    for (const called of ['TH-1', 'TH-2']) {
      await button(page, 'Key out a find').waitFor();
      await enter(page, /Key out a find/);
      await newScreen(page, 'main.keying');
      await enter(page, /\d\d:\d\d UTC/);
      await newScreen(page, 'main.details');
      await reach(page, /input Called/);
      await press(page, 'Control+A');
      await page.keyboard.type(called);
      await press(page, 'Enter');
      await expect.poll(() => heading(page).textContent()).toBe(called);
      await enter(page, /Finds$/, 'Shift+Tab');
      await newScreen(page, 'main.home');
    }
    await reach(page, /Hand out several/);
    await dialogByKeyboard(page);
    await press(page, 'Enter');
    await page.locator('dialog[open]').waitFor();
    await reach(page, /input TH-2/);
    await press(page, 'Space');
    const [saved] = await Promise.all([page.waitForEvent('download'), enter(page, /Save as a file/)]);
    const path = join(folder, 'one.zip');
    await saved.saveAs(path);
    await expect.poll(() => focused(page)).toMatch(/Hand out several/);

    for (const left of [1, 0]) {
      await reach(page, /Remove TH/, 'Shift+Tab');
      await dialogByKeyboard(page);
      await press(page, 'Enter');
      await page.locator('dialog[open]').waitFor();
      await enter(page, /button Remove$/);
      await expect.poll(() => page.locator('ul.finds li').count()).toBe(left);
      await expect.poll(() => focused(page)).toMatch(/ h/);
    }
    const [chooser] = await Promise.all([page.waitForEvent('filechooser'), enter(page, /Take in a record/)]);
    await chooser.setFiles(path);
    await newScreen(page, 'main.keying');
    expect(await page.locator('nav.way').textContent()).toContain('TH-1');
  });
});
