/**
 * Makes the example page of the demonstration keys, and the picture of it that README shows:
 * `node .config/example-page.mjs`, after a build and with a Chromium (CHROMIUM names one that stands elsewhere).
 */
import { spawnSync } from 'node:child_process';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { launching } from '../tests/support/chromium.mjs';

const root = fileURLToPath(new URL('..', import.meta.url));
const page = 'examples/tarn-wood-tufts.html';
const made = spawnSync(
  process.execPath,
  ['bin/keywright.js', 'page', 'keys/tarn-wood-tufts.key.yaml', '--out', page, '--overwrite'],
  { cwd: root, stdio: 'inherit' },
);
if (made.status !== 0) process.exit(made.status ?? 2);

const browser = await chromium.launch(launching);
try {
  const context = await browser.newContext({
    viewport: { width: 360, height: 760 },
    offline: true,
    reducedMotion: 'reduce',
  });
  const tab = await context.newPage();
  await tab.goto(pathToFileURL(root + page).href);
  await tab.getByRole('button', { name: 'Key out a find' }).click();
  await tab.getByText('How to look').click();
  await tab.locator('.leads').evaluate((leads) => leads.scrollIntoView({ block: 'end' }));
  await tab.evaluate(() => scrollBy(0, 70));
  await tab.waitForTimeout(300);
  await tab.screenshot({ path: `${root}examples/page.png` });
} finally {
  await browser.close();
}
