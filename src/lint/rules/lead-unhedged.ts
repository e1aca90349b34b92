import { example } from '../example.js';
import { rule } from '../rule.js';
import { leadsOf, withoutRemarks } from '../text/statements.js';

export const leadUnhedged = rule({
  id: 'lead-unhedged',
  group: 'wording',
  level: 'note',
  what: 'A lead does not hedge its statements with "usually", "mostly", "often" and the like.',
  why: 'A find that is the exception fits the other lead; when both leads hedge, they overlap.',
  source: 'Wisconsin botany course hints on keys (“weasel words”); The Phylobotanist (blog), July 2015',
  fix: 'Say what is always so; or keep the statement and give the usual state under `usually`, which never rules a find out. A lead with `usually` is not reported.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  smell: {name: smell, states: [mealy, none]}
couplets:
  1:
    - {lead: Ring present; smell usually mealy, when: {ring: present}, usually: {smell: mealy}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present; cap usually red, taxon: aa} #! lead-unhedged
    - {lead: Ring absent; cap brown, taxon: bb}
`),
  check({ key, report }) {
    for (const { lead, language } of leadsOf(key)) {
      if (lead.usually !== undefined) continue;
      const hedge = language.first(language.words.hedges, withoutRemarks(lead.text));
      if (hedge === undefined) continue;
      report([...lead.path, 'lead'], {
        message: `${lead.label} hedges with "${hedge.word}"`,
        found: hedge.word,
        expected: 'what is always so, or a condition under "usually"',
      });
    }
  },
});
