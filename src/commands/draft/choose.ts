import { type Bits, both, size, without } from './bits.js';
import { type CoupletCandidate, candidatesAt, type GrowingPlace, sharesOf } from './candidates.js';
import type { Facts } from './facts.js';
import { isMixed, type Slips, slipsAt, wellSeparated } from './harm.js';
import { piecesBehind } from './splits.js';

/** What couplets can be preferred for. */
export const preferences = ['effort', 'short', 'information', 'pairs', 'reliability', 'harm'] as const;
/** One of the preferences. */
export type Preference = (typeof preferences)[number];

/** How a draft is made. */
export interface ChoiceOptions {
  /** The first counts most, each further one half of the one before it. */
  readonly prefer: readonly Preference[];
  /** How many couplets ahead are considered when one is chosen. */
  readonly lookAhead: number;
  readonly mostLeads: number;
}

/** A couplet that was chosen, and the places beyond its leads. */
interface ChosenCouplet {
  readonly candidate: CoupletCandidate;
  readonly behind: readonly GrowingPlace[];
}

/** How many couplets are looked ahead from at a place, and at each further one. */
const THOUGHT_THROUGH = 5;
const FURTHER = 3;
/** This many taxa may stay together where every couplet would let one misread weak character hide harm. */
const LEFT_TOGETHER = 4;
/** The part of the effort that another look at the same character takes. */
const LOOKED_AT = 0.25;

/** Chooses couplets for places. */
export class Chooser {
  readonly #meanEffort: number;
  readonly #byEffort: boolean;

  constructor(
    readonly facts: Facts,
    readonly options: ChoiceOptions,
  ) {
    const efforts = facts.facets.filter((f) => f.usable).map((f) => f.character.effort);
    this.#meanEffort = efforts.reduce((sum, e) => sum + e, 0) / Math.max(1, efforts.length);
    const { prefer } = options;
    const [effort, short] = [prefer.indexOf('effort'), prefer.indexOf('short')];
    this.#byEffort = effort >= 0 && (short < 0 || effort < short);
  }

  /** The couplet to ask at a place, or why its taxa end together there. */
  choose(place: GrowingPlace): ChosenCouplet | 'alike' | 'harm' {
    const { facts } = this;
    const all = candidatesAt(facts, place, this.options.mostLeads);
    if (all.length === 0) return 'alike';
    if (!isMixed(facts, place)) return this.#best(place, all, undefined);
    const slips = new Map(all.map((c) => [c, slipsAt(facts, place, c)]));
    const sound = all.filter((c) => slips.get(c)?.lost === 0);
    if (sound.length > 0) return this.#best(place, sound, slips);
    const joined = wellSeparated(facts, place);
    for (const c of joined) slips.set(c, slipsAt(facts, place, c));
    const left = joined.length > 0 ? joined : all;
    const least = Math.min(...left.map((c) => slips.get(c)?.lost ?? 0));
    // Better two or three taxa left together than a harmful one hidden by one misreading.
    if (least > 0 && size(place.taxa) <= LEFT_TOGETHER) return 'harm';
    return this.#best(
      place,
      left.filter((c) => slips.get(c)?.lost === least),
      slips,
    );
  }

  #best(
    place: GrowingPlace,
    candidates: readonly CoupletCandidate[],
    slips: ReadonlyMap<CoupletCandidate, Slips> | undefined,
  ): ChosenCouplet {
    const ranked = this.#ranked(place, candidates);
    let [best] = ranked as [Ranked, ...Ranked[]];
    if (this.options.lookAhead > 0 && ranked.length > 1) {
      const thought = ranked.slice(0, THOUGHT_THROUGH).map((r) => ({
        ranked: r,
        cost: this.#costOf(place, r.candidate, this.options.lookAhead + 1),
      }));
      const least = Math.min(...thought.map((t) => t.cost));
      const value = (t: (typeof thought)[number]) => t.cost / Math.max(least, 1e-9) + 0.1 * t.ranked.loss;
      best = thought.reduce((a, b) => (value(b) < value(a) - 1e-12 ? b : a)).ranked;
    }
    const { candidate } = best;
    const known = slips?.get(candidate);
    const behind = this.#behind(place, candidate, known?.misreadArrivals);
    return { candidate, behind };
  }

  #behind(
    place: GrowingPlace,
    { split, sides, characters }: CoupletCandidate,
    misreadArrivals: Slips['misreadArrivals'] | undefined,
  ): GrowingPlace[] {
    const asked = [...new Set([...place.asked, ...characters])];
    return split.leads.map((lead, i) => ({
      pieces: piecesBehind(this.facts.facets, place.pieces, lead),
      taxa: sides[i] as Bits,
      misreadArrivals: misreadArrivals?.[i] ?? [],
      asked,
    }));
  }

  /** What it costs to finish from a place when this couplet is asked there. */
  #costOf(place: GrowingPlace, candidate: CoupletCandidate, depth: number): number {
    const { shares } = sharesOf(this.facts, place.taxa, candidate.sides);
    const behind = this.#behind(place, candidate, undefined);
    return behind.reduce(
      (sum, next, i) => sum + (shares[i] as number) * this.#costFrom(next, depth - 1),
      this.#byEffort ? this.#effortOf(place, candidate) : 1,
    );
  }

  #costFrom(place: GrowingPlace, depth: number): number {
    const n = size(place.taxa);
    if (n <= 1) return 0;
    if (depth <= 0) return this.#unit() * Math.log2(n);
    const candidates = candidatesAt(this.facts, place, this.options.mostLeads);
    if (candidates.length === 0) return 0;
    return Math.min(
      ...this.#ranked(place, candidates)
        .slice(0, FURTHER)
        .map((r) => this.#costOf(place, r.candidate, depth)),
    );
  }

  #unit(): number {
    return this.#byEffort ? this.#meanEffort : 1;
  }

  #ranked(place: GrowingPlace, candidates: readonly CoupletCandidate[]): Ranked[] {
    const measured = candidates.map((c) => this.#losses(place, c));
    const { prefer } = this.options;
    const loss = candidates.map(() => 0);
    prefer.forEach((_, p) => {
      const values = measured.map((m) => m[p] as number);
      const least = Math.min(...values);
      const range = Math.max(...values) - least;
      if (range === 0) return;
      values.forEach((v, i) => {
        loss[i] = (loss[i] as number) + ((v - least) / range) * 0.5 ** p;
      });
    });
    // Equal ones keep the order of the characters in the table.
    return candidates
      .map((candidate, i) => ({ candidate, loss: loss[i] as number, at: i }))
      .sort((a, b) => a.loss - b.loss || a.at - b.at);
  }

  /** By preference, how bad a couplet is: the smaller the better. */
  #losses(place: GrowingPlace, candidate: CoupletCandidate): number[] {
    const { shares, spread } = sharesOf(this.facts, place.taxa, candidate.sides);
    const remaining = candidate.sides.reduce(
      (sum, side, i) => sum + (shares[i] as number) * Math.log2(size(side)),
      0,
    );
    return this.options.prefer.map((name) => {
      if (name === 'short') return remaining;
      if (name === 'effort') return this.#effortOf(place, candidate) + this.#meanEffort * remaining;
      if (name === 'information')
        return spread + shares.reduce((sum, p) => (p > 0 ? sum + p * Math.log2(p) : sum), 0);
      if (name === 'pairs') return -pairsParted(candidate.sides);
      if (name === 'harm') return -harmParted(this.facts, candidate.sides);
      return candidate.characters.reduce((sum, c) => sum + misreading(this.facts, c), 0);
    });
  }

  /** Looking again at a character already seen is almost free. */
  #effortOf(place: GrowingPlace, { characters }: CoupletCandidate): number {
    return characters.reduce((sum, c) => {
      const effort = this.facts.facets[c]?.character.effort ?? 1;
      return sum + (place.asked.includes(c) ? LOOKED_AT * effort : effort);
    }, 0);
  }
}

interface Ranked {
  readonly candidate: CoupletCandidate;
  readonly loss: number;
}

/** How often a character is misread; where that is not stated, a weak one counts as worse than a firm one. */
function misreading(facts: Facts, c: number): number {
  const facet = facts.facets[c];
  return 1 - (facet?.character.reliability ?? (facet?.weak === undefined ? 0.95 : 0.85));
}

/** How many pairs of taxa are beyond different leads only. */
function pairsParted(sides: readonly Bits[]): number {
  let pairs = 0;
  sides.forEach((a, i) => {
    for (const b of sides.slice(i + 1)) {
      const shared = size(both(a, b));
      pairs += (size(a) - shared) * (size(b) - shared);
    }
  });
  return pairs;
}

/** The same, of a harmful taxon and one without recorded harm. */
function harmParted(facts: Facts, sides: readonly Bits[]): number {
  let pairs = 0;
  sides.forEach((a, i) => {
    sides.forEach((b, j) => {
      if (i === j) return;
      pairs += size(without(both(a, facts.harmful), b)) * size(without(without(b, facts.harmful), a));
    });
  });
  return pairs;
}
