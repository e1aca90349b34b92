/** A real Chromium, driven by playwright-core, that opens pages from files and has no network. */
import { pathToFileURL } from 'node:url';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';
import { chromiumPath, launching } from './chromium.mjs';

export { chromiumPath };

if (chromiumPath === undefined)
  process.stderr.write(
    'No Chromium was found, so the tests in a browser are skipped; CHROMIUM can name one.\n',
  );

/** Starts the browser. */
export function startBrowser(): Promise<Browser> {
  return chromium.launch(launching);
}

/** A device: what it keeps is its own, and it has no network. */
export function newDevice(browser: Browser, width = 390, height = 780): Promise<BrowserContext> {
  return browser.newContext({ viewport: { width, height }, offline: true, serviceWorkers: 'block' });
}

/** A page that was opened, and what went wrong in it. */
export interface OpenedPage {
  readonly page: Page;
  /** The addresses of all requests, but for the page itself and what it holds. */
  readonly requests: readonly string[];
  /** Errors that nothing caught, and what the content security policy refused. */
  readonly errors: readonly string[];
  /** Fails where anything was asked for, or went wrong. */
  expectQuiet(): void;
}

/** Opens a file as a page. */
export async function openFile(device: BrowserContext, path: string, hash = ''): Promise<OpenedPage> {
  const page = await device.newPage();
  const requests: string[] = [];
  const errors: string[] = [];
  const address = pathToFileURL(path).href;
  page.on('request', (request) => {
    const url = request.url();
    if (url.split('#')[0] !== address && !/^(data|blob):/.test(url)) requests.push(url);
  });
  page.on('pageerror', (error) => errors.push(String(error)));
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  await page.goto(address + hash);
  return {
    page,
    requests,
    errors,
    expectQuiet: () => expect({ requests, errors }).toEqual({ requests: [], errors: [] }),
  };
}
