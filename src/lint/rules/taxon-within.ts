import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const taxonWithin = rule({
  id: 'taxon-within',
  group: 'the file',
  level: 'error',
  what: 'No taxon is within itself.',
  why: 'A species cannot contain its own genus.',
  source: FILE_FORMAT,
  fix: 'Correct one of the `within` lines.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, within: aa} #! taxon-within
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
