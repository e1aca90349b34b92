/** Finds that go from device to device: handed to another program, and taken in again. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContext, Download, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { readArchive } from '../../src/archive/archive.js';
import { whole } from '../record/making.js';
import { chromiumPath, newDevice, openFile, startBrowser } from '../support/browser.js';
import { program } from '../support/program.js';
import { answers, begin, button, heading, leads, PICTURE, take } from './hands.js';

let folder = '';
let file = '';
let browser: Browser;
let device: BrowserContext;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-handing-'));
  file = join(folder, 'tufts.html');
  const { status, stderr } = program(['page', 'tarn-wood-tufts', '--out', file]);
  expect([status, stderr]).toEqual([0, expect.stringContaining('written')]);
  if (chromiumPath !== undefined) browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Keys out a find of that name, up to its details; with a photograph where one is asked for. */
async function find(page: Page, called: string, pictured = false): Promise<void> {
  await begin(page);
  await take(page, 1);
  await page.locator('nav.way a[href^="#details"]').click();
  await page.getByLabel('Called').fill(called);
  await page.getByLabel('Called').press('Enter');
  await expect.poll(() => heading(page).textContent()).toBe(called);
  if (!pictured) return;
  await page.locator('input[capture]').setInputFiles(PICTURE);
  await page.locator('figure img').waitFor();
}

const home = (page: Page) => page.locator('nav.way a[href="#"]').click();
const finds = (page: Page) => page.locator('ul.finds li');
const notice = (page: Page) => page.locator('.notice');

/** What is saved by a click, as a file. */
async function savedBy(page: Page, click: () => Promise<void>, as: string): Promise<string> {
  const [saved] = await Promise.all([page.waitForEvent('download'), click()]);
  const path = join(folder, as);
  await saved.saveAs(path);
  return path;
}

/** A file that was handed to another program. */
interface Handed {
  readonly name: string;
  readonly type: string;
  readonly bytes: readonly number[];
}

/** What a device that hands files on does instead of asking the person to whom. */
interface Sheet {
  /** The kinds of files that it hands on; undefined: all. */
  kinds?: readonly string[];
  /** Why it hands nothing on. */
  refuses?: string;
  readonly handed: Handed[][];
}

/** A device with a share sheet, of which no browser without a person in front of it has one. */
async function withSheet(setting: Omit<Sheet, 'handed'>): Promise<Page> {
  await device.addInitScript((given) => {
    const sheet: Sheet = { ...given, handed: [] };
    const known = ({ files = [] }: ShareData = {}) =>
      files.every(({ type }) => sheet.kinds === undefined || sheet.kinds.includes(type));
    Object.assign(globalThis, { sheet });
    Object.defineProperty(navigator, 'canShare', { value: known });
    Object.defineProperty(navigator, 'share', {
      value: async (data: ShareData) => {
        if (sheet.refuses !== undefined) throw new DOMException('no', sheet.refuses);
        if (!known(data)) throw new TypeError('not of a kind that is handed on');
        const handed = (data.files ?? []).map(async (f) => ({
          name: f.name,
          type: f.type,
          bytes: [...new Uint8Array(await f.arrayBuffer())],
        }));
        sheet.handed.push(await Promise.all(handed));
      },
    });
  }, setting);
  return (await openFile(device, file)).page;
}

const handed = (page: Page) => page.evaluate(() => (globalThis as unknown as { sheet: Sheet }).sheet.handed);

/** The files that were handed over in one go, after it was said that they were. */
async function handedOver(page: Page, said: string): Promise<readonly Handed[]> {
  await expect.poll(() => notice(page).textContent()).toBe(said);
  const all = await handed(page);
  expect(all).toHaveLength(1);
  return all[0] ?? [];
}

const namesAndTypes = (files: readonly Handed[]) => files.map(({ name, type }) => [name, type]);
const namesIn = (archive: Handed | undefined) =>
  [...readArchive(Buffer.from(archive?.bytes ?? []), 'handed.zip').keys()].sort();
const calledIn = (record: Handed | undefined) =>
  whole(Buffer.from(record?.bytes ?? []).toString()).record.determinations[0]?.collection.id;

describe.skipIf(chromiumPath === undefined)('the share sheet of a device', () => {
  beforeEach(async () => {
    device = await newDevice(browser);
  });
  afterEach(() => device.close());

  it('is given the record alone where no photograph is kept', async () => {
    const page = await withSheet({});
    await find(page, 'TH-1');
    await button(page, 'Share the record').click();
    const files = await handedOver(page, 'The record was handed over.');
    expect(namesAndTypes(files)).toEqual([['TH-1.record.yaml', 'text/yaml']]);
    expect(calledIn(files[0])).toBe('TH-1');
  });

  it('is given the record as plain text where it takes no YAML', async () => {
    const page = await withSheet({ kinds: ['text/plain'] });
    await find(page, 'TH-1');
    await button(page, 'Share the record').click();
    const files = await handedOver(page, 'The record was handed over.');
    expect(namesAndTypes(files)).toEqual([['TH-1.record.yaml.txt', 'text/plain']]);
    expect(calledIn(files[0])).toBe('TH-1');
  });

  it('is given an archive where there are photographs, or their files where it takes no archive', async () => {
    const page = await withSheet({});
    await find(page, 'TH-1', true);
    const share = button(page, 'Share the record with its photographs');
    await share.click();
    const files = await handedOver(page, 'The record was handed over.');
    expect(namesAndTypes(files)).toEqual([['TH-1.zip', 'application/zip']]);
    expect(namesIn(files[0])).toEqual(['TH-1/TH-1-1.jpg', 'TH-1/TH-1.record.yaml']);
    await page.evaluate(() => {
      (globalThis as unknown as { sheet: Sheet }).sheet.kinds = ['text/plain', 'image/jpeg'];
    });
    await share.click();
    await expect.poll(async () => (await handed(page)).length).toBe(2);
    const loose = (await handed(page))[1] ?? [];
    expect(namesAndTypes(loose)).toEqual([
      ['TH-1.record.yaml.txt', 'text/plain'],
      ['TH-1-1.jpg', 'image/jpeg'],
    ]);
    expect(calledIn(loose[0])).toBe('TH-1');
    expect(loose[1]?.bytes.slice(0, 3)).toEqual([0xff, 0xd8, 0xff]);
  });

  it('is given several finds as one archive', async () => {
    const page = await withSheet({});
    await find(page, 'TH-1', true);
    await home(page);
    await find(page, 'TH-2');
    await home(page);
    await button(page, 'Hand out several finds').click();
    await page.locator('dialog').getByRole('button', { name: 'Share' }).click();
    const [archive, ...more] = await handedOver(page, 'The finds were handed over.');
    expect(more).toEqual([]);
    expect([archive?.name, archive?.type]).toEqual([
      expect.stringMatching(/^finds-\d{4}-\d\d-\d\d\.zip$/),
      'application/zip',
    ]);
    expect(namesIn(archive)).toEqual(['TH-1/TH-1-1.jpg', 'TH-1/TH-1.record.yaml', 'TH-2/TH-2.record.yaml']);
  });

  it.each([
    ['AbortError', 0],
    ['NotAllowedError', 1],
  ])(
    'that says %s: %i files are saved instead, and nothing is called handed over',
    async (refuses, count) => {
      const page = await withSheet({ refuses });
      const saved: Download[] = [];
      page.on('download', (download) => saved.push(download));
      await find(page, 'TH-1');
      await button(page, 'Share the record').click();
      await page.waitForTimeout(500);
      expect(saved.map((s) => s.suggestedFilename())).toEqual(Array(count).fill('TH-1.record.yaml'));
      expect(await notice(page).count()).toBe(0);
      await home(page);
      await find(page, 'TH-2', true);
      await button(page, 'Share the record with its photographs').click();
      await page.waitForTimeout(500);
      expect(saved.slice(count).map((s) => s.suggestedFilename())).toEqual(Array(count).fill('TH-2.zip'));
      expect(await handed(page)).toEqual([]);
      expect(await notice(page).count()).toBe(0);
    },
  );
});

describe.skipIf(chromiumPath === undefined)('what is taken in twice', () => {
  beforeEach(async () => {
    device = await newDevice(browser);
  });
  afterEach(() => device.close());

  it('is not added again, and that is said', async () => {
    const { page } = await openFile(device, file);
    await find(page, 'TH-1', true);
    await home(page);
    await find(page, 'TH-2');
    await button(page, 'Save the record as a file').waitFor();
    // A finished one, in which a further determination begins where it is taken in.
    await page.locator('nav.way a[href^="#find"]').click();
    await button(page, 'Result').click();
    await page.locator('.verdict').waitFor();
    const record = await savedBy(
      page,
      () => button(page, 'Save the record as a file').first().click(),
      'two.record.yaml',
    );
    await home(page);
    await button(page, 'Hand out several finds').click();
    const archive = await savedBy(
      page,
      () => page.locator('dialog').getByRole('button', { name: 'Save as a file' }).click(),
      'both.zip',
    );
    // Where they were made.
    await page.locator('#take-in').setInputFiles(archive);
    await expect.poll(() => notice(page).textContent()).toBe('TH-2 and TH-1 are here already.');
    expect(await finds(page).count()).toBe(2);
    await page.locator('#take-in').setInputFiles(record);
    await expect.poll(() => notice(page).textContent()).toBe('TH-2 is here already.');
    expect(await finds(page).count()).toBe(2);

    // Where they came to.
    const other = await newDevice(browser);
    const { page: there } = await openFile(other, file);
    await there.locator('#take-in').setInputFiles(archive);
    await expect.poll(() => notice(there).textContent()).toBe('2 finds were taken in.');
    await there.locator('#take-in').setInputFiles(archive);
    await expect.poll(() => notice(there).textContent()).toBe('TH-2 and TH-1 are here already.');
    // One looks where it is said.
    await expect.poll(() => there.evaluate(() => scrollY)).toBe(0);
    expect(await finds(there).count()).toBe(2);
    // One of them was removed meanwhile.
    await there.getByRole('button', { name: 'Remove TH-2' }).click();
    await there.locator('dialog').getByRole('button', { name: 'Remove' }).click();
    await expect.poll(() => finds(there).count()).toBe(1);
    await there.locator('#take-in').setInputFiles(archive);
    await expect.poll(() => answers(there)).toBe(1);
    expect(await notice(there).textContent()).toMatch(/^1 find was taken in. TH-1 is here already\./);
    // A finished determination that is here is here, whatever was done with it since.
    await leads(there).last().click();
    await expect.poll(() => answers(there)).toBe(2);
    await home(there);
    await expect.poll(() => finds(there).count()).toBe(2);
    await there.locator('#take-in').setInputFiles(archive);
    await expect.poll(() => notice(there).textContent()).toBe('TH-2 and TH-1 are here already.');
    expect(await finds(there).count()).toBe(2);
    await other.close();
  });

  it('is kept beside what is called the same and has other answers or photographs', async () => {
    const { page } = await openFile(device, file);
    await find(page, 'TH-1', true);
    const save = () => button(page, 'Save the record with its photographs').click();
    const before = await savedBy(page, save, 'before.zip');
    // Another answer.
    await page.locator('nav.way a[href^="#find"]').click();
    await leads(page).last().click();
    await expect.poll(() => answers(page)).toBe(2);
    await home(page);
    await page.locator('#take-in').setInputFiles(before);
    await expect.poll(() => answers(page)).toBe(1);
    await home(page);
    await expect.poll(() => finds(page).count()).toBe(2);
    expect((await finds(page).allTextContents()).every((text) => text.startsWith('TH-1'))).toBe(true);
    // Another picture of the same name and size.
    const changed = await newDevice(browser);
    const { page: there } = await openFile(changed, file);
    await there.locator('#take-in').setInputFiles(before);
    await expect.poll(() => answers(there)).toBe(1);
    await there.evaluate(async () => {
      const asked = indexedDB.open('keywright');
      await new Promise((done) => {
        asked.onsuccess = done;
      });
      const store = asked.result.transaction('photographs', 'readwrite').objectStore('photographs');
      const key = store.getAllKeys();
      await new Promise((done) => {
        key.onsuccess = done;
      });
      const [name] = key.result;
      const kept = store.get(name as IDBValidKey);
      const blob: Blob = await new Promise((done) => {
        kept.onsuccess = () => done(kept.result);
      });
      const bytes = new Uint8Array(await blob.arrayBuffer());
      bytes[bytes.length - 3] = (bytes[bytes.length - 3] ?? 0) ^ 1;
      const again = asked.result.transaction('photographs', 'readwrite');
      again.objectStore('photographs').put(new Blob([bytes], { type: blob.type }), name);
      await new Promise((done) => {
        again.oncomplete = done;
      });
    });
    await home(there);
    await there.locator('#take-in').setInputFiles(before);
    await expect.poll(() => answers(there)).toBe(1);
    await home(there);
    await expect.poll(() => finds(there).count()).toBe(2);
    await changed.close();
  });
});
