import type { CommandEntry } from '../command.js';
import { fromOption, KEY_ARGUMENT, KEYS_OPTION, STRICT_COLUMNS_OPTION } from '../shared-options.js';

/** What `test` takes and does, for its help and the check of its command line. */
export const TEST: CommandEntry = {
  name: 'test',
  purpose: 'check',
  summary: 'Test a key with specimens whose names are known.',
  arguments: [
    KEY_ARGUMENT,
    {
      name: 'TABLE...',
      help: 'collections as for identify, with what each is known to be under expect; - is the standard input',
    },
  ],
  options: [
    {
      flags: '--format <FORMAT>',
      help: 'how the results are written: for people, as TAP 14 or JUnit XML for build servers, or as lines of JSON',
      choices: ['text', 'tap', 'junit', 'ndjson'],
      standard: 'text',
    },
    { flags: '--strict', help: 'a specimen also fails when others are left besides what it is' },
    {
      flags: '--keep-going',
      help: 'count collections that cannot be read as failed, and continue',
    },
    fromOption('several'),
    STRICT_COLUMNS_OPTION,
    KEYS_OPTION,
  ],
  about: [
    'expect holds the id, the name, a synonym or a common name of a taxon, one that means no other; several (joined by |, or a list) mean any one of them. A genus or group stands for all that the key has in it; a taxon that the key does not reach stands for the group at which the key ends. Collections without expect are skipped and counted.',
    'Each specimen comes out right (nothing else is left), right among several, wrong (others are left, and it is not), or fits nothing. Wrong and nothing fail, and so does a taxon that the key does not hold. For each that fails, the report gives the couplet where it left the way, what ruled out the right lead, and how many wrong observations that would take; those whose harm was missed come first.',
    'Then come the confusions, couplet by couplet, and what the specimens do not exercise: leads that none took, and taxa of which there is no known specimen.',
    'The exit code is 1 when a specimen fails, and 2 when a table cannot be read.',
  ],
  examples: [
    {
      line: 'keywright test tarn-wood-tufts known.csv',
      does: 'shows which known finds the key names wrongly, and where it goes wrong',
    },
    {
      line: 'keywright test tarn-wood-tufts known.csv --format junit > tufts.xml',
      does: 'writes the same for a build server',
    },
  ],
  load: () => import('./command.js'),
};
