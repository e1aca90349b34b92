import { contrastsOf, gapSaid, meantSo } from '../contrasts.js';
import { example } from '../example.js';
import { numericGap } from '../numeric.js';
import { coupletPath, couplets, keyOf } from '../places.js';
import { rule } from '../rule.js';

export const leadsExhaustive = rule({
  id: 'leads-exhaustive',
  group: 'logic',
  level: 'warning',
  witness: true,
  what: 'Every find that can arrive at a couplet fits one of its leads, leaving aside additions: what one lead alone asks besides what it asks with others.',
  why: 'A find that fits no lead is stranded, and its finder takes the one that seems less wrong.',
  source: 'common teaching on writing keys (school handout “Creating a dichotomous key”, point 6); derivable',
  fix: 'Add the missing states or numbers to a lead, add a lead, or end the couplet with `otherwise: true`. A character that two leads ask separates the finds, and so do those on which it depends, so what neither lead takes is a gap; what only supports a lead belongs in `usually`. A lead that asks nothing in common with any other is judged by all it asks. When finds are left out on purpose, write `# allow leads-exhaustive: reason` above the couplet. Numbers that leave a gap are reported by `ranges-meet`.',
  good: example(`
characters:
  cap: {name: cap, states: [red, brown, white]}
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture of the ring, states: [membranous, fibrous], applies-when: {ring: present}}
couplets:
  1:
    - {lead: Cap red, when: {cap: red}, to: 2}
    - {lead: Cap brown or white, when: {cap: [brown, white]}, taxon: bb}
  2:
    - {lead: Ring present and membranous, when: {ring: present, texture: membranous}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
`),
  bad: example(`
characters:
  cap: {name: cap, states: [red, brown, white]}
  hairs: {name: hairs, states: [present, absent]}
couplets:
  1: #! leads-exhaustive
    - {lead: Cap red, when: {cap: red}, taxon: aa}
    - {lead: Cap brown, when: {cap: brown}, to: 2}
  2: #! leads-exhaustive
    - {lead: Hairs absent, when: {hairs: absent}, taxon: bb}
    - {lead: Hairs present; cap red, when: {hairs: present, cap: red}, taxon: cc}
    - {lead: Hairs present; cap white, when: {hairs: present, cap: white}, taxon: dd}
`),
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      const { gap } = contrastsOf(logic, couplet);
      if (gap === undefined || numericGap(logic, couplet, gap) !== undefined) continue;
      reportIn(keyOf(logic, couplet), coupletPath(logic, couplet), {
        ...gapSaid(logic, couplet, gap),
        message: `a find that arrives at couplet ${couplet.name} can fit none of its leads${meantSo(logic, couplet, gap, 'leads-exhaustive')}`,
      });
    }
  },
});
