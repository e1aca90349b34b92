import { type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { action, type IdentifyOptions } from '../../src/commands/identify/command.js';
import { type FakeWorld, fakeWorld } from '../support/fake-world.js';

/** The folder with the key and the finds of these tests. */
export const folder = fileURLToPath(new URL('../fixtures/identify', import.meta.url));
export const bin = fileURLToPath(new URL('../../bin/keywright.js', import.meta.url));

/** Runs the program in the folder of the finds. */
export function keywright(
  args: readonly string[],
  options: { readonly input?: string; readonly env?: Record<string, string>; readonly cwd?: string } = {},
): SpawnSyncReturns<string> {
  return spawnSync(process.execPath, [bin, 'identify', ...args], {
    cwd: options.cwd ?? folder,
    encoding: 'utf8',
    input: options.input ?? '',
    env: { PATH: process.env.PATH, ...options.env },
    timeout: 60_000,
    maxBuffer: 1 << 26,
  });
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
): Promise<{ code: number; out: string; err: string; world: FakeWorld }> {
  const { columns, key = 'caps.key.yaml', terminal, tables = ['-'] } = world;
  const fake = fakeWorld({
    cwd: folder,
    stdin: input,
    ...(columns === undefined ? {} : { columns }),
    ...(terminal === undefined ? {} : { terminal }),
  });
  const code = await action([key, ...tables], { format: 'ndjson', slips: 1, ...options }, fake);
  return { code, out: fake.said.out(), err: fake.said.err(), world: fake };
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
