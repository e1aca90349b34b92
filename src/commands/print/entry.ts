import type { CommandEntry } from '../command.js';
import { KEY_ARGUMENT, KEYS_OPTION, OUT_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `print` takes and does, for its help and the check of its command line. */
export const PRINT: CommandEntry = {
  name: 'print',
  purpose: 'write',
  summary: 'Print a key in one of the classical layouts.',
  arguments: [KEY_ARGUMENT],
  options: [
    {
      flags: '--layout <LAYOUT>',
      help: 'the leads of a couplet together, or each lead followed by everything under it',
      choices: ['bracketed', 'indented'],
      standard: 'bracketed',
    },
    {
      flags: '--format <FORMAT>',
      help: 'what is written; html prints well on A5 and A4',
      choices: ['text', 'markdown', 'html'],
      standard: 'text',
    },
    { flags: '--width <N>', help: 'the width of text; by default that of the terminal, or 80', least: 40 },
    {
      flags: '--paper <SIZE>',
      help: 'set the paper of html; by default the printer decides',
      choices: ['a5', 'a4'],
    },
    {
      flags: '--levels <N>',
      help: 'how many levels deep the indented layout goes before it starts at the margin again (8 when not given)',
      least: 2,
    },
    { flags: '--renumber', help: 'number the couplets in reading order, in the print only' },
    { flags: '--write', help: 'put the couplets of the file itself in reading order, then print' },
    { flags: '--chain', help: 'print the keys that it continues in after it' },
    { flags: '--brief', help: 'leave out scope, notes, taxa, terms and sources' },
    OUT_OPTION,
    OVERWRITE_OPTION,
    KEYS_OPTION,
  ],
  about: [
    'The number of a couplet is followed, in brackets, by all leads that lead to it. A couplet that several leads lead to is printed once. A name is followed, in words, by the harm that is recorded for it.',
    '--write moves and numbers the couplets in the file and keeps its comments and layout. Keys that continue in this one at a certain couplet are named, since they are not changed.',
    'KEYWRIGHT_POISON_CENTRE holds the telephone number that the cautions show.',
  ],
  examples: [
    {
      line: 'keywright print tarn-wood-tufts --format html --out tufts.html',
      does: 'makes a page for a browser and for paper',
    },
    { line: 'keywright print tarn-wood-tufts --layout indented', does: 'shows how the key branches' },
  ],
  load: () => import('./command.js'),
};
