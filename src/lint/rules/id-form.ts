import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const idForm = rule({
  id: 'id-form',
  group: 'the file',
  level: 'error',
  what: 'Ids are written as ids: lower-case letters, digits and hyphens; couplets as printed: letters, digits and dots.',
  why: 'Ids are typed in tables and commands, where capitals, spaces and signs are easily mistyped.',
  source: FILE_FORMAT,
  fix: 'Write the id in lower-case letters, with words joined by hyphens; the name beside it may be anything.',
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
  Dd dd: {name: Dd dd} #! id-form
  cc: {name: Cc cc}
`),
});
