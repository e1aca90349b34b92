import { evaluate, FITS } from '../engine/evaluate.js';
import type { Specimen } from '../engine/witness.js';
import type { Character } from '../traits/character.js';
import { numbersOf } from '../traits/character.js';
import type { Check } from '../traits/check.js';
import { charactersIn } from '../traits/condition.js';
import { closed, meetNumbers, noNumbers, numberSet } from '../traits/number-set.js';
import { stateSet } from '../traits/state-set.js';
import { fromBase, toBase } from '../traits/units.js';
import type { Value } from '../traits/value.js';
import type { JoinedVersions } from './joint.js';

/**
 * Finds drawn at random from all possible ones, the same each time: a state of each character, a number at, between or
 * beside those that the keys name. A character that does not apply to the find has no value.
 */
export function* drawFinds(joint: JoinedVersions, many: number): Generator<Specimen> {
  const { now } = joint;
  const values = now.characters.map((c, i) => valuesOf(c, i, joint));
  const random = sequence(20261125);
  const order = gatesFirst(now.characters);
  for (let n = 0; n < many; n++) {
    const known = new Array<Value | undefined>(values.length).fill(undefined);
    for (const c of order) {
      const gate = now.gates[c];
      const own = values[c] as readonly Value[];
      const exists = gate === undefined || evaluate(gate, known, now.gates) === FITS;
      known[c] = exists ? own[Math.floor(random() * own.length)] : { kind: 'inapplicable' };
    }
    yield new Map(known.flatMap((value, c) => (value === undefined ? [] : [[c, value] as const])));
  }
}

/** Each character behind those that its own condition asks. */
function gatesFirst(characters: readonly Character[]): number[] {
  const index = new Map(characters.map((c, i) => [c.id, i]));
  const done = new Set<number>();
  const order: number[] = [];
  const visit = (i: number): void => {
    if (done.has(i)) return;
    done.add(i);
    const gate = characters[i]?.appliesWhen;
    if (gate !== undefined) for (const id of charactersIn(gate)) visit(index.get(id) ?? i);
    order.push(i);
  };
  for (const i of characters.keys()) visit(i);
  return order;
}

function valuesOf(character: Character, index: number, { old, now }: JoinedVersions): readonly Value[] {
  if (character.kind === 'choice')
    return character.states.map((_, i) => ({
      kind: 'states',
      set: stateSet([i], character.states.length),
      partly: false,
    }));
  const ends = new Set<number>();
  for (const key of [old, now])
    for (const couplet of key.couplets)
      for (const lead of couplet.leads) if (lead.check !== undefined) addEnds(lead.check, index, ends);
  const whole = character.kind === 'count';
  const step = whole ? 1 : 0.1;
  // Counted in the unit of the character, in decimals, so that a person could write every number that is drawn.
  const named = [...ends].map((n) => Number(fromBase(n, character.unit)));
  const near = [...named, 0, step].flatMap((n) => [n - step, n, n + step]);
  const sorted = [...new Set(near.map((n) => Number(n.toFixed(4))))].sort((a, b) => a - b);
  const between = whole ? [] : sorted.slice(1).map((n, i) => (n + (sorted[i] ?? n)) / 2);
  const limits = numbersOf(character);
  return [...sorted, ...between].flatMap((n): Value[] => {
    const number = toBase(String(Number(n.toFixed(4))), character.unit);
    if (number === undefined) return [];
    const set = meetNumbers(numberSet([closed(number, number)], whole), limits);
    return noNumbers(set) ? [] : [{ kind: 'numbers', set, partly: false }];
  });
}

function addEnds(check: Check, character: number, ends: Set<number>): void {
  if (check.op === 'not') addEnds(check.part, character, ends);
  else if (check.op === 'all' || check.op === 'any')
    for (const part of check.parts) addEnds(part, character, ends);
  else if (check.op === 'numbers' && check.character === character)
    for (const { low, high } of check.set.intervals)
      for (const end of [low, high]) if (Number.isFinite(end)) ends.add(end);
}

/** A fixed sequence of numbers between 0 and 1 (mulberry32). */
function sequence(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
