import type { Finding } from '../diagnostic/finding.js';
import { UsageError } from '../diagnostic/usage-error.js';
import { OutFile } from '../files/out.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';
import { findingCount } from '../words/findings.js';

/** Where a command writes: the options `--out` and `--overwrite`. */
export interface OutFlags {
  readonly out?: string;
  readonly overwrite?: boolean;
}

/** Refuses `--overwrite` where there is no `--out` for it. */
export function checkOut({ out, overwrite }: OutFlags, command: string): void {
  if (overwrite === true && out === undefined) throw new UsageError('--overwrite is for --out FILE', command);
}

/** Writes a text to the file that `--out` names, or to stdout. */
export function writeOut(text: string, { out, overwrite }: OutFlags, world: World): void {
  if (out === undefined) world.stdout.write(text);
  else new OutFile(world.cwd, out, overwrite).write(text);
}

/** The exit code of a command that shows keys with errors all the same: 1 then, and it says so; `done` is "was drawn". */
export function codeDespite(
  errors: readonly Finding[],
  file: string,
  done: 'is shown' | 'was drawn' | 'was printed',
  world: World,
): 0 | 1 {
  if (errors.length === 0) return 0;
  world.stderr.write(`keywright: ${harmless(file)} ${done}, but it has ${findingCount(errors)}\n`);
  return 1;
}
