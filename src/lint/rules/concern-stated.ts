import { endsOf } from '../ends.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const concernStated = rule({
  id: 'concern-stated',
  group: 'safety',
  level: 'warning',
  what: 'Every taxon at which the key ends, and every group that a lead reaches, says what harm is recorded of it, be it "unknown".',
  why: 'A taxon without it counts as unknown; whether somebody looked, or forgot, cannot be told.',
  source: 'derivable (the verdict rests on the worst recorded concern)',
  mend: 'Add `concern: {level: ...}` with deadly, severe, upset, unknown or none-recorded, and where it is recorded.',
  good: example(`
taxa:
  aa: {name: Aa aa, concern: {level: deadly, effect: liver failure, source: from memory}}
  bb: {name: Bb bb, concern: {level: unknown}}
  cc: {name: Cc cc, concern: {level: none-recorded, source: from memory}}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, concern: {level: deadly, effect: liver failure, source: from memory}}
  bb: {name: Bb bb} #! concern-stated
  cc: {name: Cc cc, concern: {level: none-recorded, source: from memory}}
`),
  check({ key, report }) {
    const reached = [...key.couplets.values()].flatMap((c) => c.leads.flatMap((l) => l.reaches ?? []));
    const silent = [...new Set([...endsOf(key).keys(), ...reached])].flatMap((id) => {
      const taxon = key.taxa.get(id);
      return taxon === undefined || taxon.concernStated ? [] : [taxon];
    });
    const expected = 'concern: {level: ...}';
    // Where no taxon has one, it is one omission.
    if (silent.length > 1 && ![...key.taxa.values()].some((t) => t.concernStated))
      report(['taxa'], {
        side: 'name',
        message: 'no taxon of the key says what harm is recorded of it',
        expected,
      });
    else
      for (const taxon of silent)
        report(['taxa', taxon.id], {
          side: 'name',
          message: `${taxon.name} does not say what harm is recorded of it`,
          expected,
        });
  },
});
