import { type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { action, type TestOptions } from '../../src/commands/test/command.js';
import { fakeWorld } from '../support/fake-world.js';

export const root = fileURLToPath(new URL('../..', import.meta.url));
export const folder = fileURLToPath(new URL('../fixtures/test-command', import.meta.url));

/** Runs the program in the project's folder. */
export function keywright(args: readonly string[], input = ''): SpawnSyncReturns<string> {
  return spawnSync(process.execPath, [`${root}bin/keywright.js`, 'test', ...args], {
    cwd: root,
    encoding: 'utf8',
    input,
    env: { PATH: process.env.PATH },
    timeout: 15_000,
  });
}

/** Runs the command in this process, with a table as CSV on the standard input. */
export async function tested(
  table: string,
  options: Partial<TestOptions> = {},
  key = 'tufts.key.yaml',
  columns?: number,
): Promise<{ code: number; out: string; err: string }> {
  const world = fakeWorld({ cwd: folder, stdin: table, ...(columns === undefined ? {} : { columns }) });
  const code = await action([key, '-'], { format: 'ndjson', ...options }, world);
  return { code, out: world.said.out(), err: world.said.err() };
}

/** The lines of JSON of one kind. */
export function lines(out: string, kind: string): Record<string, unknown>[] {
  return out
    .split('\n')
    .filter((l) => l !== '')
    .map((l) => JSON.parse(l) as Record<string, unknown>)
    .filter((l) => l.kind === kind);
}

/** What came of each collection. */
export function words(out: string): Record<string, unknown> {
  return Object.fromEntries(lines(out, 'specimen').map((l) => [l.collection, l.result]));
}
