import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const valueAllowed = rule({
  id: 'value-allowed',
  group: 'the file',
  level: 'error',
  what: 'Where only certain words are allowed, one of them is used.',
  why: 'The word decides what the program does; any other is not understood.',
  source: FILE_FORMAT,
  fix: 'Write one of the words that the message names.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, rank: specie} #! value-allowed
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
