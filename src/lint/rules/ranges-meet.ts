import type { CompiledCouplet } from '../../engine/compile.js';
import type { Logic } from '../../engine/logic.js';
import { inWords, traitsOf } from '../../engine/witness.js';
import { listed } from '../../text/words.js';
import { contrastsOf, gapSaid, gapWithin, meantSo } from '../contrasts.js';
import { example } from '../example.js';
import {
  findsWith,
  type NumericFault,
  type NumericGap,
  numbersBetween,
  numbersInWords,
  numericGap,
  numericOverlap,
} from '../numeric.js';
import { coupletPath, couplets, keyOf, leadPlace, testPath } from '../places.js';
import { proposedLeads } from '../review.js';
import { type RuleContext, rule } from '../rule.js';

export const rangesMeet = rule({
  id: 'ranges-meet',
  group: 'logic',
  level: 'warning',
  witness: true,
  what: 'The numbers in the leads of a couplet neither overlap nor leave a gap, not even in finds with particular other states.',
  why: 'Real measurements fall on the boundary and between the ranges: such a find fits both leads, or neither.',
  source:
    'Wisconsin Mycological Society, “Getting started: keys” (a printed example in which a cap of 6.5 cm fits nothing); derivable',
  fix: 'Let one range begin where the other ends and give the boundary to one side: `< 5` and `>= 5`. Whole numbers meet as 4-6 and 7-12. Leads that also ask the same states are judged among themselves; `leads-exhaustive` says which characters count. Of conditions that `import` proposed and nobody has reviewed, only overlaps and what lies between the numbers of the leads are told.',
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
  check({ logic, asProposed, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      reportOverlaps(logic, couplet, reportIn);
      const { gap } = contrastsOf(logic, couplet);
      const fault = gap === undefined ? undefined : numericGap(logic, couplet, gap);
      if (gap === undefined || fault === undefined) continue;
      reportIn(keyOf(logic, couplet), coupletPath(logic, couplet), {
        ...gapSaid(logic, couplet, gap),
        message: `${noneTakes(logic, couplet, fault)}${whereOf(logic, fault)}${meantSo(logic, couplet, gap, 'ranges-meet')}`,
      });
    }
    // Of conditions that are not reviewed only what the numbers of the print themselves say is told.
    if (asProposed !== undefined)
      for (const couplet of couplets(asProposed)) judgeProposed(asProposed, couplet, reportIn);
  },
});

type Report = RuleContext['reportIn'];

function reportOverlaps(logic: Logic, couplet: CompiledCouplet, reportIn: Report): void {
  const key = keyOf(logic, couplet);
  for (const overlap of contrastsOf(logic, couplet).overlaps) {
    const fault = numericOverlap(logic, overlap);
    if (fault === undefined) continue;
    const { first, second, specimen } = overlap;
    reportIn(key, testPath(logic, couplet, second, fault.character), {
      message: `${first.label} and ${second.label} both take ${nameOf(logic, fault)} ${numbersInWords(logic, fault)}`,
      related: [leadPlace(key, first, testPath(logic, couplet, first, fault.character))],
      witness: `${inWords(logic, specimen)} fits both`,
    });
  }
}

function judgeProposed(logic: Logic, couplet: CompiledCouplet, reportIn: Report): void {
  const key = keyOf(logic, couplet);
  const proposed = proposedLeads(key);
  if (!couplet.leads.some((l) => proposed.has(l.lead))) return;
  reportOverlaps(logic, couplet, reportIn);
  for (const fault of numbersBetween(logic, couplet)) {
    const gap = gapWithin(logic, couplet, findsWith(fault));
    if (gap === undefined) continue;
    reportIn(key, coupletPath(logic, couplet), {
      ...gapSaid(logic, couplet, gap),
      message: noneTakes(logic, couplet, fault),
    });
  }
}

function noneTakes(logic: Logic, couplet: CompiledCouplet, fault: NumericFault): string {
  return `no lead of couplet ${couplet.name} takes ${nameOf(logic, fault)} ${numbersInWords(logic, fault)}`;
}

/** What a find shows besides a number that no lead takes. */
function whereOf(logic: Logic, { where }: NumericGap): string {
  return where.size === 0 ? '' : ` in a find with ${listed(traitsOf(logic, where))}`;
}

function nameOf(logic: Logic, fault: NumericFault): string {
  return logic.key.characters[fault.character]?.name ?? '';
}
