import type { Region } from '../../traits/box.js';
import { earlierLeads, placesOf } from '../earlier.js';
import { example } from '../example.js';
import { coupletPath, couplets, keyOf } from '../places.js';
import { rule } from '../rule.js';

export const coupletDecides = rule({
  id: 'couplet-decides',
  group: 'logic',
  level: 'warning',
  what: 'A couplet asks something that the way to it has not already settled.',
  why: 'A question whose answer is known wastes a step, and a reader who now answers it differently is led astray.',
  source: 'derivable',
  fix: 'Remove the couplet and let the leads that lead to it go where its one real lead goes; or correct the condition.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  gills: {name: gills, states: [free, adnate]}
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
  ring: {name: ring, states: [present, absent]}
  gills: {name: gills, states: [free, adnate]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
  2: #! couplet-decides
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Gills adnate, when: {gills: adnate}, taxon: bb}
`),
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      const arrival = logic.mayArrive(couplet.index);
      if (arrival === undefined || arrival.length === 0) continue;
      // A lead that no find can take already reports the same, in its own place.
      if (couplet.leads.some((lead) => logic.mayTake(couplet, lead)?.length === 0)) continue;
      for (const lead of couplet.leads) {
        if (lead.check === undefined) continue;
        const condition = logic.condition(couplet, lead);
        if (condition === undefined) continue;
        const outside = logic.ask((budget) => logic.space.minus(arrival, condition, budget));
        if (outside === undefined || outside.length > 0) continue;
        const others = logic.ask((budget) =>
          logic.space.region(lead.check as NonNullable<typeof lead.check>, false, budget),
        ) as Region | undefined;
        const earlier =
          others === undefined || others.length === 0 ? [] : earlierLeads(logic, couplet, others);
        const since =
          earlier.length === 0
            ? ''
            : `, since ${earlier.map((s) => `${s.lead.label} says so`).join(' and ')}`;
        reportIn(keyOf(logic, couplet), coupletPath(logic, couplet), {
          side: 'name',
          message: `every find that arrives at couplet ${couplet.name} already fits ${lead.label}${since}`,
          related: placesOf(logic, earlier, 'settled by'),
        });
        break;
      }
    }
  },
});
