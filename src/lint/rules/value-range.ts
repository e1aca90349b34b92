import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const valueRange = rule({
  id: 'value-range',
  group: 'the file',
  level: 'error',
  what: 'A number lies within its limits.',
  why: 'There is no thirteenth month, and no reliability above 1.',
  source: FILE_FORMAT,
  fix: 'Correct the number.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, months: [9, 13]} #! value-range
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
