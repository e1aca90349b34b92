import { FITS } from '../../engine/evaluate.js';
import { elsewhereSpecimen, inWords } from '../../engine/witness.js';
import { defined } from '../../text/optional.js';
import { EVERYTHING } from '../../traits/box.js';
import { earlierLeads, placesOf, withWords } from '../earlier.js';
import { example } from '../example.js';
import { unaskable } from '../inapplicable.js';
import { conditionPath, couplets, keyOf } from '../places.js';
import { rule } from '../rule.js';

export const leadPossible = rule({
  id: 'lead-possible',
  group: 'logic',
  level: 'error',
  witness: true,
  what: 'Each lead of a couplet can be taken by some find that can arrive there.',
  why: 'What is beyond a lead that no find can take is never named, however good the find.',
  source: 'derivable',
  fix: 'Correct the condition, or the earlier lead that rules it out, or remove the lead.',
  good: example(`
characters:
  gills: {name: gills, states: [free, adnate]}
  ring: {name: ring, states: [present, absent]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
  2:
    - {lead: Gills free, when: {gills: free}, taxon: aa}
    - {lead: Gills adnate, when: {gills: adnate}, taxon: bb}
`),
  bad: example(`
characters:
  gills: {name: gills, states: [free, adnate]}
  ring: {name: ring, states: [present, absent]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
  2:
    - {lead: Gills free, when: {gills: free}, taxon: aa}
    - lead: Gills adnate; ring absent
      when: {gills: adnate, ring: absent} #! lead-possible
      taxon: bb
`),
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      if (logic.mayArrive(couplet.index)?.length === 0) continue;
      for (const lead of couplet.leads) {
        if (logic.mayTake(couplet, lead)?.length !== 0 || unaskable(logic, couplet, lead).length > 0)
          continue;
        const condition = logic.mayFit(couplet, lead) ?? [EVERYTHING];
        const key = keyOf(logic, couplet);
        if (condition.length === 0) {
          const message = lead.otherwise
            ? `no find can take lead ${lead.label}: the other leads of the couplet leave nothing for it`
            : `no find can take lead ${lead.label}: its condition contradicts itself`;
          reportIn(key, conditionPath(lead), { message });
          continue;
        }
        const earlier = earlierLeads(logic, couplet, condition);
        const by =
          earlier.length === 0
            ? ''
            : `: ${withWords(earlier)} ${earlier.length === 1 ? 'rules' : 'rule'} it out`;
        const index = couplet.leads.indexOf(lead);
        const specimen = elsewhereSpecimen(logic, condition, couplet, (truths) => truths[index] === FITS);
        reportIn(key, conditionPath(lead), {
          message: `no find that arrives at couplet ${couplet.name} can take lead ${lead.label}${by}`,
          related: placesOf(logic, earlier, 'ruled out by'),
          ...defined({
            witness: specimen && `${inWords(logic, specimen)} fits ${lead.label} but never arrives there`,
          }),
        });
      }
    }
  },
});
