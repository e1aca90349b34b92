import type { Character } from './character.js';
import type { Condition } from './condition.js';
import { type NumberSet, otherNumbers } from './number-set.js';
import { otherStates, type StateSet, stateSet } from './state-set.js';

/** A compiled test: the character by number, states as bits. */
export type TestCheck =
  | { readonly op: 'states'; readonly character: number; readonly set: StateSet }
  | { readonly op: 'numbers'; readonly character: number; readonly set: NumberSet };

/** A compiled condition, for fast evaluation. */
export type Check =
  | TestCheck
  | { readonly op: 'all' | 'any'; readonly parts: readonly Check[] }
  | { readonly op: 'not'; readonly part: Check };

/** Compiles a condition: characters by their number in the list, states by their number in the character. */
export function toCheck(
  condition: Condition,
  characters: readonly Character[],
  index: ReadonlyMap<string, number>,
): Check {
  if (condition.kind === 'not') return { op: 'not', part: toCheck(condition.part, characters, index) };
  if (condition.kind !== 'test')
    return { op: condition.kind, parts: condition.parts.map((p) => toCheck(p, characters, index)) };
  const at = index.get(condition.character) as number;
  const { allowed } = condition;
  if (allowed.kind === 'numbers') return { op: 'numbers', character: at, set: allowed.set };
  const { states, stateIndex } = characters[at] as Character;
  const named = stateSet(
    allowed.states.flatMap((s) => stateIndex.get(s) ?? []),
    states.length,
  );
  return { op: 'states', character: at, set: allowed.except ? otherStates(named, states.length) : named };
}

/** The negation of a test, as a test of the same character, which must be there. */
export function negated(test: TestCheck, characters: readonly Character[]): TestCheck {
  if (test.op === 'numbers') return { ...test, set: otherNumbers(test.set) };
  return { ...test, set: otherStates(test.set, (characters[test.character] as Character).states.length) };
}

/** The numbers of the characters that a check asks, each once. */
export function askedBy(check: Check): number[] {
  if (check.op === 'states' || check.op === 'numbers') return [check.character];
  return [...new Set(check.op === 'not' ? askedBy(check.part) : check.parts.flatMap(askedBy))];
}
