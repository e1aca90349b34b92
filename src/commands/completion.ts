import { rules } from '../lint/rules/index.js';
import type { World } from '../terminal/world.js';
import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { listed } from '../text/words.js';
import { UsageError } from './command.js';
import { bashCompletion } from './completionbash.js';
import { fishCompletion } from './completionfish.js';
import { commandWords, programOptions, SHELLS, type ShellName } from './completionwords.js';
import { zshCompletion } from './completionzsh.js';
import { COMMANDS } from './table.js';

/** Writes the completion of the program for a shell, made from the table of commands. */
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
  const commands = commandWords(COMMANDS, { rules: rules.map((r) => r.id) });
  const make = { bash: bashCompletion, zsh: zshCompletion, fish: fishCompletion }[shell as ShellName];
  world.stdout.write(make(commands, programOptions()));
  return 0;
}
