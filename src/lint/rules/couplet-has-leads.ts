import { count } from '../../text/words.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const coupletHasLeads = rule({
  id: 'couplet-has-leads',
  group: 'structure',
  level: 'error',
  what: 'Every couplet has two leads or more.',
  why: 'One lead is no choice: a find that does not fit it has nowhere to go.',
  source: 'Wisconsin botany course notes on keys; Moss Flora of China, contributors’ guide',
  fix: 'Add the lead that is missing, or let the earlier lead go where this one goes.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, to: 2}
    - {lead: Ring absent, taxon: aa}
  2:
    - {lead: Ring white, taxon: bb}
    - {lead: Ring brown, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, to: 2}
    - {lead: Ring absent, taxon: aa}
  2: #! couplet-has-leads
    - {lead: Ring white, taxon: bb}
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      if (couplet.leads.length >= 2) continue;
      report(['couplets', couplet.id], {
        side: 'name',
        message: `couplet ${couplet.id} has ${count(couplet.leads.length, 'lead')}; a choice needs two`,
        found: count(couplet.leads.length, 'lead'),
        expected: 'two leads or more',
      });
    }
  },
});
