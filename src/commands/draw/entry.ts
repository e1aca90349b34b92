import type { CommandEntry } from '../command.js';
import { KEY_ARGUMENT, KEYS_OPTION, OUT_OPTION, OVERWRITE_OPTION } from '../shared-options.js';

/** What `draw` takes and does, for its help and the check of its command line. */
export const DRAW: CommandEntry = {
  name: 'draw',
  purpose: 'read',
  summary: 'Draw a key as a picture.',
  arguments: [KEY_ARGUMENT],
  options: [
    {
      flags: '--format <FORMAT>',
      help: 'a picture, or a text from which other programs make one',
      choices: ['svg', 'dot', 'mermaid'],
      standard: 'svg',
    },
    {
      flags: '--leads <HOW>',
      help: 'leads with all their words, or one line of each',
      choices: ['full', 'short'],
      standard: 'full',
    },
    {
      flags: '--findings <LEVEL>',
      help: 'what lint finds is marked, down to this level',
      choices: ['error', 'warning', 'note', 'none'],
      standard: 'warning',
    },
    {
      flags: '--levels <N>',
      help: 'how many couplets deep a branch of the picture goes before it starts at the left again (8 when not given)',
      least: 2,
    },
    {
      flags: '--together <N>',
      help: 'about how many couplets are drawn together before branches start at the left again (32 when not given)',
      least: 2,
    },
    { flags: '--renumber', help: 'number the couplets in reading order, in the picture only' },
    { flags: '--chain', help: 'draw the keys that it continues in as well' },
    OUT_OPTION,
    OVERWRITE_OPTION,
    KEYS_OPTION,
  ],
  about: [
    'Branches go from left to right in reading order. The harm recorded for an end is written in words and shown by how dark the end and how dense its pattern is, so that it can be told on grey paper and by every eye.',
  ],
  examples: [
    {
      line: 'keywright draw tarn-wood-tufts --out tufts.svg',
      does: 'draws a key, with what lint finds in it',
    },
    {
      line: 'keywright draw gill-genera --chain --format dot',
      does: 'writes a graph of a key and all it continues in',
    },
  ],
  load: () => import('./command.js'),
};
