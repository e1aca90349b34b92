import { example } from '../example.js';
import { rule } from '../rule.js';

export const coupletTwoLeads = rule({
  id: 'couplet-two-leads',
  group: 'structure',
  level: 'note',
  optional: true,
  what: 'A couplet has exactly two leads.',
  why: 'Three or more leads are harder to compare. Many good keys have them nevertheless, so this rule is off unless it is turned on.',
  source: 'Moss Flora of China, contributors’ guide, which accepts no polytomies; other guides tolerate them',
  fix: 'Separate one lead from the others first, and the rest in a couplet of their own.',
  good: example(`
couplets:
  1:
    - {lead: Cap red, taxon: aa}
    - {lead: Cap white or brown, taxon: bb}
`),
  bad: example(`
couplets:
  1: #! couplet-two-leads
    - {lead: Cap red, taxon: aa}
    - {lead: Cap white, taxon: bb}
    - {lead: Cap brown, taxon: cc}
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      if (couplet.leads.length <= 2) continue;
      report(['couplets', couplet.id], {
        side: 'name',
        message: `couplet ${couplet.id} has ${couplet.leads.length} leads`,
        found: `${couplet.leads.length} leads`,
        expected: 'two leads',
      });
    }
  },
});
