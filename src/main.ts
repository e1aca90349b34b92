/**
 * The program behind `bin/keywright.js`. Only what `--help` needs is imported here at once: the command line
 * parser and each command's module are loaded when they are asked for.
 */

import { programHelp } from './cli/help.js';
import { COMMANDS } from './cli/table.js';
import { ASKED_AS, type CommandEntry } from './commands/command.js';
import { Failure } from './diagnostic/failure.js';
import { UsageError } from './diagnostic/usage-error.js';
import type { World } from './terminal/world.js';
import { harmless } from './text/harmless.js';

export { processWorld } from './terminal/world.js';

/**
 * Does what the command line asks and resolves to the exit code. Known failures are said in a sentence on
 * stderr; an error thrown out of here is a bug.
 */
export async function main(
  argv: readonly string[],
  world: World,
  commands: readonly CommandEntry[] = COMMANDS,
): Promise<number> {
  if (argv.length === 0) {
    world.stderr.write(programHelp(commands, world.columns('stderr')));
    return 2;
  }
  if (argv.length === 1 && (argv[0] === '--help' || argv[0] === '-h' || argv[0] === 'help')) {
    world.stdout.write(programHelp(commands, world.columns('stdout')));
    return 0;
  }
  try {
    if (argv[0] === ASKED_AS) {
      const { writeFits } = await import('./cli/what-fits.js');
      return await writeFits(argv.slice(1), world, commands);
    }
    const { runCommandLine } = await import('./cli/command-line.js');
    return await runCommandLine(argv, world, commands);
  } catch (error) {
    return await failed(error, world);
  }
}

/** The exit code of a known failure, after saying it. */
async function failed(error: unknown, world: World): Promise<number> {
  if (error instanceof UsageError || error instanceof Failure) {
    const { withMessagesWrapped } = await import('./terminal/messages.js');
    sayWhy(error, withMessagesWrapped(world));
    return 2;
  }
  if (!(error instanceof Error)) throw error;
  // ^C at a prompt; the class lives in a package that is only loaded when something is asked.
  if (error.name === 'ExitPromptError') return 130;
  // Nobody reads any more: the reader had enough, which is no failure.
  const broken = error.name === 'AbortError' || ('code' in error && error.code === 'EPIPE');
  if (broken && world.signal.aborted) return 0;
  throw error;
}

function sayWhy(error: UsageError | Failure, { stderr }: World): void {
  const say = (text: string): void => void stderr.write(`${harmless(text)}\n`);
  if (error instanceof UsageError) {
    const command = error.command === undefined ? '' : ` ${error.command}`;
    say(`keywright${command}: ${error.message}; see \`keywright${command} --help\``);
    return;
  }
  say(`keywright: ${error.message}`);
  if (error.hint !== undefined) say(`hint: ${error.hint}`);
}
