import type { OptionEntry } from '../command.js';

/** Where keys are looked for by id; the same for every command that takes a KEY. */
export const KEYS_OPTION: OptionEntry = {
  flags: '--keys <DIR>',
  help: 'a further folder to look for keys in, besides ./keys and the folder of the key itself',
  repeats: true,
};

/** The operand that names a key. */
export const KEY_ARGUMENT = {
  name: 'KEY',
  help: 'a key file, a bundle of keys, or the id of a key in ./keys or in a folder given by --keys',
} as const;
