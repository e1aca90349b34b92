import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const valueKind = rule({
  id: 'value-kind',
  group: 'the file',
  level: 'error',
  what: 'Text, a number, a list or a group of lines is where it is expected.',
  why: 'Nothing else can be read in its place.',
  source: FILE_FORMAT,
  fix: 'Write what the message expects; check the indentation of the lines around it.',
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
