import type { Check, TestCheck } from '../traits/check.js';
import { type Interval, type NumberSet, numbersApart, numbersWithin } from '../traits/number-set.js';
import { statesApart, statesWithin } from '../traits/state-set.js';
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
export function evaluate(check: Check, known: Known, gates: CompiledKey['gates']): Truth {
  switch (check.op) {
    case 'states':
    case 'numbers':
      return evaluateTest(check, known, gates);
    case 'all': {
      let worst: Truth = FITS;
      for (const part of check.parts) {
        const truth = evaluate(part, known, gates);
        if (truth === FAILS) return FAILS;
        if (truth < worst) worst = truth;
      }
      return worst;
    }
    case 'any': {
      let best: Truth = FAILS;
      for (const part of check.parts) {
        const truth = evaluate(part, known, gates);
        if (truth === FITS) return FITS;
        if (truth > best) best = truth;
      }
      return best;
    }
    case 'not':
      return (FITS - evaluate(check.part, known, gates)) as Truth;
  }
}

function evaluateTest(check: TestCheck, known: Known, gates: CompiledKey['gates']): Truth {
  const gate = gates[check.character];
  if (gate !== undefined && evaluate(gate, known, gates) === FAILS) return FAILS;
  return evaluateValue(check, known[check.character]);
}

/** What a value says of a test, leaving out whatever the character depends on. */
export function evaluateValue(check: TestCheck, value: Value | undefined): Truth {
  if (value === undefined) return OPEN;
  if (value.kind === 'states' && check.op === 'states') {
    if (statesWithin(value.set, check.set)) return value.partly ? OPEN : FITS;
    return statesApart(value.set, check.set) ? FAILS : OPEN;
  }
  if (value.kind === 'numbers' && check.op === 'numbers') {
    const truth = evaluateNumbers(value.set, check.set);
    return truth === FITS && value.partly ? OPEN : truth;
  }
  return FAILS;
}

function evaluateNumbers(shown: NumberSet, allowed: NumberSet): Truth {
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
export function evaluateLeads(
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
    const truth = lead.check === undefined ? OPEN : evaluate(lead.check, known, gates);
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
