import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const idUnique = rule({
  id: 'id-unique',
  group: 'the file',
  level: 'error',
  what: 'No id is used twice.',
  why: 'Of two couplets, taxa or characters with the same id, only the first would be found.',
  source: FILE_FORMAT,
  fix: 'Give one of the two another id, or remove it.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  aa: {name: Aa aa var. b} #! id-unique
  cc: {name: Cc cc}
`),
});
