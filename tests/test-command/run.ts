import { fileURLToPath } from 'node:url';
import { action, type TestOptions } from '../../src/commands/test/command.js';
import { acted, type Said } from '../support/in-process.js';
import { program } from '../support/program.js';

export { root } from '../support/program.js';

export const folder = fileURLToPath(new URL('../fixtures/test-command', import.meta.url));

/** Runs the program in the project's folder. */
export function keywright(args: readonly string[], input = '') {
  return program(['test', ...args], { input });
}

/** Runs the command in this process, with a table as CSV on the standard input. */
export function tested(
  table: string,
  options: Partial<TestOptions> = {},
  key = 'tufts.key.yaml',
  columns?: number,
): Promise<Said> {
  const flags = { format: 'ndjson', ...options } as const;
  return acted(action, [key, '-'], flags, { cwd: folder, stdin: table, columns });
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
