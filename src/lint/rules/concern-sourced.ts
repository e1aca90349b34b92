import { example } from '../example.js';
import { rule } from '../rule.js';

export const concernSourced = rule({
  id: 'concern-sourced',
  group: 'safety',
  level: 'warning',
  what: 'A concern that is more than "unknown" says where it is recorded.',
  why: 'Harm and the lack of recorded harm are both claims that others must be able to check; some fungi once thought harmless were not.',
  source:
    'Graeme, 2014 (PMC4057534): not all toxic species are known, and some once held edible were reclassified; common practice',
  fix: 'Add `source` to the concern: an id of `sources`, or the source in words. "from memory" is an honest source.',
  good: example(`
taxa:
  aa: {name: Aa aa, concern: {level: deadly, effect: liver failure, source: from memory}}
  bb: {name: Bb bb, concern: {level: unknown}}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {name: Aa aa, concern: {level: deadly, effect: liver failure}} #! concern-sourced
  bb: {name: Bb bb, concern: {level: none-recorded}} #! concern-sourced
  cc: {name: Cc cc}
`),
  check({ key, report }) {
    for (const taxon of key.taxa.values()) {
      const { level, source } = taxon.concern;
      if (!taxon.concernStated || level === 'unknown' || source !== undefined) continue;
      report(['taxa', taxon.id, 'concern'], {
        side: 'name',
        message: `the concern of ${taxon.name} (${level}) does not say where it is recorded`,
        expected: 'source',
      });
    }
  },
});
