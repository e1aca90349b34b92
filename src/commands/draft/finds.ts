/** How the finds of the described taxa are expected to spread: what a couplet is worth is reckoned from it. */
import type { Interval } from '../../traits/number-set.js';
import { hasBit } from './bits.js';
import type { CharacterFacts, Facts } from './facts.js';
import type { Arrivals, LeadTests, SplitTest } from './splits.js';

/**
 * Half of a described range in standard deviations. Ranges in the literature leave out the odd specimen: with this
 * figure some four finds in a hundred are a little larger or smaller than described (common practice, no source).
 */
const HALF_A_RANGE = 2;
/** A share below this is as good as none. */
const HARDLY_ANY = 1e-9;

/**
 * The expected finds of each taxon; characters are taken to vary independently within a taxon. What a description leaves
 * open is taken to be left open by its finds as well: they follow every lead, so that it is worth something to settle
 * them on each way, and a character that is described of all costs less than one that is not.
 */
export class ExpectedFinds {
  constructor(readonly facts: Facts) {}

  /** The share of the finds of a taxon that come to each piece, added up: above 1 where finds come by several ways. */
  arriving(taxon: number, pieces: readonly Arrivals[], asked: readonly number[]): number {
    let sum = 0;
    for (const piece of pieces) {
      let share = 1;
      for (const c of asked) share *= this.#within(taxon, piece, c);
      sum += share;
    }
    return sum;
  }

  /** Of the finds of a taxon that come to the pieces, the share that takes each lead; some may take several. */
  taking(
    taxon: number,
    pieces: readonly Arrivals[],
    asked: readonly number[],
    leads: readonly LeadTests[],
    out: Float64Array,
  ): void {
    const [only] = pieces;
    if (only !== undefined && pieces.length === 1) {
      this.#takingOf(taxon, only, leads, out);
      return;
    }
    out.fill(0);
    const part = new Float64Array(leads.length);
    let total = 0;
    for (const piece of pieces) {
      let share = 1;
      for (const c of asked) share *= this.#within(taxon, piece, c);
      if (share < HARDLY_ANY) continue;
      total += share;
      this.#takingOf(taxon, piece, leads, part);
      for (let i = 0; i < out.length; i++) out[i] = (out[i] as number) + share * (part[i] as number);
    }
    if (total > 0) for (let i = 0; i < out.length; i++) out[i] = (out[i] as number) / total;
  }

  #takingOf(taxon: number, piece: Arrivals, leads: readonly LeadTests[], out: Float64Array): void {
    let rest = 1;
    let other = -1;
    leads.forEach(({ join, tests }, i) => {
      // Leads exclude each other and leave nothing out: one that takes any of several tests has what the others leave,
      // and so has the last.
      if (other < 0 && (join === 'any' || i === leads.length - 1)) {
        other = i;
        return;
      }
      let share = 1;
      let open = false;
      for (const test of tests) {
        share *= this.#passing(taxon, piece, test);
        open ||= hasBit((this.facts.facets[test.character] as CharacterFacts).silent, taxon);
      }
      out[i] = share;
      if (!open) rest -= share;
    });
    if (other >= 0) out[other] = Math.max(0, rest);
  }

  /** The share of the finds in a piece that pass a test. */
  #passing(taxon: number, piece: Arrivals, test: SplitTest): number {
    const c = test.character;
    if ('mask' in test) {
      const left = piece.masks[c] as number;
      const all = this.#showing(taxon, c, left);
      return all < HARDLY_ANY ? 0.5 : this.#showing(taxon, c, left & test.mask) / all;
    }
    const [from, below] = [piece.from[c] as number, piece.below[c] as number];
    const all = this.#between(taxon, c, from, below);
    if (all < HARDLY_ANY) return 0.5;
    return this.#between(taxon, c, Math.max(from, test.from), Math.min(below, test.below)) / all;
  }

  #within(taxon: number, piece: Arrivals, c: number): number {
    const facet = this.facts.facets[c] as CharacterFacts;
    if (facet.shows.length > 0) return this.#showing(taxon, c, piece.masks[c] as number);
    return this.#between(taxon, c, piece.from[c] as number, piece.below[c] as number);
  }

  #showing(taxon: number, c: number, mask: number): number {
    const facet = this.facts.facets[c] as CharacterFacts;
    if (hasBit(facet.silent, taxon)) return 1;
    const own = facet.masks[taxon] as number;
    // Where it does not apply, nothing of it is asked.
    return own === 0 ? 1 : bitCount(own & mask) / bitCount(own);
  }

  #between(taxon: number, c: number, from: number, below: number): number {
    if (from === -Infinity && below === Infinity) return 1;
    if (hasBit((this.facts.facets[c] as CharacterFacts).silent, taxon)) return 1;
    return Math.max(0, this.#below(taxon, c, below) - this.#below(taxon, c, from));
  }

  /** The share of the finds of a taxon whose number is below one. */
  #below(taxon: number, c: number, at: number): number {
    if (at === Infinity) return 1;
    if (at === -Infinity) return 0;
    const facet = this.facts.facets[c] as CharacterFacts;
    const spans = facet.spans[taxon] as readonly Interval[];
    if (spans.length === 0) return 0.5;
    let sum = 0;
    for (const span of spans) sum += belowIn(span, at, facet.character.kind === 'count');
    return sum / spans.length;
  }
}

/** The share of finds below a number: counts lie evenly in their range, measures gather around its middle. */
function belowIn({ low, high }: Interval, at: number, whole: boolean): number {
  // A range without an end is taken to go on as far again.
  const from = low === -Infinity ? high - Math.max(1, Math.abs(high)) : low;
  const to = high === Infinity ? from + Math.max(1, Math.abs(from)) : high;
  if (whole) return Math.min(1, Math.max(0, (Math.ceil(at) - from) / (to - from + 1)));
  const half = (to - from) / 2;
  if (half === 0) return at > from ? 1 : 0;
  return normalBelow((HALF_A_RANGE * (at - from - half)) / half);
}

/** The normal distribution below a number of standard deviations (Abramowitz and Stegun 1964, 26.2.17). */
function normalBelow(z: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const series =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const tail = Math.exp((-z * z) / 2) * 0.3989422804 * series;
  return z < 0 ? tail : 1 - tail;
}

/** How many states a mask has. */
function bitCount(mask: number): number {
  let n = 0;
  for (let m = mask; m !== 0; m &= m - 1) n++;
  return n;
}
