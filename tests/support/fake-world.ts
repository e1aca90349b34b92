import { PassThrough, Readable } from 'node:stream';
import type { World } from '../../src/terminal/world.js';

/** A world whose output is kept, for tests that run a command in this process. */
export interface FakeWorld extends World {
  /** Everything written so far. */
  readonly said: { out(): string; err(): string };
}

/** What a test may settle about the outside; the rest is a pipe in UTC noon of a fixed day. */
export interface FakeOptions {
  readonly stdin?: string | undefined;
  readonly columns?: number | undefined;
  readonly rows?: number;
  readonly env?: Readonly<Record<string, string | undefined>>;
  readonly cwd?: string;
  readonly terminal?: boolean | undefined;
}

/** Makes one. */
export function fakeWorld(options: FakeOptions = {}): FakeWorld {
  const [stdout, out] = kept();
  const [stderr, err] = kept();
  const terminal = options.terminal === true;
  return {
    stdin: Readable.from(options.stdin === undefined ? [] : [options.stdin]),
    stdout,
    stderr,
    env: options.env ?? {},
    cwd: options.cwd ?? process.cwd(),
    version: '0.0.0-test',
    signal: new AbortController().signal,
    now: () => new Date('2026-11-25T12:00:00Z'),
    columns: () => options.columns,
    rows: () => options.rows,
    isTTY: { stdin: terminal, stdout: terminal, stderr: terminal },
    colour: { stdout: 0, stderr: 0 },
    said: { out, err },
  };
}

function kept(): [PassThrough, () => string] {
  const stream = new PassThrough();
  let text = '';
  stream.on('data', (chunk: Buffer) => {
    text += chunk.toString('utf8');
  });
  return [stream, () => text];
}
