import { UsageError } from '../../diagnostic/usage-error.js';
import type { World } from '../../terminal/world.js';
import { quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { listed } from '../../text/words.js';
import { SCRIPTS, SHELLS, type ShellName } from './shells.js';

/** Writes the script with which a shell completes the commands of the program. */
export async function action(
  [shell = '']: readonly string[],
  _options: object,
  world: World,
): Promise<number> {
  if (!SHELLS.includes(shell as ShellName)) {
    const near = nearest(shell, SHELLS);
    const hint = near === undefined ? '' : ` (did you mean ${near}?)`;
    throw new UsageError(`SHELL is ${listed(SHELLS, 'or')}, not ${quoted(shell)}${hint}`, 'completion');
  }
  world.stdout.write(SCRIPTS[shell as ShellName]);
  return 0;
}
