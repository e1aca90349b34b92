import { tooWeakForHarm } from '../../analysis/weakness.js';
import type { CompiledCouplet, CompiledLead } from '../../engine/compile.js';
import type { Logic } from '../../engine/logic.js';
import { inWords, walked } from '../../engine/witness.js';
import type { Taxon } from '../../key/key.js';
import { isHarmful } from '../../key/severity.js';
import type { Box } from '../../traits/box.js';
import type { Character } from '../../traits/character.js';
import { askedBy, type Check, type TestCheck } from '../../traits/check.js';
import { sampleOf } from '../../traits/sample.js';
import { type Value, writeValue } from '../../traits/value.js';
import { describedRegion, endsByTaxon } from '../descriptions.js';
import { type LeadAtCouplet, wayTo } from '../earlier.js';
import { example } from '../example.js';
import { keyOf, testPath } from '../places.js';
import { rule } from '../rule.js';

export const harmWellSeparated = rule({
  id: 'harm-well-separated',
  group: 'safety',
  level: 'warning',
  witness: true,
  what: 'One misread weak character does not turn a deadly or severe taxon into one without recorded harm.',
  why: 'This is the worst consequence of a single slip. A character is weak when it is perishable, shows at some ages only, is a colour, or is read right in fewer than nine cases out of ten.',
  source:
    'derivable; practice of mycological societies and agencies that repeat that any doubt means leaving a find',
  fix: 'Separate the two by a second, independent character in the same lead or in a later couplet; or state the `reliability` of the one if it is read right at least nine times in ten.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent], perishable: true}
  base: {name: base of the stem, states: [bulbous, even]}
couplets:
  1:
    - {lead: Ring present; base bulbous, when: {any: [{ring: present}, {base: bulbous}]}, taxon: aa}
    - {lead: Ring absent; base even, when: {ring: absent, base: even}, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: deadly, source: from memory}, traits: {ring: present, base: bulbous}}
  bb: {name: Bb bb, concern: {level: none-recorded, source: from memory}, traits: {ring: absent, base: even}}
`),
  bad: example(`
characters:
  ring: {name: ring, states: [present, absent], perishable: true}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa} #! harm-well-separated
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: deadly, source: from memory}, traits: {ring: present}}
  bb: {name: Bb bb, concern: {level: none-recorded, source: from memory}, traits: {ring: absent}}
`),
  check({ logic, key, reportIn }) {
    if (logic === undefined) return;
    const ends = endsByTaxon(logic);
    const said = new Set<string>();
    for (const taxon of key.taxa.values()) {
      if (taxon.concern.level !== 'deadly' && taxon.concern.level !== 'severe') continue;
      for (const { couplet, lead } of ends.get(taxon.id) ?? []) {
        const specimen = specimenOf(logic, taxon, couplet, lead);
        if (specimen === undefined || !runsTo(logic, specimen, taxon)) continue;
        for (const slip of slipsOf(logic, couplet, lead, specimen)) {
          const mark = `${taxon.id} ${slip.step.lead.label} ${slip.character}`;
          if (said.has(mark)) continue;
          const character = logic.key.characters[slip.character] as Character;
          const harmless = becomes(logic, specimen, slip.character, slip.value);
          if (harmless === undefined) continue;
          said.add(mark);
          const { step } = slip;
          reportIn(keyOf(logic, step.couplet), testPath(logic, step.couplet, step.lead, slip.character), {
            message: `one misread ${character.name} (${tooWeakForHarm(character)}) turns ${taxon.name} (${taxon.concern.level}) into ${harmless.name} (${harmless.concern.level})`,
            related: [{ message: taxon.name, place: key.yaml.place(['taxa', taxon.id], 'name') }],
            witness: `${inWords(logic, specimen)} is ${taxon.name}; with ${character.name} read as ${writeValue(character, slip.value)} it runs to ${harmless.name}`,
          });
        }
      }
    }
  },
});

interface Slip {
  readonly step: LeadAtCouplet;
  readonly character: number;
  readonly value: Value;
}

/** A specimen of the taxon that runs to one of its ends: one that fits its description, where it has one. */
function specimenOf(
  logic: Logic,
  taxon: Taxon,
  couplet: CompiledCouplet,
  lead: CompiledLead,
): Map<number, Value> | undefined {
  const taken = logic.taken(couplet, lead);
  const described = describedRegion(logic, taxon);
  if (taken === undefined) return undefined;
  const region =
    described === undefined ? taken : logic.ask((budget) => logic.space.meet(described, taken, budget));
  const [box] = region ?? [];
  return box === undefined ? undefined : sampleOf(box, logic.space);
}

/** The single weak observations on the way to an end that, read differently, take another lead. */
function slipsOf(
  logic: Logic,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  specimen: ReadonlyMap<number, Value>,
): Slip[] {
  return wayTo(logic, couplet.index, couplet.leads.indexOf(lead)).flatMap((step) =>
    step.couplet.leads.flatMap((other) => {
      if (other === step.lead || other.check === undefined || step.lead.check === undefined) return [];
      return askedBy(step.lead.check).flatMap((character) => {
        const read = logic.key.characters[character] as Character;
        if (tooWeakForHarm(read) === undefined || !specimen.has(character)) return [];
        return testsOf(other.check as Check, character).flatMap((box): Slip[] => {
          const value = sampleOf(box, logic.space).get(character);
          return value === undefined ? [] : [{ step, character, value }];
        });
      });
    }),
  );
}

/** What a condition says of one character, one box per test. */
function testsOf(check: Check, character: number): Box[] {
  if (check.op === 'not') return [];
  if (check.op === 'all' || check.op === 'any') return check.parts.flatMap((p) => testsOf(p, character));
  const test = check as TestCheck;
  if (test.character !== character) return [];
  const box: Box[number][] = [];
  box[character] =
    test.op === 'states'
      ? { kind: 'states', set: test.set, na: false }
      : { kind: 'numbers', set: test.set, na: false };
  return [box];
}

/** Whether the engine leads a specimen to a taxon. */
function runsTo(logic: Logic, specimen: ReadonlyMap<number, Value>, taxon: Taxon): boolean {
  return walked(logic, specimen)
    .results()
    .candidates.some((c) => c.taxon.id === taxon.id);
}

/** The taxon without recorded harm that a specimen runs to when one character is read differently, when it runs to no harmful one. */
function becomes(
  logic: Logic,
  specimen: ReadonlyMap<number, Value>,
  character: number,
  value: Value,
): Taxon | undefined {
  const after = walked(logic, new Map(specimen).set(character, value)).results().candidates;
  if (after.some((c) => c.taxon.unread || isHarmful(c.taxon.concern.level))) return undefined;
  return after.find((c) => c.open === 0)?.taxon;
}
