import { toldOnly } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const textSize = rule({
  id: 'text-size',
  group: 'the file',
  level: 'error',
  what: 'A file has at most 24 MB.',
  why: 'A key of 10,000 couplets takes about 4 MB; a larger file is not a key.',
  source: FILE_FORMAT,
  fix: 'Split the key into keys that lead to each other.',
  good: toldOnly('A file of 4 MB.'),
  bad: toldOnly('A file of more than 24 MB.'),
});
