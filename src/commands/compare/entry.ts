import type { CommandEntry } from '../command.js';
import { CORRESPONDENCES_OPTION, fromOption, KEYS_OPTION, STRICT_COLUMNS_OPTION } from '../shared-options.js';

/** What `compare` takes and does, for its help and the check of its command line. */
export const COMPARE: CommandEntry = {
  name: 'compare',
  purpose: 'identify',
  summary: 'Take the same collections through several keys, side by side.',
  arguments: [
    {
      name: 'KEY...',
      help: 'key files, bundles, or ids of keys; with one key, finds are compared with each other',
    },
  ],
  options: [
    {
      flags: '--with <TABLE>',
      help: 'the collections or a record, as for identify; a column that no key knows is a mistake; - is the standard input',
    },
    {
      flags: '--find <ID>',
      help: 'with one key: a find to compare, the first with each of the others',
      repeats: true,
    },
    {
      flags: '--format <FORMAT>',
      help: 'how the results are written',
      choices: ['text', 'ndjson', 'yaml'],
      standard: 'text',
    },
    { flags: '--strict', help: 'exit code 1 unless the keys (or the finds) agree throughout' },
    CORRESPONDENCES_OPTION,
    fromOption('one'),
    STRICT_COLUMNS_OPTION,
    KEYS_OPTION,
  ],
  about: [
    'Taxa of different keys are the same when they have the same id or name, or when one has the other among its synonyms. For each collection stand what each key leaves, what all and what any of them leave, the lowest taxon that holds all of it, the first couplet where the ways part, and what a key does not hold at all. The verdict goes by the worst that any of the keys leaves.',
    'A character that only some of the keys know is passed over by the others. A state that a key does not know counts as "cannot tell" there. A number without a unit is in the unit of the first key that has the character, and a couplet without the id of a key is one of the first key.',
    'Of a record each key takes what it understands; what it cannot use is said.',
    'With --correspondences, what was seen in the terms of one key is carried into the other, as far as the file confirms it. A column that both keys know is then in the terms of the first, unless only the other has its states. Keys that have no taxon in common, or know nothing of what was seen, are not comparable, which is no disagreement.',
    'With one key, a second gathering is checked against the first: what agrees, what contradicts, and which taxa both may be.',
  ],
  examples: [
    {
      line: 'keywright compare tarn-wood-tufts my-tufts.key.yaml --with season.csv',
      does: 'shows for each collection where two keys agree and where they part',
    },
    {
      line: 'keywright compare tarn-wood-tufts --with season.csv --find TH-7 --find TH-19',
      does: 'checks a second gathering against the first',
    },
  ],
  load: () => import('./command.js'),
};
