import type { Chain } from '../key/chain.js';
import { numbersOf } from '../traits/character.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import { type Interval, meetNumbers, type NumberSet, noNumbers, numberSet } from '../traits/number-set.js';
import { stateIndices, stateSet } from '../traits/state-set.js';
import { fromBase, toBase } from '../traits/units.js';
import type { Value } from '../traits/value.js';
import type { CharacterPair, Correspondences } from './check.js';

/** Something that was seen and cannot be said in the terms of the other key. */
export interface LeftAside {
  /** The character, in the key in whose terms it was seen; a lead for an answer. */
  readonly what: string;
  /** In words, to stand in brackets. */
  readonly why: string;
  /** Whether nothing at all is said of it in the file. */
  readonly unsaid: boolean;
}

/** A value in the terms of another key, or why there is none. */
type Carried =
  | { readonly ok: true; readonly value: Value | undefined }
  | { readonly ok: false; readonly why: string };

/**
 * Says a collection in the terms of another key. What is carried never rules out what the original would not: a value becomes all
 * that any part of it may correspond to, and where one part has no counterpart, or the entry is not confirmed, the character
 * stays unknown; `left` says so. Specimen, age and doubt stay with each observation. Taken leads are kept where they
 * name a couplet of the other key.
 */
export function translateCollection(
  collection: Collection,
  correspondences: Correspondences,
  from: Chain,
  to: Chain,
): { readonly collection: Collection; readonly left: readonly LeftAside[] } {
  const carry = new Carrier(correspondences, from, to);
  const left = new Map<string, LeftAside>();
  const aside = (what: string, why: string, unsaid = false): never[] => {
    left.set(`${what} ${why}`, { what, why, unsaid });
    return [];
  };
  const observations = collection.observations.flatMap((o): Observation[] => {
    const stages = from.characters.get(o.character)?.stages ?? [];
    // What does not count in its own key is no evidence in another.
    if (o.stage !== undefined && stages.length > 0 && !stages.includes(o.stage))
      return aside(o.character, `does not count from ${o.stage} specimens`);
    const carried = carry.value(o.character, o.value);
    return carried.ok ? [{ ...o, ...carried.observation }] : aside(o.character, carried.why, carried.unsaid);
  });
  const choices = collection.choices.flatMap((c): Choice[] => {
    const own = c.couplet.startsWith(`${to.main.id}/`)
      ? c.couplet.slice(to.main.id.length + 1)
      : to.keys.some((k) => k !== to.main && c.couplet.startsWith(`${k.id}/`))
        ? c.couplet
        : undefined;
    return own === undefined
      ? aside(`lead ${c.couplet}${c.letter}`, `an answer to a couplet of ${from.main.id}`)
      : [{ ...c, couplet: own }];
  });
  const expect = collection.expect.flatMap((id) => {
    const same = correspondences.taxa.find((t) => {
      const one = carry.forward ? t.from : t.to;
      return t.confirmed && t.how === 'same' && one.id === id;
    });
    if (same !== undefined) return [carry.forward ? same.to.id : same.from.id];
    return to.taxa.has(id) ? [id] : [];
  });
  return { collection: { ...collection, observations, choices, expect }, left: [...left.values()] };
}

/** Carries values of one key into another. */
export class Carrier {
  /** Whether it goes the way in which the file is written. */
  readonly forward: boolean;
  readonly #pairs: ReadonlyMap<string, CharacterPair>;

  constructor(
    readonly correspondences: Correspondences,
    readonly from: Chain,
    readonly to: Chain,
  ) {
    const { from: first } = correspondences;
    // Of two versions of one key only the chain itself tells which it is.
    this.forward = to !== first && from.main.id === first.main.id;
    this.#pairs = new Map(
      correspondences.characters.map((pair) => [this.forward ? pair.from.id : pair.to.id, pair]),
    );
  }

  /** What is seen of a character of the one key, as an observation of the other. */
  value(
    id: string,
    value: Value | undefined,
  ):
    | { readonly ok: true; readonly observation: Pick<Observation, 'character' | 'value'> }
    | { readonly ok: false; readonly why: string; readonly unsaid?: boolean } {
    const pair = this.#pairs.get(id);
    if (pair === undefined)
      return this.correspondences.shared.has(id)
        ? { ok: true, observation: { character: id, value } }
        : { ok: false, why: 'nothing is said to correspond', unsaid: true };
    if (!pair.confirmed) return { ok: false, why: 'not confirmed' };
    const carried = carryValue(pair, value, this.forward);
    if (!carried.ok) return carried;
    const character = this.forward ? pair.to.id : pair.from.id;
    return { ok: true, observation: { character, value: carried.value } };
  }
}

/**
 * A value of one character of a pair as one of the other. States become the union of all that they may be. Backwards, that is
 * every state of which it is said, and every state of which nothing is said, for it may be anything.
 */
export function carryValue(pair: CharacterPair, value: Value | undefined, forward: boolean): Carried {
  const to = forward ? pair.to : pair.from;
  if (value === undefined) return { ok: true, value };
  // That one author's character does not apply says nothing of when the other's does.
  if (value.kind === 'inapplicable')
    return { ok: false, why: 'does not apply, which may mean another thing there' };
  if (value.kind === 'numbers') {
    const set = meetNumbers(asNumbersOf(pair, value.set, forward), numbersOf(to));
    return noNumbers(set)
      ? { ok: false, why: `outside what ${to.id} may be there` }
      : { ok: true, value: { ...value, set } };
  }
  const ways = forward ? pair.states : backwards(pair);
  const states = new Set<number>();
  for (const index of stateIndices(value.set)) {
    const may = ways[index];
    if (may === undefined || may.length === 0)
      return {
        ok: false,
        why: `its state ${(forward ? pair.from : pair.to).states[index]?.id ?? '?'} has no counterpart`,
      };
    for (const state of may) states.add(state);
  }
  if (states.size === to.states.length) return { ok: false, why: 'it may be any state there' };
  return { ok: true, value: { ...value, set: stateSet(states, to.states.length) } };
}

/** By state of `to`, the states of `from` that it may be; undefined where none is said to be it. */
function backwards({ states, to }: CharacterPair): readonly (readonly number[] | undefined)[] {
  const unsaid = states.flatMap((others, i) => (others === undefined ? [i] : []));
  return to.states.map((_, other) => {
    const said = states.flatMap((others, i) => (others?.includes(other) ? [i] : []));
    return said.length === 0 ? undefined : [...said, ...unsaid];
  });
}

function asNumbersOf({ from, to, factor }: CharacterPair, set: NumberSet, forward: boolean): NumberSet {
  const whole = (forward ? to : from).kind === 'count';
  if (factor === undefined) return numberSet(set.intervals, whole);
  const [own, other] = forward ? [from.unit, to.unit] : [to.unit, from.unit];
  const times = (n: number, otherwise: number): number => {
    if (!Number.isFinite(n)) return n;
    const shown = Number(fromBase(n, own));
    // Cut to the digits that count, so that 3 times 0.1 is 0.3.
    return toBase(String(forward ? shown * Number(factor) : shown / Number(factor)), other) ?? otherwise;
  };
  return numberSet(
    set.intervals.map(
      (i): Interval => ({ ...i, low: times(i.low, -Infinity), high: times(i.high, Infinity) }),
    ),
    whole,
  );
}
