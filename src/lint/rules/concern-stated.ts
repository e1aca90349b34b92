import { endsOf, reportSilent } from '../ends.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const concernStated = rule({
  id: 'concern-stated',
  group: 'safety',
  level: 'warning',
  what: 'Every taxon at which the key ends, and every group that a lead reaches, says what harm is recorded of it, even if that is "unknown".',
  why: 'A taxon without it counts as unknown, and nobody can tell whether its author looked or forgot.',
  source: 'derivable (the verdict rests on the worst recorded concern)',
  fix: 'Add `concern: {level: ...}` with deadly, severe, upset, unknown or none-recorded, and where it is recorded.',
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
    reportSilent({ key, report }, [...endsOf(key).keys(), ...reached], {
      what: 'what harm is recorded of it',
      expected: { atOne: 'concern: {level: ...}', atNone: 'concern: {level: ...}' },
      says: (taxon) => taxon.concernStated,
    });
  },
});
