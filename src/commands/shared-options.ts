import { givenFormats } from '../tables/format.js';
import type { OptionEntry } from './command.js';

/** Where keys are looked for by id; the same for every command that takes a KEY. */
export const KEYS_OPTION: OptionEntry = {
  flags: '--keys <DIR>',
  help: 'a folder to look for keys in first; the others are under `explain keys`',
  repeats: true,
};

/** Lets --out replace a file; the same for every command that has --out. */
export const OVERWRITE_OPTION: OptionEntry = {
  flags: '--overwrite',
  help: 'let --out replace a file that is there, but never one that is read for it or is write-protected',
};

/** Where the result goes. */
export const OUT_OPTION: OptionEntry = {
  flags: '-o, --out <FILE>',
  help: 'write it there instead of to stdout',
};

/** The operand that names a key. */
export const KEY_ARGUMENT = {
  name: 'KEY',
  help: 'a key file, a bundle of keys, or the id of a key (--keys says where that is looked for)',
} as const;

/** Refuses columns that mean nothing; the same for every command that reads tables of collections. */
export const STRICT_COLUMNS_OPTION: OptionEntry = {
  flags: '--strict-columns',
  help: 'a column that means nothing to the key is a mistake; else it is passed on to the results and named once',
};

/** Says how a table of collections is written, or how several are; the same for every command that reads them. */
export function fromOption(tables: 'one' | 'several'): OptionEntry {
  const help =
    tables === 'one'
      ? 'how the table is written (record: one find that was keyed); without it its name and first letters tell'
      : 'how the tables are written (record: one find that was keyed); without it their names and first letters tell';
  return { flags: '--from <FORMAT>', help, choices: givenFormats };
}

/** What of one key is what of another; the same for every command that carries evidence between keys. */
export const CORRESPONDENCES_OPTION: OptionEntry = {
  flags: '--correspondences <FILE>',
  help: 'which characters, states and taxa of one key are which of another, as `correspond` proposes and a person confirms it',
  repeats: true,
};
