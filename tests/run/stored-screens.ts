import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect } from 'vitest';

/** Set to anything, the screens are stored as they are now instead of held against what was stored. */
const RENEWED_BY = 'KEYWRIGHT_RENEW_SCREENS';

/** The screens of a story, to be held against those that are stored in a file of tests/fixtures/screens. */
export class StoredScreens {
  readonly #file: string;
  readonly #shown: string[] = [];

  constructor(
    name: string,
    readonly columns: number,
  ) {
    this.#file = fileURLToPath(new URL(`../fixtures/screens/${name}.txt`, import.meta.url));
  }

  /** Takes the next screen; no line of it may be wider than the window. */
  add(title: string, lines: readonly string[]): void {
    for (const line of lines) expect(line.length, `${title}: ${line}`).toBeLessThanOrEqual(this.columns);
    const text = lines.join('\n').trimEnd();
    this.#shown.push(`===== ${title}\n${timeless(text)}\n`);
  }

  /** Holds them all against the file, or writes it. */
  hold(): void {
    const now = this.#shown.join('\n');
    if (process.env[RENEWED_BY] !== undefined) {
      mkdirSync(dirname(this.#file), { recursive: true });
      writeFileSync(this.#file, now);
    }
    expect(now, `to store what is shown now: ${RENEWED_BY}=1`).toBe(readFileSync(this.#file, 'utf8'));
  }
}

/** Times and the day of today taken out, each by as many signs, so that lines break where they did. */
function timeless(text: string): string {
  return text
    .replace(/\b20\d\d-\d\d-\d\d\b/g, 'YYYY-MM-DD')
    .replace(/\b\d\d:\d\d(:\d\d)?(?= UTC)/g, (time) => time.replace(/\d/g, '0'));
}
