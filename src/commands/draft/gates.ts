import type { Character } from '../../traits/character.js';
import type { Allowed, Condition } from '../../traits/condition.js';
import { meetNumbers, type NumberSet, noNumbers, numbersWithin } from '../../traits/number-set.js';

/** Whether something holds for all finds in question, for none, or for some. */
export type Holds = 'yes' | 'no' | 'open';

/** An `applies-when` made ready: characters by number, states as bits. */
export type Gate =
  | { readonly op: 'states'; readonly character: number; readonly mask: number }
  | { readonly op: 'numbers'; readonly character: number; readonly set: NumberSet }
  | { readonly op: 'all' | 'any'; readonly parts: readonly Gate[] }
  | { readonly op: 'not'; readonly part: Gate }
  /** A choice of more states than there are bits. */
  | { readonly op: 'untold' };

/** The states of a character are kept in the bits of one number; nobody could read a lead of more. */
export const MOST_STATES = 30;

/** What is known of a character where a gate is judged: states as bits or numbers, and whether it may not apply. */
export type KnownAtGate =
  | { readonly mask: number; readonly missing: boolean }
  | { readonly set: NumberSet; readonly missing: boolean };

/** The states that a test allows, as bits. */
export function maskOf(allowed: Extract<Allowed, { kind: 'states' }>, character: Character): number {
  let mask = 0;
  for (const [id, at] of character.stateIndex)
    if (allowed.states.includes(id) !== allowed.except) mask |= 1 << at;
  return mask;
}

/** Every state of a character, as bits. */
export function everyState(character: Character): number {
  return 2 ** character.states.length - 1;
}

/** Makes the condition of a character ready. */
export function toGate(
  condition: Condition,
  characters: readonly Character[],
  index: ReadonlyMap<string, number>,
): Gate {
  if (condition.kind === 'not') return { op: 'not', part: toGate(condition.part, characters, index) };
  if (condition.kind !== 'test')
    return { op: condition.kind, parts: condition.parts.map((p) => toGate(p, characters, index)) };
  const character = index.get(condition.character) as number;
  if ((characters[character] as Character).states.length > MOST_STATES) return { op: 'untold' };
  return condition.allowed.kind === 'numbers'
    ? { op: 'numbers', character, set: condition.allowed.set }
    : { op: 'states', character, mask: maskOf(condition.allowed, characters[character] as Character) };
}

/** Judges a gate by what is known; a test of a character that does not apply fails. */
export function evaluateGate(gate: Gate, known: (character: number) => KnownAtGate): Holds {
  if (gate.op === 'not') {
    const inner = evaluateGate(gate.part, known);
    return inner === 'yes' ? 'no' : inner === 'no' ? 'yes' : 'open';
  }
  if (gate.op === 'untold') return 'open';
  if ('parts' in gate) {
    const [settles, other] = gate.op === 'all' ? (['no', 'yes'] as const) : (['yes', 'no'] as const);
    let result: Holds = other;
    for (const part of gate.parts) {
      const holds = evaluateGate(part, known);
      if (holds === settles) return settles;
      if (holds === 'open') result = 'open';
    }
    return result;
  }
  const of = known(gate.character);
  if (gate.op === 'states') {
    if (!('mask' in of)) return 'open';
    if ((of.mask & gate.mask) === 0) return 'no';
    return !of.missing && (of.mask & ~gate.mask) === 0 ? 'yes' : 'open';
  }
  if (!('set' in of)) return 'open';
  if (noNumbers(meetNumbers(of.set, gate.set))) return 'no';
  return !of.missing && numbersWithin(of.set, gate.set) ? 'yes' : 'open';
}
