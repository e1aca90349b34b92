import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const taxonKnown = rule({
  id: 'taxon-known',
  group: 'the file',
  level: 'error',
  what: 'Taxa named in `within`, as look-alikes, or as reached are taxa of the key.',
  why: 'What is named must have its description and its concern somewhere.',
  source: FILE_FORMAT,
  fix: 'Correct the id, or add the taxon.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, alike: [cb]} #! taxon-known
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
