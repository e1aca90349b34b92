import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const valueNeeded = rule({
  id: 'value-needed',
  group: 'the file',
  level: 'error',
  what: 'A name before ":" has something after it.',
  why: 'A line without a value says nothing; perhaps its value is indented wrongly.',
  source: FILE_FORMAT,
  fix: 'Write the value, or leave the line out.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, rank: } #! value-needed
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
