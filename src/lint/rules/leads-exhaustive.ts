import { inWords } from '../../engine/witness.js';
import { contrastsOf } from '../contrasts.js';
import { numericGap } from '../numeric.js';
import { conditionPath, coupletPath, couplets, keyOf } from '../places.js';
import { rule } from '../rule.js';

export const leadsExhaustive = rule({
  id: 'leads-exhaustive',
  group: 'logic',
  level: 'warning',
  witness: true,
  what: 'Every find that can arrive at a couplet fits one of its leads, judged over the characters that all leads ask.',
  why: 'A find that fits no lead is stranded, and its finder takes the less wrong one.',
  source: 'common teaching on writing keys (school handout “Creating a dichotomous key”, point 6); derivable',
  mend: 'Add the missing states or numbers to a lead, add a lead, or end the couplet with `otherwise: true`.',
  good: `keywright: 1
id: caps
title: Caps
version: 1.0.0
characters:
  cap: {name: cap, states: [red, brown, white]}
couplets:
  1:
    - {lead: Cap red, when: {cap: red}, taxon: aa}
    - {lead: Cap brown or white, when: {cap: [brown, white]}, taxon: bb}
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
`,
  bad: `keywright: 1
id: caps
title: Caps
version: 1.0.0
characters:
  cap: {name: cap, states: [red, brown, white]}
couplets:
  1: #! leads-exhaustive
    - {lead: Cap red, when: {cap: red}, taxon: aa}
    - {lead: Cap brown, when: {cap: brown}, taxon: bb}
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
`,
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      const { gap } = contrastsOf(logic, couplet);
      if (gap === undefined || numericGap(logic, couplet, gap) !== undefined) continue;
      const key = keyOf(logic, couplet);
      reportIn(key, coupletPath(logic, couplet), {
        side: 'name',
        message: `a find that arrives at couplet ${couplet.name} can fit none of its leads`,
        related: couplet.leads.map((lead) => ({
          message: `${lead.label}: ${lead.lead.text}`,
          place: key.yaml.place(conditionPath(lead)),
        })),
        witness: `${inWords(logic, gap.specimen)} fits none of ${couplet.leads.map((l) => l.label).join(', ')}`,
      });
    }
  },
});
