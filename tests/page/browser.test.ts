/** The page as a person meets it: in a real Chromium, from a file, without a network. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import axe from 'axe-core';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { readArchive } from '../../src/archive/archive.js';
import { whole } from '../record/making.js';
import { chromiumPath, newDevice, openFile, startBrowser } from '../support/browser.js';
import { program } from '../support/program.js';
import { answers, asked, begin, button, heading, leads, PICTURE, take } from './hands.js';

const KEY = 'tarn-wood-tufts';
let folder = '';
let file = '';
let browser: Browser;
let device: BrowserContext;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-page-'));
  file = join(folder, 'tufts.html');
  const { status, stderr } = program(['page', KEY, '--out', file, '--poison-centre', '0800 0100 200']);
  expect([status, stderr]).toEqual([0, expect.stringContaining('written')]);
  if (chromiumPath !== undefined) browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

async function showResult(page: Page): Promise<void> {
  await button(page, 'Result').click();
  await page.locator('.verdict').waitFor();
}

/** Goes through every screen, all that is folded opened, and calls at each. */
async function everyScreen(page: Page, look: (screen: string) => Promise<void>): Promise<void> {
  const unfold = () =>
    page.evaluate(() => {
      for (const folded of document.querySelectorAll('details')) folded.open = true;
    });
  const at = async (screen: string) => {
    await unfold();
    await look(screen);
  };
  await button(page, 'Key out a find').waitFor();
  await at('home');
  await page.locator('a[href="#key"]').first().click();
  await heading(page).waitFor();
  await at('key');
  await page.goBack();
  await begin(page);
  await at('couplet');
  await take(page, 1);
  await at('second couplet');
  await button(page, 'Doubt').click();
  await page.locator('dialog[open]').waitFor();
  await look('doubt');
  await page.keyboard.press('Escape');
  await button(page, 'Seen on').click();
  await page.locator('dialog[open]').waitFor();
  await look('seen on');
  await page.keyboard.press('Escape');
  await page.locator('.thumbnail').first().click();
  await page.locator('dialog[open]').waitFor();
  await look('enlarged');
  await page.keyboard.press('Escape');
  await showResult(page);
  await at('result');
  await page.goBack();
  await page.locator('nav.way a[href^="#details"]').click();
  await page.locator('main.details').waitFor();
  await at('details');
  await page.goBack();
  await page.locator('a[href^="#sheet"]').first().click();
  await page.locator('main.sheet').waitFor();
  await at('sheet');
  await page.goBack();
  await page.locator('a[href="#picture"]').first().click();
  await page.locator('main.picture').waitFor();
  await at('picture');
  await page.goBack();
  await page.locator('nav.way a[href="#"]').click();
  await begin(page);
  await take(page, 1);
  await page.locator('nav.way a[href="#"]').click();
  await button(page, 'Hand out several finds').click();
  await page.locator('dialog[open]').waitFor();
  await look('hand out');
  await page.keyboard.press('Escape');
  await page
    .getByRole('button', { name: /^Remove / })
    .first()
    .click();
  await page.locator('dialog[open]').waitFor();
  await look('remove');
  await page.keyboard.press('Escape');
}

describe.skipIf(chromiumPath === undefined)('a page in a browser', () => {
  beforeEach(async () => {
    device = await newDevice(browser);
  });
  afterEach(() => device.close());

  it('opens offline, asks for nothing, and hands out a record that the program reads', async () => {
    const opened = await openFile(device, file);
    const { page } = opened;
    await begin(page);
    await take(page, 1);
    await leads(page).last().click();
    await showResult(page);
    expect(await page.locator('.verdict').textContent()).toMatch(/Verdict\s+(Not cleared|Leave it)/i);
    expect(await page.locator('a[href^="tel:"]').first().getAttribute('href')).toBe('tel:08000100200');
    const [saved] = await Promise.all([
      page.waitForEvent('download'),
      button(page, 'Save the record as a file').first().click(),
    ]);
    const path = join(folder, 'saved.record.yaml');
    await saved.saveAs(path);
    const { determinations } = whole(readFileSync(path, 'utf8')).record;
    expect(determinations[0]).toMatchObject({ status: 'finished', answers: [{ lead: 'b' }, { lead: '?' }] });
    const cli = (...args: string[]) => program(args).status;
    expect(cli('report', path, '--full')).toBe(0);
    expect(cli('identify', KEY, path)).toBe(0);
    expect(cli('redo', path, '--key', KEY)).toBe(0);
    // Taken in elsewhere, it is the same find.
    const other = await newDevice(browser);
    const { page: there } = await openFile(other, file);
    await there.locator('#take-in').setInputFiles(path);
    await expect.poll(() => answers(there)).toBe(2);
    await other.close();
    opened.expectQuiet();
  });

  it('hands several finds out as an archive with their photographs, and takes it in again', async () => {
    const opened = await openFile(device, file);
    const { page } = opened;
    for (const called of ['TH-1', 'TH-2']) {
      await begin(page);
      await take(page, 1);
      await leads(page).last().click();
      await page.locator('nav.way a[href^="#details"]').click();
      await page.getByLabel('Called').fill(called);
      await page.getByLabel('Called').press('Enter');
      await expect.poll(() => heading(page).textContent()).toBe(called);
      if (called === 'TH-1') {
        await page.locator('input[capture]').setInputFiles(PICTURE);
        await page.locator('figure img').waitFor();
      }
      await page.locator('nav.way a[href="#"]').click();
    }
    await button(page, 'Hand out several finds').click();
    await page.locator('dialog[open]').waitFor();
    const [saved] = await Promise.all([
      page.waitForEvent('download'),
      page.locator('dialog').getByRole('button', { name: 'Save as a file' }).click(),
    ]);
    const path = join(folder, 'finds.zip');
    await saved.saveAs(path);
    const names = [...readArchive(readFileSync(path), path).keys()];
    expect(names.sort()).toEqual(['TH-1/TH-1-1.jpg', 'TH-1/TH-1.record.yaml', 'TH-2/TH-2.record.yaml']);
    const cli = (...args: string[]) => program(args).status;
    expect(cli('report', path)).toBe(0);
    expect(cli('identify', KEY, path)).toBe(0);
    expect(cli('redo', path, '--key', KEY)).toBe(0);
    expect(cli('compare', KEY, KEY, '--with', path)).toBe(0);
    const other = await newDevice(browser);
    const { page: there } = await openFile(other, file);
    await there.locator('#take-in').setInputFiles(path);
    await expect.poll(() => there.locator('ul.finds li').count()).toBe(2);
    expect(await there.locator('.notice').textContent()).toBe('2 finds were taken in.');
    await there.locator('ul.finds a', { hasText: 'TH-1' }).click();
    await expect.poll(() => answers(there)).toBe(2);
    await there.locator('nav.way a[href^="#details"]').click();
    // On this screen, where drawings of the key stand nowhere.
    await there.locator('#detail-place').waitFor();
    await there.locator('figure img').first().waitFor();
    await other.close();
    opened.expectQuiet();
  });

  it('cannot send or fetch anything: its policy refuses whatever a script of it would try', async () => {
    const asked: string[] = [];
    const server = createServer((request, response) => {
      asked.push(request.url ?? '');
      response.end('x');
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    const address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
    const online = await browser.newContext();
    try {
      const { page } = await openFile(online, file);
      await button(page, 'Key out a find').waitFor();
      const refused = await page.evaluate(async (to) => {
        const heard: string[] = [];
        document.addEventListener('securitypolicyviolation', (e) => heard.push(e.effectiveDirective));
        const tries: (() => unknown)[] = [
          () => fetch(`${to}/fetch`),
          () => navigator.sendBeacon(`${to}/beacon`, 'x'),
          () => new WebSocket(`${to.replace('http', 'ws')}/socket`),
          () => new EventSource(`${to}/events`),
          () => Object.assign(new Image(), { src: `${to}/image` }),
          ...['script', 'iframe', 'audio', 'embed'].map((tag) => () => {
            document.body.append(Object.assign(document.createElement(tag), { src: `${to}/${tag}` }));
          }),
          () => {
            const link = { rel: 'stylesheet', href: `${to}/style` };
            document.head.append(Object.assign(document.createElement('link'), link));
          },
          () => {
            const form = Object.assign(document.createElement('form'), {
              action: `${to}/form`,
              method: 'post',
            });
            document.body.append(form);
            form.submit();
          },
        ];
        for (const attempt of tries)
          try {
            await attempt();
          } catch {
            // Refused at once.
          }
        await new Promise((done) => setTimeout(done, 1000));
        return heard;
      }, address);
      expect(asked).toEqual([]);
      expect(new Set(refused)).toEqual(
        new Set([
          ...['connect-src', 'img-src', 'script-src-elem', 'frame-src', 'media-src', 'object-src'],
          ...['style-src-elem', 'form-action'],
        ]),
      );
    } finally {
      await online.close();
      server.close();
    }
  });

  it('goes on where one was when it is loaded anew, closed, or killed', async () => {
    const { page } = await openFile(device, file);
    await begin(page);
    await take(page, 1);
    await leads(page).last().click();
    await expect.poll(() => answers(page)).toBe(2);
    const before = await asked(page);
    await page.reload();
    await leads(page).first().waitFor();
    expect(await asked(page)).toBe(before);
    expect(await answers(page)).toBe(2);
    const crash = await device.newCDPSession(page);
    const crashed = page.waitForEvent('crash');
    // It is never answered.
    void crash.send('Page.crash').catch(() => undefined);
    await crashed;
    const { page: again } = await openFile(device, file);
    await again.locator('ul.finds a').first().click();
    await leads(again).first().waitFor();
    expect(await asked(again)).toBe(before);
  });

  it('says that the device is full, loses nothing meanwhile, and keeps all as soon as there is room', async () => {
    await device.addInitScript(() => {
      const { put } = IDBObjectStore.prototype;
      // As it is when the disk is full: the transaction is given up, and says why.
      IDBObjectStore.prototype.put = function (...args) {
        const asked = put.apply(this, args);
        if ((globalThis as { full?: boolean }).full) {
          const value = new DOMException('no room', 'QuotaExceededError');
          Object.defineProperty(this.transaction, 'error', { value });
          this.transaction.abort();
        }
        return asked;
      };
    });
    const { page } = await openFile(device, file);
    const full = (is: boolean) =>
      page.evaluate((value) => {
        (globalThis as { full?: boolean }).full = value;
      }, is);
    await begin(page);
    await take(page, 1);
    await full(true);
    await leads(page).last().click();
    await page.locator('.trouble').waitFor();
    expect(await page.locator('.trouble').textContent()).toContain('no room left');
    expect(await answers(page)).toBe(2);
    await full(false);
    await leads(page).last().click();
    await expect.poll(() => page.locator('.trouble').count()).toBe(0);
    await page.reload();
    await expect.poll(() => answers(page)).toBe(3);
  });

  it('keeps what was entered in two windows at once', async () => {
    const { page: one } = await openFile(device, file);
    await begin(one);
    await take(one, 1);
    const { page: two } = await openFile(device, file, new URL(one.url()).hash);
    await expect.poll(() => answers(two)).toBe(1);
    await leads(one).last().click();
    await expect.poll(() => answers(one)).toBe(2);
    // What is entered in one window is seen in the other.
    await expect.poll(() => answers(two)).toBe(2);
    // Both at the same moment.
    await Promise.all([leads(one).first().click(), leads(two).last().click()]);
    await expect.poll(() => one.locator('.notice, .messages').first().textContent()).toBeDefined();
    const { page: home } = await openFile(device, file);
    await expect
      .poll(
        async () => {
          await home.reload();
          await home.locator('ul.finds li').first().waitFor();
          const kept = await home.locator('ul.finds li').allTextContents();
          const counts = kept.map((text) => Number(/(\d+) answers?/.exec(text)?.[1]));
          if (counts.length === 2) return counts.join();
          const shown = [await answers(one), await answers(two)];
          return shown.every((n) => n === counts[0]) ? 'as shown' : `${counts} kept, ${shown} shown`;
        },
        { timeout: 15_000 },
      )
      // Either both stand there, or one came after the other had been seen; then what is shown is kept.
      .toMatch(/^(3,3|as shown)$/);
  });

  it('opens though what is kept is damaged, and hands that out', async () => {
    const { page } = await openFile(device, file);
    await begin(page);
    await take(page, 1);
    await page.evaluate(async () => {
      const database = await new Promise<IDBDatabase>((done) => {
        const asked = indexedDB.open('keywright');
        asked.onsuccess = () => done(asked.result);
      });
      const all = await new Promise<{ id: string; determination: { answers: { couplet: string }[] } }[]>(
        (done) => {
          const asked = database.transaction('finds').objectStore('finds').getAll();
          asked.onsuccess = () => done(asked.result);
        },
      );
      const [sound] = all;
      const transaction = database.transaction('finds', 'readwrite');
      const store = transaction.objectStore('finds');
      const put = (id: string, more: object) => store.put({ ...sound, id, ...more });
      store.put({ id: 'nothing' });
      put('none', { determination: undefined });
      put('number', { determination: 7 });
      put('answers', { determination: { ...sound?.determination, answers: [{ couplet: 1 }] } });
      put('collection', {
        determination: { ...sound?.determination, collection: { id: 'x', evidence: [7], leads: 'x' } },
      });
      put('read-from', { readFrom: null });
      put('frame', { frame: { before: 7 } });
      put('elsewhere', {
        determination: {
          ...sound?.determination,
          answers: [{ ...sound?.determination.answers[0], couplet: '999' }],
        },
      });
      put('photographs', {
        determination: { ...sound?.determination, collection: { id: 'x', photographs: [{}] } },
      });
      await new Promise((done) => {
        transaction.oncomplete = done;
      });
    });
    const opened = await openFile(device, file);
    await expect.poll(() => opened.page.locator('ul.finds li').count()).toBe(10);
    const ids = [
      'nothing',
      'none',
      'number',
      'answers',
      'collection',
      'read-from',
      'frame',
      'elsewhere',
      'photographs',
    ];
    for (const id of ids) {
      for (const screen of ['find', 'result', 'details']) {
        await opened.page.evaluate((hash) => {
          location.hash = hash;
        }, `#${screen}/${id}`);
        await opened.page.waitForTimeout(50);
        expect(await opened.page.locator('h1').count(), `${screen} of ${id}`).toBeGreaterThan(0);
        expect(opened.errors, `${screen} of ${id}`).toEqual([]);
      }
    }
    await opened.page.goto(opened.page.url().split('#')[0] ?? '');
    const [saved] = await Promise.all([
      opened.page.waitForEvent('download'),
      opened.page.getByRole('button', { name: 'Save what is there as a file' }).first().click(),
    ]);
    expect(saved.suggestedFilename()).toContain('damaged');
    await opened.page.locator('ul.finds a').last().click();
    await expect.poll(() => answers(opened.page)).toBeGreaterThanOrEqual(0);
  });

  it('is left by the Back button screen by screen', async () => {
    const { page } = await openFile(device, file);
    await begin(page);
    await take(page, 1);
    const second = await asked(page);
    await showResult(page);
    await page.goBack();
    await leads(page).first().waitFor();
    expect(await asked(page)).toBe(second);
    await page.goBack();
    await button(page, 'Key out a find').waitFor();
    await page.goForward();
    await leads(page).first().waitFor();
    expect(await asked(page)).toBe(second);
  });

  // The text of the page is of 112.5 %: twice that is 225 %.
  it.each([
    [320, '100%'],
    [320, '225%'],
    [390, '225%'],
    [1280, '100%'],
  ])('never scrolls sideways at %i px with text of %s', async (width, size) => {
    await device.close();
    device = await newDevice(browser, width);
    const { page } = await openFile(device, file);
    await everyScreen(page, async (screen) => {
      const over = await page.evaluate((text) => {
        document.documentElement.style.fontSize = text;
        const wide = document.documentElement.scrollWidth - innerWidth;
        const out = [...document.querySelectorAll('main *')].filter(
          (e) => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.visually-hidden'),
        );
        // What is fixed is cut off without a way to it.
        const cut = [...document.querySelectorAll('.bar button, dialog[open] *')].filter((e) => {
          const { left, right } = e.getBoundingClientRect();
          return left < -1 || right > innerWidth + 1;
        });
        if (cut.length > 0) return `cut off: ${cut.map((e) => e.textContent).join(', ')}`;
        return wide > 0
          ? `${wide}: ${out
              .map((e) => e.outerHTML.slice(0, 80))
              .slice(0, 3)
              .join('\n')}`
          : '';
      }, size);
      expect(`${screen} ${over}`).toBe(`${screen} `);
    });
  });

  it.each([
    ['light', 320, '100%'],
    ['light', 390, '225%'],
    ['dark', 1280, '100%'],
  ] as const)(
    'has no serious finding of axe in the %s at %i px with text of %s',
    async (colorScheme, width, size) => {
      await device.close();
      device = await browser.newContext({ viewport: { width, height: 780 }, offline: true, colorScheme });
      const { page } = await openFile(device, file);
      const found: string[] = [];
      await everyScreen(page, async (screen) => {
        await page.evaluate((text) => {
          document.documentElement.style.fontSize = text;
        }, size);
        await page.evaluate(axe.source);
        const violations = await page.evaluate(async () => {
          const { axe: own } = globalThis as unknown as {
            axe: { run(): Promise<{ violations: AxeFinding[] }> };
          };
          interface AxeFinding {
            readonly id: string;
            readonly impact: string;
            readonly nodes: readonly { readonly html: string; readonly failureSummary: string }[];
          }
          return (await own.run()).violations.map(({ id, impact, nodes }) => ({
            impact,
            says: `${id}: ${nodes
              .map((n) => n.html.slice(0, 120))
              .slice(0, 3)
              .join('\n  ')} ${nodes[0]?.failureSummary ?? ''}`,
          }));
        });
        for (const { impact, says } of violations)
          if (impact === 'serious' || impact === 'critical') found.push(`${screen}: ${says}`);
      });
      expect(found).toEqual([]);
    },
  );
});
