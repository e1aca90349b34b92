import { example } from '../example.js';
import { rule } from '../rule.js';

export const pathAcyclic = rule({
  id: 'path-acyclic',
  group: 'structure',
  level: 'error',
  what: 'No path through the key, or through the keys it continues in, comes back to a couplet already passed.',
  why: 'A find on such a path never gets a name. Branches may join again; they may not form a circle.',
  source: 'encyclopedia article “Reticulation (single-access key)”: a reticulated key is an acyclic graph',
  fix: 'The leads of the shortest circle are listed in order; one of them has the wrong number.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, to: 2}
    - {lead: Ring absent, to: 3}
  2:
    - {lead: Ring white, taxon: aa}
    - {lead: Ring brown, to: 3}
  3:
    - {lead: Cap red, taxon: bb}
    - {lead: Cap brown, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, to: 2}
    - {lead: Ring absent, taxon: aa}
  2:
    - {lead: Ring white, taxon: bb}
    - {lead: Ring brown, to: 3}
  3:
    - {lead: Cap red, taxon: cc}
    - {lead: Cap brown, to: 2} #! path-acyclic
`),
});
