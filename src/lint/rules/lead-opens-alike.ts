import { example } from '../example.js';
import { rule } from '../rule.js';
import { languageOf } from '../text/language.js';
import { isRefusal, openingOf } from '../text/statements.js';

export const leadOpensAlike = rule({
  id: 'lead-opens-alike',
  group: 'wording',
  level: 'note',
  what: 'The leads of a couplet begin with the same word, the part to look at.',
  why: 'The reader sees at once what is compared.',
  source: 'Wisconsin botany course notes on keys, point 5; lecture slides on keys to mammals',
  fix: 'Begin each lead with the part: "Cap viscid" against "Cap dry".',
  good: example(`
couplets:
  1:
    - {lead: Leaves opposite, taxon: aa}
    - {lead: The leaf-blades alternate, to: 2}
  2:
    - {lead: 4-5 petals, taxon: bb}
    - {lead: 6 petals or more, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap viscid, taxon: aa}
    - {lead: Dry cap, taxon: bb} #! lead-opens-alike
`),
  check({ key, report }) {
    const language = languageOf(key);
    if (language === undefined) return;
    for (const couplet of key.couplets.values()) {
      const leads = couplet.leads.flatMap((lead) => {
        if (lead.otherwise || isRefusal(lead.text, language)) return [];
        const opening = openingOf(lead.text, language);
        return opening === undefined
          ? []
          : [{ lead, opening, stem: language.stem(opening.lower.split('-')[0] ?? '') }];
      });
      const [first] = leads;
      const other = leads.find((l) => l.stem !== first?.stem);
      if (first === undefined || other === undefined) continue;
      report([...other.lead.path, 'lead'], {
        message: `${other.lead.label} begins with "${other.opening.text}", ${first.lead.label} with "${first.opening.text}"`,
        related: [
          {
            message: first.lead.label,
            place: key.yaml.place([...first.lead.path, 'lead']),
          },
        ],
        found: other.opening.text,
        expected: first.opening.text,
      });
    }
  },
});
