import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';
import type { Character } from '../traits/character.js';
import type { Check, TestCheck } from '../traits/check.js';
import { writeNumbers } from '../traits/notation.js';
import { meetNumbers, minusNumbers, type NumberSet, noNumbers, numbersWithin } from '../traits/numberset.js';
import type { Gap, Overlap } from './contrasts.js';

/** Numbers of one character that two leads share, or that none of them takes. */
export interface NumericFault {
  readonly character: number;
  readonly numbers: NumberSet;
}

/**
 * The numbers at fault when two leads overlap in a number: they set different numbers for a character, and say the same
 * (or nothing common) of every other.
 */
export function numericOverlap(logic: Logic, { first, second }: Overlap): NumericFault | undefined {
  const a = testsOf(first);
  const b = testsOf(second);
  if (a === undefined || b === undefined) return undefined;
  let fault: NumericFault | undefined;
  for (const [character, test] of a) {
    const other = b.get(character);
    if (other === undefined) continue;
    if (test.op !== 'numbers' || other.op !== 'numbers') {
      if (!sameStates(test, other)) return undefined;
      continue;
    }
    if (numbersWithin(test.set, other.set) && numbersWithin(other.set, test.set)) continue;
    if (fault !== undefined) return undefined;
    const full = logic.space.full(character);
    const shared = meetNumbers(test.set, other.set);
    fault = { character, numbers: full.kind === 'numbers' ? meetNumbers(shared, full.set) : shared };
  }
  return fault;
}

/**
 * The numbers at fault when one number is all that a find needs in order to fit no lead: those of the gap that no lead
 * takes, whatever else the find shows.
 */
export function numericGap(logic: Logic, couplet: CompiledCouplet, gap: Gap): NumericFault | undefined {
  const [only] = gap.specimen.keys();
  if (only === undefined || gap.specimen.size !== 1) return undefined;
  const facet = gap.box[only];
  if (facet?.kind !== 'numbers' || facet.set.intervals.length === 0) return undefined;
  let numbers = facet.set;
  for (const lead of couplet.leads) {
    const taken = logic.ask((budget) =>
      logic.space.project(logic.condition(couplet, lead) ?? [], new Set([only]), budget),
    );
    if (taken === undefined) return undefined;
    for (const box of taken) {
      const own = box[only];
      if (own?.kind !== 'numbers') return undefined;
      numbers = minusNumbers(numbers, own.set);
    }
  }
  return noNumbers(numbers) ? undefined : { character: only, numbers };
}

/** Numbers with their unit. */
export function numbersInWords(logic: Logic, fault: NumericFault): string {
  return writeNumbers(fault.numbers, (logic.key.characters[fault.character] as Character).unit);
}

function testsOf(lead: CompiledLead): Map<number, TestCheck> | undefined {
  const tests = new Map<number, TestCheck>();
  const walk = (check: Check): boolean => {
    if (check.op === 'all') return check.parts.every(walk);
    if ((check.op !== 'states' && check.op !== 'numbers') || tests.has(check.character)) return false;
    tests.set(check.character, check);
    return true;
  };
  return lead.check !== undefined && walk(lead.check) ? tests : undefined;
}

function sameStates(a: TestCheck, b: TestCheck): boolean {
  return a.op === 'states' && b.op === 'states' && a.set.every((word, i) => word === b.set[i]);
}
