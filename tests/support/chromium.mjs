/** Where a Chromium stands that is no part of the project, and how it is started. */
import { existsSync } from 'node:fs';

const PLACES = [
  ...['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome', '/snap/bin/chromium'],
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
];

/** The program of a Chromium, or undefined where there is none: CHROMIUM names it, else it is looked for. */
export const chromiumPath = [process.env.CHROMIUM ?? '', ...PLACES].find(
  (path) => path !== '' && existsSync(path),
);

/** How playwright-core starts it. Chromium refuses its sandbox to the system's administrator, as who containers run. */
export const launching = {
  ...(chromiumPath === undefined ? {} : { executablePath: chromiumPath }),
  args: process.getuid?.() === 0 ? ['--no-sandbox'] : [],
};
