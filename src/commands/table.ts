/**
 * Every command, in the order of the help. Adding one: its module beside this file, exporting `action`, and
 * an entry here. Modules are loaded when the command is asked for, never before.
 */
import type { CommandEntry, OptionEntry } from './command.js';

/** Where keys are looked for by id; the same for every command that takes a KEY. */
export const KEYS_OPTION: OptionEntry = {
  flags: '--keys <DIR>',
  help: 'a further folder to look for keys in, besides ./keys and the folder of the key itself',
  repeats: true,
};

/** The operand that names a key. */
export const KEY_ARGUMENT = {
  name: 'KEY',
  help: 'a key file, or the id of a key in ./keys or in a folder given by --keys',
} as const;

/** The commands. */
export const COMMANDS: readonly CommandEntry[] = [
  {
    name: 'run',
    purpose: 'identify',
    summary: 'Key out one find, couplet by couplet.',
    arguments: [KEY_ARGUMENT],
    options: [
      {
        flags: '--with <FILE>',
        help: 'start from what was seen: a table of collections with one find in it',
      },
      { flags: '--id <TEXT>', help: 'the find to take from the table; without one, a name for the find' },
      { flags: '--record <FILE>', help: 'keep the determination there, written anew after every answer' },
      { flags: '--resume <FILE>', help: 'go on with the determination kept there' },
      KEYS_OPTION,
    ],
    about: [
      'In a terminal, one key press is an answer: the letter of a lead, or ? when you cannot tell; H shows all keys. Couplets that follow from what is known answer themselves.',
      'Without a terminal, each line of the input is an answer: a letter, ?, back, note TEXT, terms, look, stop (show the result with all that is still possible) or leave. When they run out before the end, the exit code is 2.',
      'The couplets go to stderr, the result to stdout. KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
    ],
    examples: [
      {
        line: 'keywright run tarn-wood-tufts --record find.yaml',
        does: 'keys out a find with the key of that id and keeps the determination',
      },
      {
        line: "printf 'b\\nc\\na\\na\\n' | keywright run tarn-wood-tufts",
        does: 'answers the couplets from a pipe',
      },
    ],
    load: () => import('./run.js'),
  },
];
