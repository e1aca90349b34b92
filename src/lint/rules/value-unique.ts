import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const valueUnique = rule({
  id: 'value-unique',
  group: 'the file',
  level: 'error',
  what: 'Nothing is in a list twice.',
  why: 'The second was meant to be something else, or nothing.',
  source: FILE_FORMAT,
  fix: 'Correct the second, or remove it.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, months: [9, 9]} #! value-unique
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
