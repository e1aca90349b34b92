import { example } from '../example.js';
import { rule } from '../rule.js';

export const allowUsed = rule({
  id: 'allow-used',
  group: 'comments',
  level: 'warning',
  what: 'A comment that allows a finding is where there is one to allow.',
  why: 'When the key is fixed the comment is left behind, and hides the next fault in that place.',
  source: 'common practice, no source',
  fix: 'Remove the comment.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent, broken]}
couplets:
  # allow leads-exhaustive: printed so; a broken ring fits neither lead
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
  bad: example(`
couplets:
  # allow leads-exhaustive: printed so; a broken ring fits neither lead #! allow-used
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
});
