import { example } from '../example.js';
import { rule } from '../rule.js';

export const allowReason = rule({
  id: 'allow-reason',
  group: 'comments',
  level: 'error',
  what: 'A comment that allows a finding names an existing rule and says why the finding is allowed.',
  why: 'Without a reason, the next reader of the key cannot tell an oversight from a decision.',
  source: 'common practice, no source',
  fix: 'Write `# allow RULE: reason`; separate several rules with commas.',
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
characters:
  ring: {name: ring, states: [present, absent, broken]}
couplets:
  # allow leads-exhaustive #! allow-reason
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    # allow lead-oppens-alike: the printed key has it so #! allow-reason
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
});
