import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { action, type IdentifyOptions } from '../../src/commands/identify/command.js';
import { type FakeWorld, fakeWorld } from '../support/fake-world.js';
import { type Said, said } from '../support/in-process.js';
import { type ProcessOptions, program } from '../support/program.js';

/** The folder with the key and the finds of these tests. */
export const folder = fileURLToPath(new URL('../fixtures/identify', import.meta.url));

/** Runs the program in the folder of the finds. */
export function keywright(args: readonly string[], options: ProcessOptions = {}) {
  return program(['identify', ...args], { cwd: folder, ...options });
}

/** Runs the command in this process, with what would be on the standard input as `-`. */
export async function identify(
  input: string,
  options: Partial<IdentifyOptions> = {},
  world: {
    readonly columns?: number;
    readonly key?: string;
    readonly terminal?: boolean;
    readonly tables?: readonly string[];
  } = {},
): Promise<Said & { readonly world: FakeWorld }> {
  const { columns, key = 'caps.key.yaml', terminal, tables = ['-'] } = world;
  const flags = { format: 'ndjson', slips: 1, ...options } as const;
  const fake = fakeWorld({ cwd: folder, stdin: input, columns, terminal });
  return { ...(await said(fake, action([key, ...tables], flags, fake))), world: fake };
}

/** The finds of these tests, as CSV. */
export const finds = readFileSync(`${folder}/finds.csv`, 'utf8');

/** The results in lines of JSON. */
export function objects(out: string): Record<string, unknown>[] {
  return out
    .split('\n')
    .filter((l) => l !== '')
    .map((l) => JSON.parse(l) as Record<string, unknown>);
}
