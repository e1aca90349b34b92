import { addBit, type Bits, both, hasBit, isEmpty, join, meets, members, noBits, without } from './bits.js';
import { type CoupletCandidate, evenly, type GrowingPlace, statesLeft } from './candidates.js';
import { cutBetween } from './cuts.js';
import { type CharacterFacts, type Facts, leftOpen } from './facts.js';
import {
  type Arrivals,
  applies,
  complement,
  type LeadTests,
  narrows,
  partsSomething,
  type SplitTest,
  showingAll,
  sidesOf,
} from './splits.js';

/** Harmful taxa that one misread weak character brings to a place, though they do not belong there. */
export interface MisreadArrivals {
  readonly misread: number;
  readonly taxa: Bits;
}

/** The finds of harmful taxa that come to a place when one character can have been read as anything. */
interface ReadAsAnything {
  /** The descriptions, as if they left that character open. */
  readonly facets: readonly CharacterFacts[];
  /** The pieces of the place, each with the harmful taxa that can come there. */
  readonly pieces: readonly Arrivals[];
}

/** By place, and by character that is misread. */
const readings = new WeakMap<GrowingPlace, Map<number, ReadAsAnything>>();

function readAsAnything(facts: Facts, place: GrowingPlace, misread: number): ReadAsAnything {
  const known = readings.get(place) ?? new Map<number, ReadAsAnything>();
  readings.set(place, known);
  let reading = known.get(misread);
  if (reading === undefined) {
    const facets = facetsLeavingOpen(facts, misread);
    const pieces = place.pieces.map((p) => ({ ...p, taxa: showingAll(facets, p, facts.harmful) }));
    reading = { facets, pieces };
    known.set(misread, reading);
  }
  return reading;
}

/** By draft and character: the descriptions, as if they left that one open. */
const leavingOpen = new WeakMap<Facts, Map<number, readonly CharacterFacts[]>>();

function facetsLeavingOpen(facts: Facts, c: number): readonly CharacterFacts[] {
  const known = leavingOpen.get(facts) ?? new Map<number, readonly CharacterFacts[]>();
  leavingOpen.set(facts, known);
  let facets = known.get(c);
  if (facets === undefined) {
    facets = facts.facets.map((facet, i) => (i === c ? leftOpen(facet, facts.taxa.length) : facet));
    known.set(c, facets);
  }
  return facets;
}

/** Whether harm and no recorded harm stand together here, or harm can come here by a misreading. */
export function isMixed(facts: Facts, place: GrowingPlace): boolean {
  if (isEmpty(facts.harmful)) return false;
  const together = meets(place.taxa, facts.harmful) && !isEmpty(without(place.taxa, facts.harmful));
  return together || misreadArrivals(facts, place).length > 0;
}

/**
 * The harmful taxa of which finds come to a place by one misread weak character. Each find goes its way by all else that it
 * shows; it may come astray though other finds of its taxon belong here.
 */
export function misreadArrivals(facts: Facts, place: GrowingPlace): readonly MisreadArrivals[] {
  return weakIn(facts, place, []).flatMap((misread): MisreadArrivals[] => {
    const { pieces } = readAsAnything(facts, place, misread);
    const taxa = noBits(facts.taxa.length);
    pieces.forEach((piece, i) => {
      join(taxa, without(piece.taxa, (place.pieces[i] as Arrivals).taxa));
    });
    return isEmpty(taxa) ? [] : [{ misread, taxa }];
  });
}

/**
 * How many harmful taxa come to where nothing harmful stands by one misread weak character at a couplet, though more than
 * what was misread tells them from it.
 */
export function lostBySlips(
  facts: Facts,
  place: GrowingPlace,
  { split, sides, characters }: CoupletCandidate,
): number {
  let lost = 0;
  split.leads.forEach((lead, i) => {
    // Where something harmful belongs too, the reader is warned.
    const side = sides[i] as Bits;
    if (meets(side, facts.harmful)) return;
    for (const misread of weakIn(facts, place, characters)) {
      const { facets, pieces } = readAsAnything(facts, place, misread);
      const [coming] = sidesOf(facets, pieces, { leads: [lead] }) as [Bits];
      // Where a taxon stands that differs in nothing but what was misread, nothing in the table could tell them apart.
      // Everywhere else a couplet can be chosen better.
      for (const h of members(coming))
        if (!members(side).some((l) => differOnlyIn(facts, h, l, misread))) lost++;
    }
  });
  return lost;
}

/** The weak characters that decide about who comes to a place, and those of some more. */
function weakIn(facts: Facts, { pieces }: GrowingPlace, more: readonly number[]): number[] {
  return facts.facets.flatMap((facet, c) =>
    facet.weak !== undefined && (more.includes(c) || pieces.some((p) => narrows(facet, p, c))) ? [c] : [],
  );
}

/** By draft, pair of taxa and character: the first two characters in which the two can show nothing in common. */
const differences = new WeakMap<Facts, Map<number, readonly number[]>>();

/** Whether the descriptions of two taxa differ in one character only. */
function differOnlyIn(facts: Facts, a: number, b: number, character: number): boolean {
  return apartIn(facts, a, b).every((c) => c === character);
}

/** The first characters, two at most, in which two taxa can show nothing in common. */
export function apartIn(facts: Facts, a: number, b: number): readonly number[] {
  const known = differences.get(facts) ?? new Map<number, readonly number[]>();
  differences.set(facts, known);
  const pair = a * facts.taxa.length + b;
  let apart = known.get(pair);
  if (apart === undefined) {
    const found: number[] = [];
    for (let c = 0; c < facts.facets.length && found.length < 2; c++)
      if (areApart(facts.facets[c] as CharacterFacts, a, b)) found.push(c);
    apart = found;
    known.set(pair, apart);
  }
  return apart;
}

function areApart(facet: CharacterFacts, a: number, b: number): boolean {
  if (!facet.usable || hasBit(facet.silent, a) || hasBit(facet.silent, b)) return false;
  const lacks = (taxon: number) =>
    facet.character.kind === 'choice'
      ? facet.masks[taxon] === 0
      : (facet.low[taxon] as number) > (facet.high[taxon] as number);
  if (lacks(a) && lacks(b)) return false;
  if (facet.character.kind === 'choice')
    return ((facet.masks[a] as number) & (facet.masks[b] as number)) === 0;
  return (
    (facet.low[a] as number) > (facet.high[b] as number) ||
    (facet.low[b] as number) > (facet.high[a] as number)
  );
}

/** Trying every harmless taxon of a large place would take long and find nothing better. */
const MOST_TRIED = 40;

/**
 * Couplets that separate taxa without recorded harm from harmful ones by several characters together: the one
 * lead asks all of them, so that one misread character leads to the other. Each harmful taxon that differs in
 * two characters is kept off by two.
 */
export function wellSeparated(facts: Facts, place: GrowingPlace): CoupletCandidate[] {
  const askable = facts.facets.flatMap((facet, c) =>
    facet.usable && applies(facts, place.pieces, c) === 'yes' ? [c] : [],
  );
  const harmless = members(without(place.taxa, facts.harmful));
  const found: CoupletCandidate[] = [];
  const add = (tests: readonly SplitTest[]): boolean => {
    const strict: LeadTests = { join: 'all', tests };
    const loose: LeadTests = {
      join: tests.length === 1 ? 'all' : 'any',
      tests: tests.map((t) => complement(t, statesLeft(place.pieces, t.character))),
    };
    const split = { leads: [strict, loose] };
    const sides = sidesOf(facts.facets, place.pieces, split);
    const parts = partsSomething(place.taxa, sides);
    if (parts) found.push({ split, sides, characters: tests.map((t) => t.character) });
    return parts;
  };
  for (const one of evenly(harmless, MOST_TRIED)) {
    const tests = testsAround(facts, place, askable, one);
    if (tests.length === 0 || add(tests)) continue;
    // What keeps harm off need not separate anything; then a test that does is asked together with it.
    for (const more of partingTests(facts, place, askable, one))
      if (tests.every((t) => t.character !== more.character)) add([...tests, more]);
  }
  return found;
}

/** Tests that a taxon passes and some other that stands here does not. */
function partingTests(
  facts: Facts,
  place: GrowingPlace,
  askable: readonly number[],
  one: number,
): SplitTest[] {
  return askable.flatMap((c) =>
    differencesOf(facts, place, c, one, place.taxa).map((d) => testFor(facts, place, one, d)),
  );
}

/** One way in which a harmless taxon differs from harmful ones. */
interface Difference {
  readonly character: number;
  /** Of numbers: whether the harmless one lies below. */
  readonly below?: boolean;
  readonly from: Bits;
  /** 2 for a firm character, which is enough alone. */
  readonly worth: number;
}

function testsAround(
  facts: Facts,
  place: GrowingPlace,
  askable: readonly number[],
  one: number,
): SplitTest[] {
  const own = both(place.taxa, facts.harmful);
  const guarded = own.slice();
  const astray = misreadArrivals(facts, place);
  for (const { taxa } of astray) join(guarded, taxa);
  const differences = askable.flatMap((c) => {
    // What brought a taxon here by being misread cannot keep it off.
    const off = astray.find((g) => g.misread === c)?.taxa;
    return differencesOf(
      facts,
      place,
      c,
      one,
      off === undefined ? guarded : without(guarded, without(off, own)),
    );
  });
  const need = new Map<number, number>();
  for (const h of members(guarded)) {
    const apart = differences.reduce((sum, d) => sum + (hasBit(d.from, h) ? d.worth : 0), 0);
    // What has come here by one misreading can be kept off by one more character.
    const wanted = hasBit(own, h) ? 2 : 1;
    if (apart > 0) need.set(h, Math.min(wanted, apart));
  }
  const chosen: Difference[] = [];
  const open = new Set(differences);
  for (;;) {
    let best: Difference | undefined;
    let most = 0;
    for (const d of open) {
      let gain = 0;
      for (const [h, left] of need) if (left > 0 && hasBit(d.from, h)) gain += Math.min(left, d.worth);
      if (gain > most) [best, most] = [d, gain];
    }
    if (best === undefined) break;
    open.delete(best);
    chosen.push(best);
    for (const [h, left] of need) if (hasBit(best.from, h)) need.set(h, left - best.worth);
  }
  // One test a character; of numbers on both sides of the harmless one, the side that keeps off more.
  const once = chosen.filter((d, i) => chosen.findIndex((e) => e.character === d.character) === i);
  return once
    .sort((a, b) => reliability(facts, b.character) - reliability(facts, a.character))
    .map((d) => testFor(facts, place, one, d));
}

function reliability(facts: Facts, c: number): number {
  return facts.facets[c]?.character.reliability ?? 0.95;
}

/** Only what can still be shown here counts: what the way here has settled keeps nobody off. */
function differencesOf(
  facts: Facts,
  place: GrowingPlace,
  c: number,
  one: number,
  guarded: Bits,
): Difference[] {
  const facet = facts.facets[c] as CharacterFacts;
  if (hasBit(facet.silent, one)) return [];
  const worth = facet.weak === undefined ? 2 : 1;
  const apart = (differs: (h: number) => boolean): Bits => {
    const from = noBits(facts.taxa.length);
    for (const h of members(guarded)) if (!hasBit(facet.silent, h) && differs(h)) addBit(from, h);
    return from;
  };
  if (facet.character.kind === 'choice') {
    const mask = facet.masks[one] as number;
    if (mask === 0) return [];
    const left = statesLeft(place.pieces, c);
    const from = apart(
      (h) => ((facet.masks[h] as number) & mask) === 0 && ((facet.masks[h] as number) & left) !== 0,
    );
    return isEmpty(from) ? [] : [{ character: c, from, worth }];
  }
  const [low, high] = [facet.low[one] as number, facet.high[one] as number];
  const least = Math.min(...place.pieces.map((p) => p.from[c] as number));
  const most = Math.max(...place.pieces.map((p) => p.below[c] as number));
  const above = (h: number) => (facet.low[h] as number) > high && (facet.low[h] as number) < most;
  const under = (h: number) => (facet.high[h] as number) < low && (facet.high[h] as number) >= least;
  return [
    { character: c, below: true, from: apart(above), worth },
    { character: c, below: false, from: apart(under), worth },
  ].filter((d) => !isEmpty(d.from));
}

function testFor(
  facts: Facts,
  place: GrowingPlace,
  one: number,
  { character, below, from }: Difference,
): SplitTest {
  const facet = facts.facets[character] as CharacterFacts;
  if (below === undefined) {
    const theirs = members(from).reduce((mask, h) => mask | (facet.masks[h] as number), 0);
    return { character, mask: statesLeft(place.pieces, character) & ~theirs };
  }
  const theirs = members(from);
  if (below) {
    const least = Math.min(...theirs.map((h) => facet.low[h] as number));
    return {
      character,
      from: -Infinity,
      below: cutBetween(facet, facet.high[one] as number, least),
    };
  }
  const most = Math.max(...theirs.map((h) => facet.high[h] as number));
  return { character, from: cutBetween(facet, most, facet.low[one] as number), below: Infinity };
}
