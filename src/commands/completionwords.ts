import type { CommandEntry, OptionEntry } from './command.js';
import { PROGRAM_OPTIONS } from './help.js';

/** What a word on the command line can be. */
export type Kind =
  | { readonly what: 'words'; readonly words: readonly string[] }
  /** A key: its id, or its file. */
  | { readonly what: 'key' }
  | { readonly what: 'file' }
  | { readonly what: 'folder' }
  /** Words of the person's own. */
  | { readonly what: 'free' };

/** An option as shells complete it. */
export interface OptionWords {
  /** `-o`, `--out`. */
  readonly names: readonly string[];
  /** What follows it; undefined when nothing does. */
  readonly value: Kind | undefined;
  readonly help: string;
  readonly repeats: boolean;
}

/** A command as shells complete it. */
export interface CommandWords {
  readonly name: string;
  readonly help: string;
  readonly options: readonly OptionWords[];
  /** What each operand can be; the last one holds for all that follow when `repeats`. */
  readonly operands: readonly Kind[];
  readonly repeats: boolean;
}

/** What must be known besides the table of commands. */
export interface Vocabulary {
  /** The ids of the rules of lint. */
  readonly rules: readonly string[];
}

/** The commands as shells complete them, from the table; last `help`, which is not in it. */
export function commandWords(commands: readonly CommandEntry[], vocabulary: Vocabulary): CommandWords[] {
  const made = commands.map(
    (entry): CommandWords => ({
      name: entry.name,
      help: entry.summary,
      options: [
        ...entry.options.map(optionWords),
        ...programOptions().filter((o) => !o.names.includes('--version')),
      ],
      operands: entry.arguments.map(({ name }) => operandKind(name, vocabulary)),
      repeats: entry.arguments.at(-1)?.name.includes('...') ?? false,
    }),
  );
  const help: CommandWords = {
    name: 'help',
    help: 'Show the help of a command.',
    options: [],
    operands: [{ what: 'words', words: commands.map((c) => c.name) }],
    repeats: false,
  };
  return [...made, help];
}

/** The options that stand before any command. */
export function programOptions(): OptionWords[] {
  return PROGRAM_OPTIONS.map(optionWords);
}

function optionWords({ flags, help, choices, repeats }: OptionEntry): OptionWords {
  const names = [...flags.matchAll(/(?<![\w-])--?[a-zA-Z][\w-]*/g)].map((m) => m[0]);
  const place = /<([^>]+)>/.exec(flags)?.[1];
  return {
    names,
    value: place === undefined ? undefined : valueKind(place, choices),
    help,
    repeats: repeats === true,
  };
}

function valueKind(place: string, choices: readonly string[] | undefined): Kind {
  if (choices !== undefined) return { what: 'words', words: choices };
  if (/^(DIR|FOLDER)/.test(place)) return { what: 'folder' };
  if (/^(KEY|OLD|NEW)/.test(place)) return { what: 'key' };
  if (/^(FILE|TABLE|LIST)/.test(place)) return { what: 'file' };
  return { what: 'free' };
}

/** `KEY`, `TABLE...`, `[RULE]`: the names of operands say what they are. */
function operandKind(name: string, { rules }: Vocabulary): Kind {
  const bare = name.replace(/[[\].]/g, '');
  if (/^(KEY|OLD|NEW)$/.test(bare)) return { what: 'key' };
  if (bare === 'RULE') return { what: 'words', words: rules };
  if (bare === 'SHELL') return { what: 'words', words: SHELLS };
  return { what: 'file' };
}

/** The shells that can be served. */
export const SHELLS = ['bash', 'zsh', 'fish'] as const;
export type ShellName = (typeof SHELLS)[number];

/** A text between single quotes, as all three shells read it. */
export function quotedForShell(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}

/**
 * The command that lists the ids of keys in the folders given: it looks for the line `id:` near the top of each key file,
 * so that pressing Tab starts no program but sed.
 */
export const SED_IDS = String.raw`sed -n -e '/^id:/{s/^id:[[:space:]]*["'\'']\{0,1\}\([a-z0-9][a-z0-9-]*\).*/\1/p;q;}'`;
