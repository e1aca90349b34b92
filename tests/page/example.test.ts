/** The page among the examples is what the program makes now, but for the date. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { chromiumPath, newDevice, openFile, startBrowser } from '../support/browser.js';
import { program, root } from '../support/program.js';

const EXAMPLE = join(root, 'examples', 'tarn-wood-tufts.html');

it.skipIf(chromiumPath === undefined)('is made by node .config/example-page.mjs', async () => {
  const browser = await startBrowser();
  const folder = mkdtempSync(join(tmpdir(), 'keywright-example-'));
  try {
    const out = join(folder, 'page.html');
    const { status, stderr } = program(['page', 'keys/tarn-wood-tufts.key.yaml', '--out', out]);
    expect([status, stderr]).toEqual([0, expect.stringContaining('written')]);
    const device = await newDevice(browser);
    /** What a page holds once it is open, without the day on which it was made. */
    const held = async (file: string) => {
      const { page } = await openFile(device, file);
      await page.locator('main.home').waitFor();
      const scripts = await page.locator('script, style').allTextContents();
      return scripts.map((text) => text.replace(/"made":"\d{4}-\d\d-\d\d"/, ''));
    };
    const [here, now] = [await held(EXAMPLE), await held(out)];
    // Said in a word: the difference of two programs says nothing.
    const same = here.length === now.length && here.every((text, i) => text === now[i]);
    expect(same ? 'as made now' : 'older: run node .config/example-page.mjs').toBe('as made now');
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  }
});

it('has drawings whose words can be read as wide as a phone shows them', () => {
  const drawings = join(root, 'keys', 'figures');
  const small = readdirSync(drawings).flatMap((name) => {
    const text = readFileSync(join(drawings, name), 'utf8');
    const width = Number(/viewBox="0 0 (\d+) /.exec(text)?.[1]);
    const sizes = [...text.matchAll(/font-size="(\d+)"/g)].map((size) => (Number(size[1]) * 300) / width);
    expect(sizes.length, name).toBeGreaterThan(0);
    return sizes.filter((dots) => !(dots >= 11)).map((dots) => `${name}: ${dots}`);
  });
  expect(small).toEqual([]);
});
