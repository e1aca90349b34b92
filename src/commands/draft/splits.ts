import { type Character, numbersOf } from '../../traits/character.js';
import { type Interval, meetNumbers, type NumberSet, numberSet } from '../../traits/number-set.js';
import { type Bits, isEmpty, join } from './bits.js';
import type { CharacterFacts, Facts } from './facts.js';
import { evaluateGate, everyState, type Holds, type KnownAtGate } from './gates.js';

/** What a lead asks of one character: states as bits, or numbers from one (included) to another (excluded). */
export type SplitTest =
  | { readonly character: number; readonly mask: number }
  | { readonly character: number; readonly from: number; readonly below: number };

/** The condition of one lead: tests that must all hold, or of which any is enough. */
export interface LeadTests {
  readonly join: 'all' | 'any';
  readonly tests: readonly SplitTest[];
}

/** The leads of a couplet: no find fits two of them, and every find that can arrive fits one. */
export interface Split {
  readonly leads: readonly LeadTests[];
}

/** Finds that can arrive somewhere: what is left of each character, and the taxa that can show all of that. */
export interface Arrivals {
  readonly masks: Int32Array;
  readonly from: Float64Array;
  readonly below: Float64Array;
  readonly taxa: Bits;
}

/** The numbers of the characters that a split asks, each once, in reading order. */
export function askedBy({ leads }: Split): number[] {
  return [...new Set(leads.flatMap((l) => l.tests.map((t) => t.character)))];
}

/** All finds. */
export function wholePiece(facts: Facts, taxa: Bits): Arrivals {
  const n = facts.characters.length;
  return {
    masks: Int32Array.from(facts.facets, (f) =>
      f.usable && f.shows.length > 0 ? everyState(f.character) : 0,
    ),
    from: new Float64Array(n).fill(-Infinity),
    below: new Float64Array(n).fill(Infinity),
    taxa,
  };
}

/** What a test leaves over. The numbers of a test have one open end. */
export function complement(test: SplitTest, every: number): SplitTest {
  if ('mask' in test) return { character: test.character, mask: every & ~test.mask };
  return test.from === -Infinity
    ? { character: test.character, from: test.below, below: Infinity }
    : { character: test.character, from: -Infinity, below: test.from };
}

/** The taxa of some that can show what a test allows within a piece. */
function shownBy(facets: readonly CharacterFacts[], piece: Arrivals, test: SplitTest, among: Bits): Bits {
  const facet = facets[test.character] as CharacterFacts;
  if ('mask' in test) return showing(facet, test.mask & (piece.masks[test.character] as number), among);
  const from = Math.max(test.from, piece.from[test.character] as number);
  const below = Math.min(test.below, piece.below[test.character] as number);
  return within(facet, from, below, among);
}

/** Whether a piece leaves out some of what a character can show. */
export function narrows(
  { character, usable }: CharacterFacts,
  { masks, from, below }: Arrivals,
  c: number,
): boolean {
  if (!usable) return false;
  return character.kind === 'choice'
    ? masks[c] !== everyState(character)
    : from[c] !== -Infinity || below[c] !== Infinity;
}

/** The taxa of some that can show what is left of every character. */
export function showingAll(facets: readonly CharacterFacts[], piece: Arrivals, among: Bits): Bits {
  let rest = among;
  facets.forEach((facet, c) => {
    if (!narrows(facet, piece, c)) return;
    rest =
      facet.character.kind === 'choice'
        ? showing(facet, piece.masks[c] as number, rest)
        : within(facet, piece.from[c] as number, piece.below[c] as number, rest);
  });
  return rest;
}

/** The taxa of some that can show one of the states. */
export function showing(facet: CharacterFacts, mask: number, among: Bits): Bits {
  const out = new Uint32Array(among.length);
  for (let s = 0, m = mask; m !== 0; s++, m >>>= 1) {
    if ((m & 1) === 0) continue;
    const bits = facet.shows[s] as Bits;
    for (let w = 0; w < out.length; w++) out[w] = (out[w] as number) | (bits[w] as number);
  }
  for (let w = 0; w < out.length; w++) out[w] = (out[w] as number) & (among[w] as number);
  return out;
}

function within(facet: CharacterFacts, from: number, below: number, among: Bits): Bits {
  const out = new Uint32Array(among.length);
  for (let w = 0; w < among.length; w++) {
    let bits = 0;
    for (let v = among[w] as number; v !== 0; v &= v - 1) {
      const bit = 31 - Math.clz32(v & -v);
      if (reaches(facet, w * 32 + bit, from, below)) bits |= 1 << bit;
    }
    out[w] = bits;
  }
  return out;
}

/** Whether a taxon can show a number from one (included) to another (excluded). */
function reaches(facet: CharacterFacts, taxon: number, from: number, below: number): boolean {
  if ((facet.low[taxon] as number) >= below || (facet.high[taxon] as number) < from) return false;
  return (facet.spans[taxon] as readonly Interval[]).some((i) => {
    const open = i.low >= from ? i.lowOpen : false;
    const low = Math.max(i.low, from);
    if (below <= i.high) return low < below;
    return low < i.high || (low === i.high && !open && !i.highOpen);
  });
}

/** By lead, the taxa that can take it. */
export function sidesOf(
  facets: readonly CharacterFacts[],
  pieces: readonly Arrivals[],
  { leads }: Split,
): Bits[] {
  const [only] = pieces;
  return leads.map(({ join: how, tests }) => {
    // By far the most couplets are of one test, asked of finds that came one way.
    if (only !== undefined && pieces.length === 1 && tests.length === 1)
      return shownBy(facets, only, tests[0] as SplitTest, only.taxa);
    const side = new Uint32Array(pieces[0]?.taxa.length ?? 1);
    for (const piece of pieces) {
      let rest = piece.taxa;
      if (how === 'all') {
        for (const test of tests) rest = shownBy(facets, piece, test, rest);
        join(side, rest);
        continue;
      }
      tests.forEach((test, i) => {
        join(side, shownBy(facets, piece, test, rest));
        if (i < tests.length - 1)
          rest = shownBy(facets, piece, complement(test, piece.masks[test.character] as number), rest);
      });
    }
    return side;
  });
}

/** What arrives beyond a lead: for alternatives, pieces that have no find in common. */
export function piecesBehind(
  facets: readonly CharacterFacts[],
  pieces: readonly Arrivals[],
  lead: LeadTests,
): Arrivals[] {
  return pieces.flatMap((piece) => {
    if (lead.join === 'all') return narrowed(facets, piece, lead.tests);
    const before: SplitTest[] = [];
    return lead.tests.flatMap((test) => {
      const part = narrowed(facets, piece, [...before, test]);
      before.push(complement(test, piece.masks[test.character] as number));
      return part;
    });
  });
}

function narrowed(
  facets: readonly CharacterFacts[],
  piece: Arrivals,
  tests: readonly SplitTest[],
): Arrivals[] {
  const masks = piece.masks.slice();
  const from = piece.from.slice();
  const below = piece.below.slice();
  let { taxa } = piece;
  for (const test of tests) {
    const c = test.character;
    taxa = shownBy(facets, piece, test, taxa);
    if ('mask' in test) {
      masks[c] = (masks[c] as number) & test.mask;
      if (masks[c] === 0) return [];
    } else {
      from[c] = Math.max(from[c] as number, test.from);
      below[c] = Math.min(below[c] as number, test.below);
      if ((from[c] as number) >= (below[c] as number)) return [];
    }
  }
  return [{ masks, from, below, taxa }];
}

/** Whether a character applies to every find of the pieces, to none, or to some. */
export function applies(facts: Facts, pieces: readonly Arrivals[], c: number): Holds {
  const { gate } = facts.facets[c] as CharacterFacts;
  if (gate === undefined) return 'yes';
  let yes = 0;
  let no = 0;
  for (const piece of pieces) {
    const known = (other: number): KnownAtGate => knownIn(facts, piece, other);
    const holds = evaluateGate(gate, known);
    if (holds === 'yes') yes++;
    else if (holds === 'no') no++;
  }
  return yes === pieces.length ? 'yes' : no === pieces.length ? 'no' : 'open';
}

function knownIn(facts: Facts, piece: Arrivals, c: number): KnownAtGate {
  const missing = applies(facts, [piece], c) !== 'yes';
  const { character } = facts.facets[c] as CharacterFacts;
  if (character.kind === 'choice') return { mask: piece.masks[c] as number, missing };
  return { set: numbersIn(character, piece.from[c] as number, piece.below[c] as number), missing };
}

/** The numbers of a character from one (included) to another (excluded). */
export function numbersIn(character: Character, from: number, below: number): NumberSet {
  const whole = character.kind === 'count';
  const between = numberSet([{ low: from, lowOpen: from === -Infinity, high: below, highOpen: true }], whole);
  return meetNumbers(numbersOf(character), between);
}

/** Whether a lead takes some of the taxa but not all, for each lead: then the couplet separates something. */
export function partsSomething(taxa: Bits, sides: readonly Bits[]): boolean {
  return sides.every((side) => !isEmpty(side) && side.some((word, w) => word !== taxa[w]));
}

/** Whether every lead takes some of the taxa and one at least does not take them all: then the couplet settles some finds. */
export function settlesSomething(taxa: Bits, sides: readonly Bits[]): boolean {
  return (
    sides.every((side) => !isEmpty(side)) && sides.some((side) => side.some((word, w) => word !== taxa[w]))
  );
}
