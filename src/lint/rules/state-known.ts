import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const stateKnown = rule({
  id: 'state-known',
  group: 'the file',
  level: 'error',
  what: 'A condition or a description names states that the character has.',
  why: 'A state that is not on the list can never be seen.',
  source: FILE_FORMAT,
  fix: 'Correct the state, or add it to the character.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: presnt}, taxon: aa} #! state-known
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
});
