/** The page among the examples is what the program makes now, but for the date. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { main } from '../../src/main.js';
import { chromiumPath, newDevice, openFile, startBrowser } from '../support/browser.js';
import { fakeWorld } from '../support/fake-world.js';
import { root } from '../support/program.js';

const EXAMPLE = join(root, 'examples', 'tarn-wood-tufts.html');

it.skipIf(chromiumPath === undefined)('is made by node .config/example-page.mjs', async () => {
  const browser = await startBrowser();
  const folder = mkdtempSync(join(tmpdir(), 'keywright-example-'));
  try {
    const { page } = await openFile(await newDevice(browser), EXAMPLE);
    const said = (await page.locator('.imprint').first().textContent()) ?? '';
    const day = /This page was made on (\d{4}-\d\d-\d\d)/.exec(said)?.[1] ?? '';
    const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };
    const out = join(folder, 'page.html');
    const world = fakeWorld({ cwd: root });
    const now = () => new Date(`${day}T12:00:00Z`);
    const code = await main(['page', 'keys/tarn-wood-tufts.key.yaml', '--out', out], {
      ...world,
      version,
      now,
    });
    expect([code, world.said.err()]).toEqual([0, expect.stringContaining('written')]);
    // Said in a word: the difference of two packed pages says nothing.
    const same = readFileSync(out, 'utf8') === readFileSync(EXAMPLE, 'utf8');
    expect(same ? 'as made now' : 'older: run node .config/example-page.mjs').toBe('as made now');
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  }
});
