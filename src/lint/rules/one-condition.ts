import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const oneCondition = rule({
  id: 'one-condition',
  group: 'the file',
  level: 'error',
  what: 'A lead has a condition or is the one for everything else, not both.',
  why: 'With both it is not clear which finds take the lead.',
  source: FILE_FORMAT,
  fix: 'Keep `when`, or keep `otherwise`.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, otherwise: true, taxon: bb} #! one-condition
`),
});
