import type { CommandEntry } from '../command.js';
import { KEYS_OPTION, OUT_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `sheet` takes and does, for its help and the check of its command line. */
export const SHEET: CommandEntry = {
  name: 'sheet',
  purpose: 'identify',
  summary: 'Make a field sheet: what to look at, fresh, on which age, with which tools.',
  arguments: [{ name: 'KEY...', help: 'the keys that will be used: key files, or ids of keys' }],
  options: [
    {
      flags: '--format <FORMAT>',
      help: 'what is written (text when not given); html prints on one page for a key of usual size',
      choices: ['text', 'markdown', 'html'],
    },
    { flags: '--csv', help: 'the empty table instead, as identify reads it' },
    { flags: '--specimens <N>', help: 'how many specimens have a column', least: 1, standard: 3 },
    { flags: '--look', help: 'say how each character is looked at' },
    OUT_OPTION,
    OVERWRITE_OPTION,
    KEYS_OPTION,
  ],
  about: [
    'Only what some couplet or description of the keys (and of those they continue in) uses is on the sheet. What is soon lost comes first, then what shows on any age, on young, on mature specimens, then what takes more than an hour. Within each, what the keys ask earliest and most often comes first.',
  ],
  examples: [
    {
      line: 'keywright sheet tarn-wood-tufts --format html --out sheet.html',
      does: 'makes a sheet to print before going out',
    },
    {
      line: 'keywright sheet tarn-wood-tufts --csv > season.csv',
      does: 'begins a table of finds; keywright identify tarn-wood-tufts season.csv reads it',
    },
  ],
  load: () => import('./command.js'),
};
