import type { CommandEntry } from '../command.js';
import { KEY_ARGUMENT, KEYS_OPTION } from '../shared-options.js';

/** What `show` takes and does, for its help and the check of its command line. */
export const SHOW: CommandEntry = {
  name: 'show',
  purpose: 'read',
  summary: 'Show what a key is like: size, depth, balance, characters, ways.',
  arguments: [KEY_ARGUMENT],
  options: [
    { flags: '--format <FORMAT>', help: 'how it is written', choices: ['text', 'json'], standard: 'text' },
    KEYS_OPTION,
  ],
  about: [
    'Depth is counted in couplets and compared with the best that any key for as many answers can do, and with a ladder, the longest useful shape. Where taxa have a frequency, the mean by frequency is compared with the best that Huffman and Shannon allow.',
    'Answers are what is told apart: taxa that end together are one, and so is a key that a lead continues in.',
  ],
  examples: [
    { line: 'keywright show tarn-wood-tufts', does: 'shows how long the key is, and how long it need be' },
  ],
  load: () => import('./command.js'),
};
