import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const characterKnown = rule({
  id: 'character-known',
  group: 'the file',
  level: 'error',
  what: 'A condition or a description names characters of the key or of the terms it uses.',
  why: 'A question about an unknown character cannot be asked.',
  source: FILE_FORMAT,
  fix: 'Correct the name, or add the character.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, when: {rings: present}, taxon: aa} #! character-known
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
});
