/**
 * Everything a command may know of the outside: streams, clock, width, colour. `bin/keywright.js` asks
 * for one; tests make their own.
 */
import type { Readable, Writable } from 'node:stream';

/** 0 = none, 1 = 16 colours, 2 = 256 colours, 3 = 16 million colours. */
export type ColourLevel = 0 | 1 | 2 | 3;

/** The outside, as a command sees it. */
export interface World {
  readonly stdout: Writable;
  readonly stderr: Writable;
  readonly stdin: Readable;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** The folder that relative paths start from. */
  readonly cwd: string;
  /** The folder of the keys that ship with keywright; undefined where there are none. */
  readonly keysThatShip?: string | undefined;
  /** The version of keywright, for records and reports. */
  readonly version: string;
  /** Aborted when nobody reads stdout any more (`| head`): long work stops early and quietly. */
  readonly signal: AbortSignal;
  now(): Date;
  /** Cells in a line of the stream; undefined when it is not a terminal. Asked each time: windows change. */
  columns(stream: 'stdout' | 'stderr'): number | undefined;
  /** Lines of the terminal that prompts are drawn in; undefined when there is none. */
  rows(): number | undefined;
  readonly isTTY: { readonly stdin: boolean; readonly stdout: boolean; readonly stderr: boolean };
  readonly colour: { readonly stdout: ColourLevel; readonly stderr: ColourLevel };
}

interface MaybeTerminal {
  readonly isTTY?: boolean;
  readonly columns?: number;
  readonly rows?: number;
  getColorDepth?(env?: Record<string, string | undefined>): number;
}

/** The world of this process. */
export function processWorld(version: string, keysThatShip?: string): World {
  const { stdout, stderr, env } = process;
  const streams: { stdout: MaybeTerminal; stderr: MaybeTerminal } = { stdout, stderr };
  const closed = new AbortController();
  stdout.once('error', () => closed.abort());
  return {
    // Opened when first asked for: starting to read costs time, and most commands never do.
    get stdin() {
      return process.stdin;
    },
    stdout,
    stderr,
    env,
    // Asked when it is needed: a help can be shown in a folder that is gone.
    get cwd() {
      return process.cwd();
    },
    version,
    keysThatShip,
    signal: closed.signal,
    now: () => new Date(),
    columns: (name) => streams[name].columns || undefined,
    rows: () => streams.stderr.rows || streams.stdout.rows || undefined,
    isTTY: {
      get stdin() {
        return process.stdin.isTTY === true;
      },
      stdout: stdout.isTTY === true,
      stderr: stderr.isTTY === true,
    },
    colour: { stdout: colourLevel(stdout, env), stderr: colourLevel(stderr, env) },
  };
}

/** Whether an error means that the terminal is gone: its window was closed, or the connection to it ended. */
export function hungUp(error: unknown, { isTTY }: World): boolean {
  const { code } = error as { code?: unknown };
  return (code === 'EIO' || code === 'ENXIO') && (isTTY.stdin || isTTY.stderr || isTTY.stdout);
}

/**
 * How much colour a stream gets. FORCE_COLOR decides alone (`0` and `false` say none, `2` and `3` say how
 * much, anything else says some); then NO_COLOR with any text says none (https://no-color.org); then only a
 * terminal gets colour.
 */
export function colourLevel(
  stream: MaybeTerminal,
  env: Readonly<Record<string, string | undefined>>,
): ColourLevel {
  const { FORCE_COLOR: forced, NO_COLOR: refused, TERM: term } = env;
  if (forced !== undefined) {
    if (forced === '0' || forced === 'false') return 0;
    if (forced === '2') return 2;
    return forced === '3' ? 3 : 1;
  }
  if (refused !== undefined && refused !== '') return 0;
  if (stream.isTTY !== true || term === 'dumb') return 0;
  const depth = stream.getColorDepth?.({ ...env }) ?? 4;
  if (depth >= 24) return 3;
  if (depth >= 8) return 2;
  return depth >= 4 ? 1 : 0;
}
