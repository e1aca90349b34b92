import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { program } from '../support/program.js';

const fixtures = fileURLToPath(new URL('../fixtures/run', import.meta.url));

/** A folder of its own with the keys of the tests in it, and how to take it away. */
export function workFolder(): { readonly folder: string; readonly remove: () => void } {
  const folder = mkdtempSync(join(tmpdir(), 'keywright-run-'));
  cpSync(fixtures, folder, { recursive: true });
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

/** Runs keywright with answers from a pipe. */
export function piped(
  folder: string,
  args: readonly string[],
  answers: readonly string[],
  env: Readonly<Record<string, string>> = {},
) {
  return program(['run', ...args], { cwd: folder, input: answers.map((a) => `${a}\n`).join(''), env });
}

/** Running text on one line, as it was before it was wrapped. */
export function unwrapped(text: string): string {
  return text.replace(/\s+/g, ' ');
}
