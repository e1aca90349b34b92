import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { partsOf } from '../text/parts.js';
import { listed } from '../text/words.js';
import type { Character } from './character.js';
import { numbersOf } from './character.js';
import { readNumbers, writeNumbers } from './notation.js';
import {
  joinNumbers,
  meetNumbers,
  type NumberSet,
  noNumbers,
  numberSet,
  numbersApart,
  numbersWithin,
} from './number-set.js';
import {
  joinStates,
  meetStates,
  noStates,
  type StateSet,
  stateIndices,
  stateSet,
  statesApart,
} from './state-set.js';

/**
 * What is known of one character: a set of states (shown together, or one of them, not known which), a set of
 * numbers in base units (`3-5`, or `3 or 13`: these and none between them), or that it does not apply.
 * `partly` = some specimens lack the structure. Nothing known is `undefined`.
 */
export type Value =
  | { readonly kind: 'states'; readonly set: StateSet; readonly partly: boolean }
  | { readonly kind: 'numbers'; readonly set: NumberSet; readonly partly: boolean }
  | { readonly kind: 'inapplicable' };

export type ReadValue =
  | { readonly ok: true; readonly value: Value | undefined }
  | { readonly ok: false; readonly problem: string; readonly nearest?: string; readonly expected: string };

const INAPPLICABLE: Value = { kind: 'inapplicable' };

/**
 * Reads what was written down for a character: a state or several (`present`, `young | old` or a list), a number in
 * the notation of keys, `?` (looked, can't tell) or nothing = unknown, `-` = does not apply.
 */
export function readValue(character: Character, written: string | readonly string[]): ReadValue {
  const parts = typeof written === 'string' ? partsOf(written) : written.flatMap(partsOf);
  if (parts.length === 0 || parts.every((p) => p === '?')) return { ok: true, value: undefined };
  if (parts.every((p) => p === '-')) return { ok: true, value: INAPPLICABLE };
  const partly = parts.includes('-');
  const shown = parts.filter((p) => p !== '-' && p !== '?');
  // Absent on some specimens and unknown on the others leaves everything possible.
  if (shown.length === 0) return { ok: true, value: undefined };
  if (character.kind === 'choice') return readStates(character, shown, partly);
  const sets: NumberSet[] = [];
  for (const part of shown) {
    const read = readNumbers(part, { whole: character.kind === 'count', unit: character.unit });
    if (!read.ok) return { ok: false, problem: read.problem, expected: expectedValues(character) };
    sets.push(read.value.possible);
  }
  const limits = numbersOf(character);
  const whole = character.kind === 'count';
  const open = numberSet(
    sets.flatMap((s) => s.intervals),
    whole,
  );
  // An open end (`< 12`) is bounded by the limits; a closed one outside them is a typing mistake.
  const bounded = meetNumbers(open, limits);
  const finite = numberSet(
    open.intervals.filter((i) => Number.isFinite(i.low) && Number.isFinite(i.high)),
    whole,
  );
  if (noNumbers(bounded) || !numbersWithin(finite, limits)) {
    const allowed = writeNumbers(limits, character.unit);
    return {
      ok: false,
      problem: `${quoted(shown.join(' | '))} is outside the limits of ${character.id} (${allowed})`,
      expected: allowed,
    };
  }
  return { ok: true, value: { kind: 'numbers', set: bounded, partly } };
}

function readStates(character: Character, shown: readonly string[], partly: boolean): ReadValue {
  const indices: number[] = [];
  for (const part of shown) {
    const index = character.stateIndex.get(part);
    if (index === undefined) {
      const near = nearest(part, character.stateIndex.keys());
      const problem = `${quoted(part)} is not a state of ${character.id}`;
      const expected = expectedValues(character);
      return near === undefined
        ? { ok: false, problem, expected }
        : { ok: false, problem, expected, nearest: near };
    }
    indices.push(index);
  }
  return { ok: true, value: { kind: 'states', set: stateSet(indices, character.states.length), partly } };
}

/** What may be written for a character, in words. */
export function expectedValues(character: Character): string {
  if (character.kind === 'choice')
    return listed(
      character.states.map((s) => s.id),
      'or',
    );
  if (character.kind === 'count') return 'a whole number, such as 5 or 4-7';
  return character.unit.id === '1'
    ? 'a number, such as 1.4 or 1.2-1.6'
    : `a number in ${character.unit.id}, such as 3.5 or 2-4`;
}

/** Two things known of one character by different specimens, taken together: everything either shows. */
export function joinValues(a: Value, b: Value): Value {
  if (a.kind === 'inapplicable') return b.kind === 'inapplicable' ? a : { ...b, partly: true };
  if (b.kind === 'inapplicable') return { ...a, partly: true };
  const partly = a.partly || b.partly;
  if (a.kind === 'states' && b.kind === 'states')
    return { kind: 'states', set: joinStates(a.set, b.set), partly };
  if (a.kind === 'numbers' && b.kind === 'numbers')
    return { kind: 'numbers', set: joinNumbers(a.set, b.set), partly };
  return a;
}

/** What remains when both are true of the find; undefined when they contradict each other. */
export function narrowValue(known: Value, to: Value): Value | undefined {
  if (known.kind === 'states' && to.kind === 'states') {
    const set = meetStates(known.set, to.set);
    return noStates(set) ? undefined : { kind: 'states', set, partly: known.partly && to.partly };
  }
  if (known.kind === 'numbers' && to.kind === 'numbers') {
    const set = meetNumbers(known.set, to.set);
    return noNumbers(set) ? undefined : { kind: 'numbers', set, partly: known.partly && to.partly };
  }
  return known.kind === to.kind ? known : undefined;
}

/** Whether the two cannot both be true of one specimen. */
export function valuesApart(a: Value, b: Value): boolean {
  if (a.kind === 'states' && b.kind === 'states') return statesApart(a.set, b.set) && !(a.partly && b.partly);
  if (a.kind === 'numbers' && b.kind === 'numbers')
    return numbersApart(a.set, b.set) && !(a.partly && b.partly);
  if (a.kind === 'inapplicable' || b.kind === 'inapplicable') {
    const other = a.kind === 'inapplicable' ? b : a;
    return other.kind !== 'inapplicable' && !other.partly;
  }
  return false;
}

/** A value as an author would write it: `white | pink`, `3.5 cm`, `-`. */
export function writeValue(character: Character, value: Value | undefined): string {
  if (value === undefined) return '?';
  if (value.kind === 'inapplicable') return '-';
  const text =
    value.kind === 'states'
      ? stateIndices(value.set)
          .map((i) => character.states[i]?.id ?? '')
          .join(' | ')
      : writeNumbers(value.set, character.unit);
  return value.partly ? `${text} | -` : text;
}
