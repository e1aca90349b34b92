/** What a person does with a page, by pointer or by key. */
import type { Page } from 'playwright-core';
import { expect } from 'vitest';

export const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', { name, exact: typeof name === 'string' });
export const leads = (page: Page) => page.locator('button.lead');
export const heading = (page: Page) => page.locator('h1').first();

/** A picture of one dot, as a camera hands it over. */
export const PICTURE = {
  name: 'camera.png',
  mimeType: 'image/png',
  buffer: Buffer.from(
    'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
    'base64',
  ),
};

/** Begins a find on the first screen. */
export async function begin(page: Page): Promise<void> {
  await button(page, 'Key out a find').click();
  await leads(page).first().waitFor();
}

/** Takes the lead of that number at the couplet that is asked, and waits until something else is asked. */
export async function take(page: Page, lead: number): Promise<void> {
  const before = await asked(page);
  await leads(page).nth(lead).click();
  await expect.poll(() => asked(page)).not.toBe(before);
}

/** What is asked now. */
export async function asked(page: Page): Promise<string> {
  return `${await heading(page).textContent()} ${(await leads(page).allTextContents()).join(' | ')}`;
}

/** How many answers the find has, as the screen says. */
export async function answers(page: Page): Promise<number> {
  const said = page.locator('details.answers summary');
  return (await said.count()) === 0 ? 0 : Number(/\((\d+)\)/.exec((await said.textContent()) ?? '')?.[1]);
}

/** What has the focus: where it is lost, how it is hidden, and what it is called. */
export function focused(page: Page): Promise<string> {
  return page.evaluate(() => {
    const e = document.activeElement as HTMLElement | null;
    if (e === null || e === document.body) return 'lost';
    const { width, height, left, top } = e.getBoundingClientRect();
    const { outlineStyle } = getComputedStyle(e);
    const covered = [0.5, 0.2].every((at) => {
      const over = document.elementFromPoint(left + width / 2, top + height * at);
      return over !== null && !e.contains(over) && !over.contains(e);
    });
    const how =
      width === 0 || height === 0 || covered ? 'covered' : outlineStyle === 'none' ? 'unseen' : 'seen';
    const labels = [...((e as HTMLInputElement).labels ?? [])].map((label) => label.textContent);
    const called = e.getAttribute('aria-label') ?? (labels.join(' ') || e.textContent);
    return `${how} ${e.tagName.toLowerCase()} ${called}`.replace(/\s+/g, ' ').trim();
  });
}

/** Goes on with Tab until what has that name is reached; whatever lies on the way must be seen. */
export async function reach(page: Page, name: RegExp, key: 'Tab' | 'Shift+Tab' = 'Tab'): Promise<void> {
  const way: string[] = [];
  for (let n = 0; n < 200; n++) {
    await page.keyboard.press(key);
    const at = await focused(page);
    way.push(at);
    // From the last control the focus goes to the browser, then to the first one.
    if (at !== 'lost') expect(at).toMatch(/^seen /);
    if (name.test(at)) return;
  }
  throw new Error(`${key} never leads to ${name}, but to ${way.join(', ')}`);
}

/** Every control of the screen, or of the dialog that is open, that Tab does not lead to. */
export async function unreached(page: Page): Promise<string[]> {
  const count = await page.evaluate(() => {
    const within = document.querySelector('dialog[open]') ?? document;
    const controls = [
      ...within.querySelectorAll<HTMLElement>('a[href], button, input, textarea, summary, [tabindex="0"]'),
    ].filter(
      (e) =>
        e.checkVisibility() &&
        !e.matches(':disabled, [aria-hidden="true"]') &&
        // Of radio buttons the chosen one is reached, and arrow keys go on from there.
        !(e instanceof HTMLInputElement && e.type === 'radio' && !e.checked),
    );
    for (const control of controls) control.dataset.unreached = control.textContent || control.id;
    return controls.length;
  });
  for (let n = 0; n < count + 3; n++) {
    await page.keyboard.press('Tab');
    const at = await focused(page);
    if (at !== 'lost') expect(at).toMatch(/^seen /);
    await page.evaluate(() => {
      if (document.activeElement instanceof HTMLElement) delete document.activeElement.dataset.unreached;
    });
  }
  return page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>('[data-unreached]')].map((e) => {
      const { unreached } = e.dataset;
      delete e.dataset.unreached;
      return `${e.tagName} ${unreached}`;
    }),
  );
}
