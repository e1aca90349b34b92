import { listed } from '../../text/words.js';
import { endPlaces, endsOf } from '../ends.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const taxonKeyedOnce = rule({
  id: 'taxon-keyed-once',
  group: 'structure',
  level: 'note',
  what: 'A taxon that is keyed out more than once is marked `repeats: meant`.',
  why: 'A variable taxon is best put on both sides; one that is there twice by accident is a mistake in one of the two places.',
  source:
    'allowed by Flora of Nepal, contributors’ guide, and by Laferriere and Wilson on the Taxacom list, 1995; to be avoided where possible according to the herbarium of Utah State University',
  fix: 'Mark the taxon `repeats: meant`, or correct the lead that is wrong.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, to: 2}
  2:
    - {lead: Cap red, taxon: aa}
    - {lead: Cap brown, taxon: bb}
taxa:
  aa: {name: Aa aa, repeats: meant}
  bb: {name: Bb bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, to: 2}
  2:
    - {lead: Cap red, taxon: aa}
    - {lead: Cap brown, taxon: bb}
taxa:
  aa: {name: Aa aa} #! taxon-keyed-once
  bb: {name: Bb bb}
`),
  check({ key, report }) {
    for (const [id, ends] of endsOf(key)) {
      const taxon = key.taxa.get(id);
      if (taxon === undefined || taxon.repeats || ends.length < 2) continue;
      report(['taxa', id], {
        side: 'name',
        message: `${taxon.name} is keyed out at ${listed(ends.map((e) => e.lead.label))}`,
        related: endPlaces(key, ends, taxon),
        expected: 'repeats: meant, or one end',
      });
    }
  },
});
