import type { CommandEntry } from '../command.js';
import { KEY_ARGUMENT, KEYS_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `trim` takes and does, for its help and the check of its command line. */
export const TRIM: CommandEntry = {
  name: 'trim',
  purpose: 'write',
  summary: 'Cut a key to a local list of taxa.',
  arguments: [KEY_ARGUMENT],
  options: [
    {
      flags: '--to <LIST>',
      help: 'the taxa to keep: one name a line, or a table (CSV, TSV, Darwin Core) with a column of names',
    },
    { flags: '-o, --out <FILE>', help: 'write the trimmed key there instead of to stdout' },
    OVERWRITE_OPTION,
    { flags: '--keep-numbers', help: 'keep the numbers of the couplets' },
    { flags: '--keep-unused', help: 'keep characters, terms and sources that are no longer used' },
    {
      flags: '--drop-harmful',
      help: 'leave out harmful look-alikes that are not on the list; without it they stay',
    },
    {
      flags: '--id <ID>',
      help: 'the id of the trimmed key; by default that of the key with the name of the list',
    },
    { flags: '--title <TITLE>', help: 'its title; by default that of the key with the name of the list' },
    { flags: '--report <FILE>', help: 'also write the report to this file, as JSON' },
    { flags: '--strict', help: 'exit code 1 when the key does not know a name on the list' },
    KEYS_OPTION,
  ],
  about: [
    'A name on the list is an id, a name with or without its author, a synonym or a common name. A genus or group keeps all that it holds; a species whose own end the key lacks keeps the end of its genus. What follows # is a comment. Rows of a Darwin Core table with occurrenceStatus absent are skipped.',
    'Comments and layout of what stays are kept. A couplet with one lead left is taken out, and what it said is no longer asked; an "otherwise" lead is written out as a condition where it would take the finds of removed leads. Keys that it continues in are not changed.',
    'Taxa recorded as deadly, severe or upsetting stay when one that is kept may be taken for them: when one names the other as alike, when they are in one couplet, or when one wrong observation separates them.',
    'stderr says what was done. Look first at the taxa that are no longer in the key and would key out as another.',
  ],
  examples: [
    {
      line: 'keywright trim tarn-wood-tufts --to my-wood.txt --out my-wood.key.yaml',
      does: 'writes a key to the taxa on the list and says what was removed',
    },
  ],
  load: () => import('./command.js'),
};
