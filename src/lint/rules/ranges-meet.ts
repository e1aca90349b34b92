import type { Logic } from '../../engine/logic.js';
import { inWords, traitsOf } from '../../engine/witness.js';
import { listed } from '../../text/words.js';
import { contrastsOf, gapSaid, meantSo } from '../contrasts.js';
import { example } from '../example.js';
import {
  type NumericFault,
  type NumericGap,
  numbersInWords,
  numericGap,
  numericOverlap,
} from '../numeric.js';
import { coupletPath, couplets, keyOf, leadPlace, testPath } from '../places.js';
import { rule } from '../rule.js';

export const rangesMeet = rule({
  id: 'ranges-meet',
  group: 'logic',
  level: 'warning',
  witness: true,
  what: 'The numbers in the leads of a couplet neither overlap nor leave a gap, not even in finds with particular other states.',
  why: 'Real measurements fall on the boundary and between the ranges: such a find fits both leads, or neither.',
  source:
    'Wisconsin Mycological Society, “Getting started: keys” (a printed example in which a cap of 6.5 cm fits nothing); derivable',
  fix: 'Let one range begin where the other ends and give the boundary to one side: `< 5` and `>= 5`. Whole numbers meet as 4-6 and 7-12. Leads that also ask the same states are judged among themselves; `leads-exhaustive` says which characters count.',
  good: example(`
couplets:
  1:
    - {lead: Cap under 5 cm wide, when: {width: < 5}, taxon: aa}
    - {lead: Cap 5 cm wide or more, when: {width: '>= 5'}, taxon: bb}
`),
  bad: example(`
characters:
  width: {name: width of the cap, kind: measure, unit: cm}
  spots: {name: number of spots, kind: count}
  margin: {name: margin, states: [toothed, entire]}
couplets:
  1: #! ranges-meet
    - {lead: Cap under 5 cm wide, when: {width: < 5}, to: 2}
    - {lead: Cap over 6 cm wide, when: {width: '> 6'}, taxon: bb}
  2:
    - {lead: Spots 2-5, when: {spots: <= 5}, taxon: aa}
    - lead: Spots 5-9
      when:
        spots: '>= 5' #! ranges-meet
      to: 3
  3: #! ranges-meet
    - {lead: Margin toothed, when: {margin: toothed}, taxon: cc}
    - {lead: Margin entire; cap under 2 cm wide, when: {margin: entire, width: < 2}, taxon: dd}
    - {lead: Margin entire; cap over 3 cm wide, when: {margin: entire, width: '> 3'}, taxon: ee}
`),
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      const { overlaps, gap } = contrastsOf(logic, couplet);
      const key = keyOf(logic, couplet);
      for (const overlap of overlaps) {
        const fault = numericOverlap(logic, overlap);
        if (fault === undefined) continue;
        const { first, second, specimen } = overlap;
        reportIn(key, testPath(logic, couplet, second, fault.character), {
          message: `${first.label} and ${second.label} both take ${nameOf(logic, fault)} ${numbersInWords(logic, fault)}`,
          related: [leadPlace(key, first, testPath(logic, couplet, first, fault.character))],
          witness: `${inWords(logic, specimen)} fits both`,
        });
      }
      const fault = gap === undefined ? undefined : numericGap(logic, couplet, gap);
      if (gap === undefined || fault === undefined) continue;
      reportIn(key, coupletPath(logic, couplet), {
        ...gapSaid(logic, couplet, gap),
        message: `no lead of couplet ${couplet.name} takes ${nameOf(logic, fault)} ${numbersInWords(logic, fault)}${whereOf(logic, fault)}${meantSo(logic, couplet, gap, 'ranges-meet')}`,
      });
    }
  },
});

/** What a find shows besides a number that no lead takes. */
function whereOf(logic: Logic, { where }: NumericGap): string {
  return where.size === 0 ? '' : ` in a find with ${listed(traitsOf(logic, where))}`;
}

function nameOf(logic: Logic, fault: NumericFault): string {
  return logic.key.characters[fault.character]?.name ?? '';
}
