import { type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The program. */
export const bin = fileURLToPath(new URL('../../bin/keywright.js', import.meta.url));
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
): SpawnSyncReturns<string> {
  return spawnSync(process.execPath, [bin, 'run', ...args], {
    cwd: folder,
    encoding: 'utf8',
    input: answers.map((a) => `${a}\n`).join(''),
    env: { PATH: process.env.PATH, ...env },
    timeout: 15_000,
  });
}

/** Running text on one line, as it was before it was wrapped. */
export function unwrapped(text: string): string {
  return text.replace(/\s+/g, ' ');
}
