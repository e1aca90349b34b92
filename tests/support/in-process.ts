import { main } from '../../src/main.js';
import type { World } from '../../src/terminal/world.js';
import { type FakeOptions, type FakeWorld, fakeWorld } from './fake-world.js';

/** What came of a command that ran in this process. */
export interface Said {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** What a world was told by a command that runs in it. */
export async function said(world: FakeWorld, run: Promise<number>): Promise<Said> {
  const code = await run;
  return { code, out: world.said.out(), err: world.said.err() };
}

/** Runs a whole command line in this process. */
export function inProcess(args: readonly string[], options: FakeOptions = {}): Promise<Said> {
  const world = fakeWorld(options);
  return said(world, main([...args], world));
}

/** Runs what stands behind one command in this process, with its options as they come out of the command line. */
export function acted<Flags>(
  action: (args: readonly string[], flags: Flags, world: World) => Promise<number>,
  args: readonly string[],
  flags: Flags,
  options: FakeOptions = {},
): Promise<Said> {
  const world = fakeWorld(options);
  return said(world, action(args, flags, world));
}
