import { example } from '../example.js';
import { rule } from '../rule.js';
import { leadsOf } from '../text/statements.js';
import { taxonNamedIn } from '../text/taxon-names.js';
import { exceptionIn } from './lead-no-exception.js';

export const leadNamesNoTaxon = rule({
  id: 'lead-names-no-taxon',
  group: 'wording',
  level: 'note',
  what: 'A lead does not mention another taxon of the key.',
  why: '"Larger than in Aa aa" cannot be answered by a reader who has only one find at hand and does not know the names yet.',
  source: 'common practice, no source',
  fix: 'Say what is seen on the find itself; put the comparison into the `note` of the lead.',
  good: example(`
couplets:
  1:
    - {lead: Cap 8-15 cm wide, taxon: aa, note: Larger than Tricholoma minus.}
    - {lead: Cap 2-5 cm wide, taxon: bb}
taxa:
  aa: {name: Tricholoma majus}
  bb: {name: Tricholoma minus}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap wider than in T. minus, taxon: aa} #! lead-names-no-taxon
    - {lead: Cap 2-5 cm wide, taxon: bb}
taxa:
  aa: {name: Tricholoma majus}
  bb: {name: Tricholoma minus}
`),
  check({ key, report }) {
    for (const { lead, language } of leadsOf(key)) {
      const named = taxonNamedIn(lead.text, key);
      if (named === undefined || exceptionIn(lead.text, key, language) !== undefined) continue;
      report([...lead.path, 'lead'], {
        message: `${lead.label} mentions ${named.taxon.name}`,
        related: [{ message: named.taxon.name, place: key.yaml.place(['taxa', named.taxon.id], 'name') }],
        found: named.name,
      });
    }
  },
});
