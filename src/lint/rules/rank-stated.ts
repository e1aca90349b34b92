import { endsOf } from '../ends.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const rankStated = rule({
  id: 'rank-stated',
  group: 'terms and names',
  level: 'note',
  what: 'A taxon at which the key ends says its rank.',
  why: 'An end at a genus or a group of look-alikes must not be read as a species.',
  source: 'common practice, no source',
  mend: 'Add `rank: species`, `genus`, `aggregate`, `group` ...',
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
    const silent = [...endsOf(key).keys()].flatMap((id) => {
      const taxon = key.taxa.get(id);
      return taxon !== undefined && taxon.rank === undefined ? [taxon] : [];
    });
    const [first] = silent;
    if (first === undefined) return;
    // Where no taxon has a rank, it is one omission.
    const all = silent.length > 1 && [...key.taxa.values()].every((t) => t.rank === undefined);
    if (all)
      report(['taxa'], {
        side: 'name',
        message: 'no taxon of the key says its rank',
        expected: 'rank: species',
      });
    else
      for (const taxon of silent)
        report(['taxa', taxon.id], {
          side: 'name',
          message: `${taxon.name} does not say its rank`,
          expected: 'rank: species, genus, group ...',
        });
  },
});
