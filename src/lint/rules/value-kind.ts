import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const valueKind = rule({
  id: 'value-kind',
  group: 'the file',
  level: 'error',
  what: 'Text, a number, a list or a group of lines stands where it is wanted.',
  why: 'Another kind of thing cannot be taken for it.',
  source: FILE_FORMAT,
  fix: 'Write what the message expects; look at the indentation of the lines around.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: [Aa, aa]} #! value-kind
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
