import { type Bits, members } from './bits.js';
import { cutsOf } from './cuts.js';
import type { CharacterFacts, Facts } from './facts.js';
import {
  type Arrivals,
  applies,
  type LeadTests,
  type Split,
  type SplitTest,
  settlesSomething,
  showing,
  sidesOf,
} from './splits.js';

/** A couplet that could be asked, and how it would divide the taxa. */
export interface CoupletCandidate {
  readonly split: Split;
  /** By lead, the taxa that can take it. */
  readonly sides: readonly Bits[];
  readonly characters: readonly number[];
}

/** A place in the key that is to be grown: the finds that can arrive, and the taxa among them. */
export interface GrowingPlace {
  readonly pieces: readonly Arrivals[];
  readonly taxa: Bits;
  /** The characters asked on the way. */
  readonly asked: readonly number[];
}

/**
 * Up to so many states are divided in every way; more of them only in ways that taxa or the order of the states
 * suggest.
 */
const MOST_IN_EVERY_WAY = 6;
const MOST_WAYS = 60;

/** Every couplet that could be asked at a place, of one character each (or of one with that on which it depends). */
export function candidatesAt(facts: Facts, place: GrowingPlace, mostLeads: number): CoupletCandidate[] {
  const found = candidates(facts, place, mostLeads, MOST_WAYS);
  return found.length > 0 ? found : candidates(facts, place, mostLeads, Infinity);
}

function candidates(
  facts: Facts,
  place: GrowingPlace,
  mostLeads: number,
  mostWays: number,
): CoupletCandidate[] {
  const found: CoupletCandidate[] = [];
  const add = (leads: readonly LeadTests[], characters: readonly number[]): void => {
    const split = { leads };
    const sides = sidesOf(facts.facets, place.pieces, split);
    if (settlesSomething(place.taxa, sides)) found.push({ split, sides, characters });
  };
  facts.facets.forEach((facet, c) => {
    if (!facet.usable) return;
    const holds = applies(facts, place.pieces, c);
    if (holds === 'yes') for (const leads of waysOf(facet, c, place, mostLeads, mostWays)) add(leads, [c]);
    else if (holds === 'open')
      for (const { leads, gate } of gatedWays(facts, facet, c, place, mostWays)) add(leads, [gate, c]);
  });
  return found;
}

/** The states of a choice that can still be shown at a place, as bits. */
export function statesLeft(pieces: readonly Arrivals[], c: number): number {
  return pieces.reduce((mask, piece) => mask | (piece.masks[c] as number), 0);
}

/** The least and the greatest number that can still be shown at a place. */
function reachOf(pieces: readonly Arrivals[], c: number): [from: number, below: number] {
  let [from, below] = [Infinity, -Infinity];
  for (const piece of pieces) {
    from = Math.min(from, piece.from[c] as number);
    below = Math.max(below, piece.below[c] as number);
  }
  return [from, below];
}

const lead = (...tests: SplitTest[]): LeadTests => ({ join: 'all', tests });

function waysOf(
  facet: CharacterFacts,
  c: number,
  place: GrowingPlace,
  mostLeads: number,
  mostWays: number,
): LeadTests[][] {
  if (facet.character.kind !== 'choice')
    return cutsOf(facet, place.taxa, ...reachOf(place.pieces, c)).map((cut) => [
      lead({ character: c, from: -Infinity, below: cut }),
      lead({ character: c, from: cut, below: Infinity }),
    ]);
  const left = statesLeft(place.pieces, c);
  const ways = partitions(facet, left, place.taxa, mostWays).map(([a, b]) => [
    lead({ character: c, mask: a }),
    lead({ character: c, mask: b }),
  ]);
  const each = mostLeads > 2 ? oneEach(facet, left, place.taxa, mostLeads) : undefined;
  if (each !== undefined) ways.push(each.map((mask) => lead({ character: c, mask })));
  return ways;
}

/** A lead a state, where few enough are shown; those that no taxon shows go with the first that is shown most. */
function oneEach(facet: CharacterFacts, left: number, taxa: Bits, most: number): number[] | undefined {
  const shown = bitsOf(claimed(facet, left, taxa));
  if (shown.length < 3 || shown.length > most) return undefined;
  const unclaimed = left & ~shown.reduce((m, s) => m | s, 0);
  return shown.map((s, i) => (i === 0 ? s | unclaimed : s));
}

/**
 * A character that not every find has: `ring present; texture of the ring fibrous` against `ring absent, or texture of
 * the ring membranous`. Only where its condition asks one thing that every find here can show.
 */
function gatedWays(
  facts: Facts,
  facet: CharacterFacts,
  c: number,
  place: GrowingPlace,
  mostWays: number,
): { readonly leads: LeadTests[]; readonly gate: number }[] {
  const { gate } = facet;
  if (gate?.op !== 'states' || applies(facts, place.pieces, gate.character) !== 'yes') return [];
  const left = statesLeft(place.pieces, gate.character);
  const there = { character: gate.character, mask: left & gate.mask };
  const gone = { character: gate.character, mask: left & ~gate.mask };
  if (there.mask === 0 || gone.mask === 0) return [];
  const having = showing(facts.facets[gate.character] as CharacterFacts, there.mask, place.taxa);
  const way = (test: SplitTest, other: SplitTest) => ({
    gate: gate.character,
    leads: [lead(there, test), { join: 'any' as const, tests: [gone, other] }],
  });
  if (facet.character.kind !== 'choice')
    return cutsOf(facet, having, ...reachOf(place.pieces, c)).map((cut) =>
      way({ character: c, from: -Infinity, below: cut }, { character: c, from: cut, below: Infinity }),
    );
  return partitions(facet, statesLeft(place.pieces, c), having, mostWays).flatMap(([a, b]) => [
    way({ character: c, mask: a }, { character: c, mask: b }),
    way({ character: c, mask: b }, { character: c, mask: a }),
  ]);
}

/** The ways to divide the states that are left into two groups, each with states that some taxon shows. */
function partitions(facet: CharacterFacts, left: number, taxa: Bits, mostWays: number): [number, number][] {
  const shown = claimed(facet, left, taxa);
  const states = bitsOf(shown);
  if (states.length < 2) return [];
  const groups = new Set<number>();
  const first = states[0] as number;
  const put = (mask: number) => {
    const group = (mask & first) === 0 ? shown & ~mask : mask;
    if (group !== shown) groups.add(group);
  };
  if (states.length <= MOST_IN_EVERY_WAY) {
    for (let way = 0; way < 2 ** (states.length - 1) - 1; way++)
      put(states.reduce((mask, s, i) => (i === 0 || (way >> (i - 1)) & 1 ? mask | s : mask), 0));
  } else {
    // Any two taxa that differ are parted by what one of them shows against the rest.
    for (const t of members(taxa)) put((facet.masks[t] as number) & shown);
    let before = 0;
    for (const s of states) {
      before |= s;
      put(before);
    }
  }
  const unclaimed = left & ~shown;
  return evenly([...groups], mostWays).map((group) => {
    const rest = shown & ~group;
    // States that no taxon here shows must lead somewhere: with the longer list of states, so that the other stays
    // short.
    return bitsOf(group).length > bitsOf(rest).length ? [group | unclaimed, rest] : [group, rest | unclaimed];
  });
}

function claimed(facet: CharacterFacts, left: number, taxa: Bits): number {
  let shown = 0;
  for (let s = 0, m = left; m !== 0; s++, m >>>= 1) {
    if ((m & 1) === 0) continue;
    const bits = facet.shows[s] as Bits;
    if (bits.some((word, w) => (word & (taxa[w] as number)) !== 0)) shown |= 1 << s;
  }
  return shown;
}

/** The single states of a mask. */
export function bitsOf(mask: number): number[] {
  const out: number[] = [];
  for (let s = 0, m = mask; m !== 0; s++, m >>>= 1) if (m & 1) out.push(1 << s);
  return out;
}

/** Some of a list, evenly chosen, in its order. */
export function evenly<T>(list: readonly T[], most: number): readonly T[] {
  if (list.length <= most) return list;
  return Array.from({ length: most }, (_, i) => list[Math.floor((i * list.length) / most)] as T);
}
