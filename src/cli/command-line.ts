/** The command line: commander built from the table, and its complaints in our own words. */
import { Command, CommanderError, Option } from 'commander';
import type { ArgumentEntry, CommandEntry, OptionEntry } from '../commands/command.js';
import { Failure } from '../diagnostic/failure.js';
import { isSystemError, systemFailure } from '../diagnostic/system-error.js';
import { UsageError } from '../diagnostic/usage-error.js';
import { beginRun } from '../files/run-files.js';
import { withMessagesWrapped } from '../terminal/messages.js';
import { hungUp, type World } from '../terminal/world.js';
import { nearest } from '../text/nearest.js';
import { listed } from '../text/words.js';
import { commandHelp, programHelp } from './help.js';

/** Reads the command line, runs the command that it names, and returns its exit code. */
export async function runCommandLine(
  argv: readonly string[],
  world: World,
  commands: readonly CommandEntry[],
): Promise<number> {
  let code = 0;
  const program = new Command('keywright');
  program
    .helpOption('-h, --help')
    .version(world.version, '-V, --version')
    .addOption(new Option('--debug'))
    .helpCommand(false)
    .configureOutput({
      writeOut: (text) => void world.stdout.write(text),
      // What commander would print is thrown as well, and said once, by the caller.
      writeErr: () => undefined,
    })
    .exitOverride((error) => rethrown(error));
  program.helpInformation = () => programHelp(commands, world.columns('stdout'));

  for (const entry of commands) {
    const command = program
      .command(entry.name)
      .exitOverride((error) => rethrown(error, entry.name))
      .allowExcessArguments(false);
    command.helpInformation = () => commandHelp(entry, world.columns('stdout'));
    for (const argument of entry.arguments) command.argument(argumentName(argument));
    for (const option of entry.options) command.addOption(commanderOption(option, entry.name));
    command.action(async () => {
      beginRun();
      const module = await entry.load();
      code = await module.action(command.args, command.opts() as never, withMessagesWrapped(world));
    });
  }
  program.command('help [COMMAND]', { hidden: true }).action((name: string | undefined) => {
    const entry = commands.find((c) => c.name === name);
    if (name !== undefined && entry === undefined) program.error(unknownCommand(name, commands));
    const columns = world.columns('stdout');
    world.stdout.write(entry === undefined ? programHelp(commands, columns) : commandHelp(entry, columns));
  });

  try {
    await program.parseAsync([...argv], { from: 'user' });
  } catch (error) {
    if (error instanceof CommanderError && error.exitCode === 0) return 0;
    if (hungUp(error, world)) return 129;
    throw inWords(error);
  }
  return code;
}

const WRITING = /^(write|fsync|rename|link|unlink|mkdir|rmdir)/;

/**
 * What the system refused, as a Failure. Files that a command reads and writes have their names in its own messages; this
 * is for all else, such as modules that cannot be loaded. A reader who has gone is dealt with where that is known.
 */
function inWords(error: unknown): unknown {
  if (!isSystemError(error) || error.code === 'EPIPE') return error;
  const { syscall = '', path = 'something that is needed' } = error;
  if (syscall === 'uv_cwd')
    return new Failure('the folder you are in no longer exists', {
      cause: error,
      hint: 'go to another one with cd, then try again',
    });
  return systemFailure(error, path, WRITING.test(syscall) ? 'written' : 'read');
}

function unknownCommand(name: string, commands: readonly CommandEntry[]): string {
  const near = nearest(
    name,
    commands.map((c) => c.name),
  );
  return `unknown command '${name}'${near === undefined ? '' : ` (did you mean ${near}?)`}`;
}

/** Commander ends here both when it has shown help (code 0) and when it did not understand. */
function rethrown(error: CommanderError, command?: string): never {
  if (error.exitCode === 0) throw error;
  const message = error.message
    .replace(/^error: /, '')
    .replace(/\n\(Did you mean (.*?)\?\)/s, (_, word: string) => ` (did you mean ${word}?)`)
    .replace(
      /^option '(.*)' argument missing$/,
      (_, flags: string) => `${flags.replace(/[<>]/g, '')} lacks its value`,
    )
    .replace(/^missing required argument '(.*)'$/, (_, name: string) => `${name} is missing`)
    .replace(
      /^too many arguments.*Expected (\d+) .* got (\d+)\.?$/,
      'too many names given: expected $1, got $2',
    )
    .replace(/\.$/, '');
  throw new UsageError(message, command);
}

/** `KEY` -> `<KEY>`, `TABLE...` -> `<TABLE...>`, `[RULE]` as it is. */
function argumentName(argument: ArgumentEntry): string {
  return argument.name.startsWith('[') ? argument.name : `<${argument.name}>`;
}

function commanderOption(entry: OptionEntry, command: string): Option {
  const option = new Option(entry.flags);
  if (entry.standard !== undefined) option.default(entry.standard);
  const value = (text: string): string | number =>
    optionValue(entry, text, option.long ?? entry.flags, command);
  if (entry.repeats === true) {
    option.argParser((text: string, before: unknown[] | undefined) => [...(before ?? []), value(text)]);
  } else if (option.required || option.optional) {
    option.argParser(value);
  }
  return option;
}

/** The value that an option's text stands for. */
function optionValue(entry: OptionEntry, text: string, flag: string, command: string): string | number {
  const { choices, least } = entry;
  if (choices !== undefined && !choices.includes(text)) {
    const near = nearest(text, choices);
    const hint = near === undefined ? '' : ` (did you mean ${near}?)`;
    throw new UsageError(`${flag} takes ${listed(choices, 'or')}, not '${text}'${hint}`, command);
  }
  if (least === undefined) return text;
  const number = Number(text);
  if (/^\d+$/.test(text) && Number.isSafeInteger(number) && number >= least) return number;
  throw new UsageError(`${flag} takes a whole number, ${least} or more, not '${text}'`, command);
}
