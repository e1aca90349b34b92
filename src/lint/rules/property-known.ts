import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const propertyKnown = rule({
  id: 'property-known',
  group: 'the file',
  level: 'error',
  what: 'Every line has a name that is allowed in its place.',
  why: 'A mistyped or misplaced line would be ignored, and what it says with it.',
  source: FILE_FORMAT,
  fix: 'Correct the name, or move the line to where it belongs.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, rnak: species} #! property-known
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
