import { endsOf, reportSilent } from '../ends.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const rankStated = rule({
  id: 'rank-stated',
  group: 'terms and names',
  level: 'note',
  what: 'A taxon at which the key ends says its rank.',
  why: 'An end at a genus or a group of look-alikes must not be read as a species.',
  source: 'common practice, no source',
  fix: 'Add `rank: species`, `genus`, `aggregate`, `group` ...',
  good: example(`
taxa:
  aa: {name: Aa aa, rank: species}
  bb: {name: Bb, rank: genus}
  cc: {name: Cc cc, rank: species}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, rank: species}
  bb: {name: Bb} #! rank-stated
  cc: {name: Cc cc, rank: species}
`),
  check({ key, report }) {
    reportSilent({ key, report }, endsOf(key).keys(), {
      what: 'its rank',
      expected: { atOne: 'rank: species, genus, group ...', atNone: 'rank: species' },
      says: (taxon) => taxon.rank !== undefined,
    });
  },
});
