import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';
import type { Specimen } from '../engine/witness.js';
import type { Box, Region } from '../traits/box.js';
import type { Character } from '../traits/character.js';
import type { Check, TestCheck } from '../traits/check.js';
import { writeNumbers } from '../traits/notation.js';
import {
  type Interval,
  meetNumbers,
  minusNumbers,
  type NumberSet,
  noNumbers,
  numberSet,
  numbersWithin,
} from '../traits/number-set.js';
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

/** Numbers of one character that no lead takes. */
export interface NumericGap extends NumericFault {
  /** The states that a find shows besides: with others it may fit a lead. */
  readonly where: Specimen;
}

/**
 * The numbers at fault when a find fits no lead because of one number, besides states with which at least two leads take
 * other numbers: those of the gap that no lead takes in a find with these states, whatever else it shows.
 */
export function numericGap(logic: Logic, couplet: CompiledCouplet, gap: Gap): NumericGap | undefined {
  const numeric = [...gap.specimen].filter(([, value]) => value.kind === 'numbers');
  const [only] = numeric[0] ?? [];
  if (only === undefined || numeric.length > 1) return undefined;
  const facet = gap.box[only];
  if (facet?.kind !== 'numbers' || facet.set.intervals.length === 0) return undefined;
  const where = new Map(gap.specimen);
  where.delete(only);
  const finds = logic.ask((budget) => logic.space.settle(boxOf(logic, where), budget));
  if (finds === undefined) return undefined;
  let numbers = facet.set;
  let takers = 0;
  for (const lead of couplet.leads) {
    const taken = logic.ask((budget) => {
      const { space } = logic;
      const fitting = space.meet(logic.condition(couplet, lead) ?? [], finds, budget);
      return space.project(fitting, new Set([only]), budget);
    });
    if (taken === undefined) return undefined;
    if (taken.length > 0) takers++;
    for (const box of taken) {
      const own = box[only];
      if (own?.kind !== 'numbers') return undefined;
      numbers = minusNumbers(numbers, own.set);
    }
  }
  if (noNumbers(numbers) || (where.size > 0 && takers < 2)) return undefined;
  return { character: only, numbers, where };
}

/**
 * By character that every lead of a couplet asks, the numbers that no lead takes, whatever else a find shows, and that lie
 * between numbers that they take. What is below or above all of them is no gap between ranges.
 */
export function numbersBetween(logic: Logic, couplet: CompiledCouplet): NumericFault[] {
  const { space } = logic;
  const common = logic
    .asked(couplet)
    .filter(
      (c) => space.full(c).kind === 'numbers' && couplet.leads.every((l) => logic.askedIn(l).includes(c)),
    );
  return common.flatMap((character): NumericFault[] => {
    const taken: Interval[] = [];
    let whole = false;
    for (const lead of couplet.leads) {
      const condition = logic.condition(couplet, lead);
      const only = new Set([character]);
      const boxes = condition && logic.ask((budget) => space.project(condition, only, budget));
      if (boxes === undefined) return [];
      for (const box of boxes) {
        const own = box[character];
        if (own?.kind !== 'numbers') return [];
        taken.push(...own.set.intervals);
        whole = own.set.whole;
      }
    }
    const { intervals } = numberSet(taken, whole);
    const [first, last] = [intervals[0], intervals.at(-1)];
    if (first === undefined || last === undefined) return [];
    const within = numberSet([{ ...first, high: last.high, highOpen: last.highOpen }], whole);
    const numbers = minusNumbers(within, { whole, intervals });
    return noNumbers(numbers) ? [] : [{ character, numbers }];
  });
}

/** The finds that show numbers of one character. */
export function findsWith({ character, numbers }: NumericFault): Region {
  const box: Box[number][] = [];
  box[character] = { kind: 'numbers', set: numbers, na: false };
  return [box];
}

/** The finds that show some states, or do not have the characters, as a box. */
function boxOf(logic: Logic, shown: Specimen): Box {
  const box: Box[number][] = [];
  for (const [character, value] of shown) {
    const full = logic.space.full(character);
    if (value.kind === 'states') box[character] = { kind: 'states', set: value.set, na: false };
    else if (full.kind === 'states')
      box[character] = { kind: 'states', set: full.set.map(() => 0), na: true };
    else box[character] = { kind: 'numbers', set: { whole: full.set.whole, intervals: [] }, na: true };
  }
  return box;
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
