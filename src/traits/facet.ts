/** What may be shown of one character: the sides of a box (`box.ts`). */
import {
  joinNumbers,
  meetNumbers,
  minusNumbers,
  type NumberSet,
  noNumbers,
  numbersWithin,
} from './number-set.js';
import { joinStates, meetStates, minusStates, noStates, type StateSet, statesWithin } from './state-set.js';

/** What a box allows of one character: values, and whether it may not apply. */
export type Facet =
  | { readonly kind: 'states'; readonly set: StateSet; readonly na: boolean }
  | { readonly kind: 'numbers'; readonly set: NumberSet; readonly na: boolean };

/** The same where the character applies. */
export function valuesOnly(facet: Facet): Facet {
  return facet.na ? { ...facet, na: false } : facet;
}

/** The same where the character does not apply. */
export function noValues(facet: Facet): Facet {
  return facet.kind === 'states'
    ? { kind: 'states', set: facet.set.map(() => 0), na: facet.na }
    : { kind: 'numbers', set: { whole: facet.set.whole, intervals: [] }, na: facet.na };
}

/** Whether nothing is allowed: no find shows that. */
export function emptyFacet(facet: Facet): boolean {
  return !facet.na && (facet.kind === 'states' ? noStates(facet.set) : noNumbers(facet.set));
}

function combine(
  a: Facet,
  b: Facet,
  na: boolean,
  states: typeof meetStates,
  numbers: typeof meetNumbers,
): Facet {
  if (a.kind === 'states' && b.kind === 'states') return { kind: 'states', set: states(a.set, b.set), na };
  if (a.kind === 'numbers' && b.kind === 'numbers')
    return { kind: 'numbers', set: numbers(a.set, b.set), na };
  throw new TypeError('a character is chosen or numeric, not both');
}

/** What both allow. */
export const meetFacets = (a: Facet, b: Facet) => combine(a, b, a.na && b.na, meetStates, meetNumbers);
/** What the first allows and the second does not. */
export const minusFacets = (a: Facet, b: Facet) => combine(a, b, a.na && !b.na, minusStates, minusNumbers);
/** What either allows. */
export const joinFacets = (a: Facet, b: Facet) => combine(a, b, a.na || b.na, joinStates, joinNumbers);

/** Whether `b` allows all that `a` allows. */
export function facetWithin(a: Facet, b: Facet): boolean {
  if (a.na && !b.na) return false;
  if (a.kind === 'states' && b.kind === 'states') return statesWithin(a.set, b.set);
  return a.kind === 'numbers' && b.kind === 'numbers' && numbersWithin(a.set, b.set);
}
