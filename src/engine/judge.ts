import type { Check, TestCheck } from '../traits/check.js';
import { type Interval, type NumberSet, numbersApart, numbersWithin } from '../traits/numberset.js';
import { statesApart, statesWithin } from '../traits/stateset.js';
import type { Value } from '../traits/value.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';

/** What evidence says of a condition: ordered, so that AND is the least and `any` the greatest of the parts. */
export type Truth = 0 | 1 | 2;
export const FAILS = 0;
export const OPEN = 1;
export const FITS = 2;

/** What is known of each character, by its number; undefined = nothing. */
export type Known = readonly (Value | undefined)[];

/**
 * What the evidence says of a condition. With evidence S and allowed C: fits when S is inside C, fails when they share
 * nothing, otherwise open; unknown is open, what does not apply fails. A character whose own `applies-when` fails does
 * not apply, whatever was written for it.
 */
export function judge(check: Check, known: Known, gates: CompiledKey['gates']): Truth {
  switch (check.op) {
    case 'states':
    case 'numbers':
      return judgeTest(check, known, gates);
    case 'all': {
      let worst: Truth = FITS;
      for (const part of check.parts) {
        const truth = judge(part, known, gates);
        if (truth === FAILS) return FAILS;
        if (truth < worst) worst = truth;
      }
      return worst;
    }
    case 'any': {
      let best: Truth = FAILS;
      for (const part of check.parts) {
        const truth = judge(part, known, gates);
        if (truth === FITS) return FITS;
        if (truth > best) best = truth;
      }
      return best;
    }
    case 'not':
      return (FITS - judge(check.part, known, gates)) as Truth;
  }
}

function judgeTest(check: TestCheck, known: Known, gates: CompiledKey['gates']): Truth {
  const gate = gates[check.character];
  if (gate !== undefined && judge(gate, known, gates) === FAILS) return FAILS;
  return ownTruth(check, known[check.character]);
}

/** What a value says of a test, whatever the character depends on. */
export function ownTruth(check: TestCheck, value: Value | undefined): Truth {
  if (value === undefined) return OPEN;
  if (value.kind === 'states' && check.op === 'states') {
    if (statesWithin(value.set, check.set)) return value.partly ? OPEN : FITS;
    return statesApart(value.set, check.set) ? FAILS : OPEN;
  }
  if (value.kind === 'numbers' && check.op === 'numbers') {
    const truth = judgeNumbers(value.set, check.set);
    return truth === FITS && value.partly ? OPEN : truth;
  }
  return FAILS;
}

function judgeNumbers(shown: NumberSet, allowed: NumberSet): Truth {
  const [only] = shown.intervals;
  if (only !== undefined && shown.intervals.length === 1 && only.low === only.high)
    return hasNumber(allowed, only) ? FITS : FAILS;
  if (numbersWithin(shown, allowed)) return FITS;
  return numbersApart(shown, allowed) ? FAILS : OPEN;
}

function hasNumber(set: NumberSet, { low: n }: Interval): boolean {
  for (const i of set.intervals) {
    if ((i.low < n || (i.low === n && !i.lowOpen)) && (n < i.high || (n === i.high && !i.highOpen)))
      return true;
  }
  return false;
}

/**
 * What the evidence says of each lead of a couplet. `chosen` is the number of the lead that a person took there: it
 * fits and the others fail. A lead without condition is open; `otherwise` fails as soon as another fits and fits when
 * all others fail.
 */
export function judgeLeads(
  couplet: CompiledCouplet,
  known: Known,
  gates: CompiledKey['gates'],
  chosen: number | undefined,
): Truth[] {
  const { leads } = couplet;
  const truths = new Array<Truth>(leads.length);
  if (chosen !== undefined) {
    for (let i = 0; i < leads.length; i++) truths[i] = i === chosen ? FITS : FAILS;
    return truths;
  }
  let anyFits = false;
  let allFail = true;
  for (let i = 0; i < leads.length; i++) {
    const lead = leads[i] as CompiledLead;
    if (lead.otherwise) continue;
    const truth = lead.check === undefined ? OPEN : judge(lead.check, known, gates);
    truths[i] = truth;
    if (truth === FITS) anyFits = true;
    if (truth !== FAILS) allFail = false;
  }
  if (couplet.anyOtherwise) {
    for (let i = 0; i < leads.length; i++)
      if ((leads[i] as CompiledLead).otherwise) truths[i] = anyFits ? FAILS : allFail ? FITS : OPEN;
  }
  return truths;
}

/** Sets of character numbers, any one of which explains something. */
type Explanations = readonly (readonly number[])[];

// Conditions written by people have a handful of explanations; the bound only keeps a contrived one from growing.
const MOST_EXPLANATIONS = 256;

/** Every way to explain both: each of the one with each of the other. */
function both(a: Explanations, b: Explanations): Explanations {
  const out = a.flatMap((x) => b.map((y) => [...new Set([...x, ...y])]));
  if (out.length <= MOST_EXPLANATIONS) return out;
  return out.sort((x, y) => x.length - y.length).slice(0, MOST_EXPLANATIONS);
}

/**
 * The sets of characters without whose evidence a failing condition would not fail. A character that does not apply is
 * explained by what it depends on: one wrong look at the ring is one slip, though the texture of the ring, recorded as
 * not applicable, fails with it.
 */
function whyFailing(check: Check, known: Known, gates: CompiledKey['gates']): Explanations {
  if (check.op === 'states' || check.op === 'numbers') {
    const gate = gates[check.character];
    if (gate === undefined || judge(gate, known, gates) !== FAILS) return [[check.character]];
    const why = whyFailing(gate, known, gates);
    return ownTruth(check, known[check.character]) === FAILS &&
      known[check.character]?.kind !== 'inapplicable'
      ? both(why, [[check.character]])
      : why;
  }
  if (check.op === 'not') return whyFitting(check.part, known, gates);
  const failing = check.parts
    .filter((p) => judge(p, known, gates) === FAILS)
    .map((p) => whyFailing(p, known, gates));
  return check.op === 'all' ? failing.reduce(both, [[]]) : failing.flat();
}

/** The sets of characters without whose evidence a fitting condition would not fit. */
function whyFitting(check: Check, known: Known, gates: CompiledKey['gates']): Explanations {
  if (check.op === 'states' || check.op === 'numbers') return [[check.character]];
  if (check.op === 'not') return whyFailing(check.part, known, gates);
  const fitting = check.parts
    .filter((p) => judge(p, known, gates) === FITS)
    .map((p) => whyFitting(p, known, gates));
  return check.op === 'any' ? fitting.reduce(both, [[]]) : fitting.flat();
}

function fewest(explanations: Explanations): readonly number[] {
  return explanations.reduce((best, set) => (set.length < best.length ? set : best));
}

/**
 * The failing characters of a lead that fails: the fewest characters without whose evidence it would not be ruled out.
 * Empty when a person's choice of another lead is all that is against it.
 */
export function blameLead(
  couplet: CompiledCouplet,
  lead: CompiledLead,
  truths: readonly Truth[],
  known: Known,
  gates: CompiledKey['gates'],
): readonly number[] {
  if (lead.otherwise) {
    // A lead that a person took fits by that alone; what is known may leave its condition open.
    const fitting = couplet.leads.flatMap((l, i) =>
      truths[i] === FITS && l.check !== undefined && judge(l.check, known, gates) === FITS ? [l.check] : [],
    );
    return fitting.length === 0
      ? []
      : fewest(fitting.map((check) => whyFitting(check, known, gates)).reduce(both, [[]]));
  }
  if (lead.check === undefined) return [];
  if (lead.tests === undefined)
    return judge(lead.check, known, gates) === FAILS ? fewest(whyFailing(lead.check, known, gates)) : [];
  const failing: number[] = [];
  for (const test of lead.tests)
    if (ownTruth(test, known[test.character]) === FAILS) failing.push(test.character);
  return failing;
}
