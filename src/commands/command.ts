/** What the table of commands says of each, and what a command's own module must export. */
import type { World } from '../terminal/world.js';

/** The name under which a script asks the program; a person has no need of it, so no help names it. */
export const ASKED_AS = 'what-fits';

/** What each command is for; the help lists them under these headings, in this order. */
export const PURPOSES = {
  identify: 'Identify finds',
  check: 'Check a key',
  read: 'Look at a key',
  write: 'Write, change and share keys',
  shell: 'In your shell',
} as const;

/** A heading of the help. */
export type Purpose = keyof typeof PURPOSES;

/** An operand of a command. `TABLE...` repeats, `[TOPIC]` may be left out. */
export interface ArgumentEntry {
  readonly name: string;
  readonly help: string;
}

/** An option of a command. */
export interface OptionEntry {
  /** `--keys <DIR>`, `-q, --quiet`: capitals stand for what the person writes. */
  readonly flags: string;
  readonly help: string;
  /** The words allowed as value. */
  readonly choices?: readonly string[];
  /** The value is a whole number, this or more. */
  readonly least?: number;
  /** May be given several times; the command gets a list. */
  readonly repeats?: boolean;
  /** Used when the option is not given; shown in the help. */
  readonly standard?: string | number;
}

/** A line to copy, and what it does. */
interface ExampleEntry {
  readonly line: string;
  readonly does: string;
}

/**
 * The module of a command. `args` are the operands in the order given, `options` the options by their name
 * in camel case (`--keep-going` is `keepGoing`). Resolves to the exit code.
 */
interface CommandModule {
  readonly action: (args: readonly string[], options: never, world: World) => Promise<number>;
}

/** One command, as the table lists it. */
export interface CommandEntry {
  readonly name: string;
  readonly purpose: Purpose;
  readonly summary: string;
  readonly arguments: readonly ArgumentEntry[];
  readonly options: readonly OptionEntry[];
  /** Paragraphs shown after the options. */
  readonly about?: readonly string[];
  readonly examples?: readonly ExampleEntry[];
  readonly load: () => Promise<CommandModule>;
}
