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
    { flags: '--keep-numbers', help: 'leave the couplets the numbers that they have' },
    { flags: '--keep-unused', help: 'leave characters, terms and sources that nothing speaks of any more' },
    {
      flags: '--drop-harmful',
      help: 'let harmful look-alikes go that are not on the list; without it they stay',
    },
    { flags: '--id <ID>', help: 'the id of the trimmed key; else that of the key and the name of the list' },
    { flags: '--title <TITLE>', help: 'its title; else that of the key and the name of the list' },
    { flags: '--report <FILE>', help: 'write what was done there as well, as JSON' },
    { flags: '--strict', help: 'exit code 1 when the key does not know a name of the list' },
    KEYS_OPTION,
  ],
  about: [
    'A name of the list is an id, a name with or without its author, a synonym or a common name. A genus or group keeps all that it holds; a species whose own end the key lacks keeps the end of its genus. Behind # stands a comment. Of a Darwin Core table, rows with occurrenceStatus absent are passed over.',
    'Comments and layout of what stays are kept. A couplet with one lead left is taken out, and what it said is no longer asked; a lead "otherwise" is written out as a condition where it would else take the finds of leads that went. Keys that it goes on in are not changed.',
    'Taxa recorded as deadly, severe or upsetting stay when one that is kept may be taken for them: when one names the other as alike, when they stand in one couplet, or when one wrong observation parts them.',
    'What was done is said on stderr. What to look at first: taxa that are no longer in the key and would key out as another.',
  ],
  examples: [
    {
      line: 'keywright trim tarn-wood-tufts --to my-wood.txt --out my-wood.key.yaml',
      does: 'writes a key to the taxa of the list and says what went',
    },
  ],
  load: () => import('./command.js'),
};
