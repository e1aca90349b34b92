import { type ChildProcessWithoutNullStreams, spawn, spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** The project's folder, and the program in it as it was built. */
export const root = fileURLToPath(new URL('../..', import.meta.url));
export const bin = fileURLToPath(new URL('../../bin/keywright.js', import.meta.url));

/** Where and with what the program runs; of the environment it gets PATH and what stands here. */
export interface ProcessOptions {
  readonly cwd?: string;
  readonly input?: string | Buffer;
  readonly env?: Readonly<Record<string, string>>;
}

const environment = (env: Readonly<Record<string, string>> = {}) => ({ PATH: process.env.PATH, ...env });

/** Runs the program as a process, to its end; what it says is kept as bytes. */
export function programBytes(args: readonly string[], options: ProcessOptions = {}) {
  const { cwd = root, input = '', env } = options;
  return spawnSync(process.execPath, [bin, ...args], {
    cwd,
    input,
    env: environment(env),
    timeout: 60_000,
    maxBuffer: 1 << 26,
  });
}

/** The same, with what it says as text. */
export function program(args: readonly string[], options: ProcessOptions = {}) {
  const { stdout, stderr, ...rest } = programBytes(args, options);
  return { ...rest, stdout: stdout.toString(), stderr: stderr.toString() };
}

/** Starts the program as a process of its own, which goes on beside the test. */
export function started(args: readonly string[], cwd: string): ChildProcessWithoutNullStreams {
  return spawn(process.execPath, [bin, ...args], { cwd });
}
