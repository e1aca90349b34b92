import { example } from '../example.js';
import { rule } from '../rule.js';

export const targetExists = rule({
  id: 'target-exists',
  group: 'structure',
  level: 'error',
  what: 'The couplet, taxon or key that a lead names exists, and so does the couplet at which the key starts.',
  why: 'A reader who takes the lead is stranded. Numbers go stale when couplets are added or removed.',
  source: 'common practice, no source',
  fix: 'Correct the number or name; the nearest one that exists is given.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, to: 2}
    - {lead: Ring absent, taxon: aa}
  2:
    - {lead: Ring white, taxon: bb}
    - {lead: Ring brown, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, to: 3} #! target-exists
    - {lead: Ring absent, taxon: aa}
  2:
    - {lead: Ring white, taxon: bbb} #! target-exists
    - {lead: Ring brown, taxon: cc}
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
