import type { CommandEntry } from '../command.js';
import { CORRESPONDENCES_OPTION, fromOption, KEYS_OPTION, STRICT_COLUMNS_OPTION } from '../shared-options.js';

/** What `diff` takes and does, for its help and the check of its command line. */
export const DIFF: CommandEntry = {
  name: 'diff',
  purpose: 'check',
  summary: 'Show what two versions of a key change for people.',
  arguments: [
    { name: 'OLD', help: 'the older version: a key file, or the id of a key' },
    { name: 'NEW', help: 'the newer version' },
  ],
  options: [
    {
      flags: '--with <TABLE>',
      help: 'finds to take through both, as for identify; - is the standard input',
    },
    { flags: '--words', help: 'also show texts that were only reworded' },
    {
      flags: '--format <FORMAT>',
      help: 'how it is written',
      choices: ['text', 'markdown', 'json'],
      standard: 'text',
    },
    CORRESPONDENCES_OPTION,
    fromOption('one'),
    STRICT_COLUMNS_OPTION,
    KEYS_OPTION,
  ],
  about: [
    'Numbers of couplets, their order in the file and the ids of characters make no difference, and neither do words as long as the conditions stay. Taxa are the same by id and name, by name, by a synonym, and last by id alone.',
    'For each taxon the finds that end there are compared exactly, over all that finds can show, and a find that ends elsewhere is run through both versions before it is shown. What would cost too much to work out is said to be not decided, and finds are drawn instead.',
    'Leads without a condition are compared by the answers of a person: the same words, the same answer. In a table, leads that a person took are those of the older version.',
    'With --correspondences, two keys of different authors are compared: what the file confirms is one character or taxon, and a find shows a state of both keys at once; "ochre = rust" is ochre in the one and rust in the other. A character that is in both under one id and not confirmed is two.',
    'Exit code 0: nothing has changed for people; 1: something has; 2: it could not be compared.',
  ],
  examples: [
    {
      line: 'keywright diff tufts-0.4.key.yaml keys/tarn-wood-tufts.key.yaml --with season.csv',
      does: 'shows what a new version does to taxa, to finds, and to those of a season',
    },
  ],
  load: () => import('./command.js'),
};
