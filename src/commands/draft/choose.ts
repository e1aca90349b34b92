import { type Bits, both, members, size, without } from './bits.js';
import { type CoupletCandidate, candidatesAt, type GrowingPlace } from './candidates.js';
import type { CharacterFacts, Facts } from './facts.js';
import { ExpectedFinds } from './finds.js';
import { isMixed, lostBySlips, wellSeparated } from './harm.js';
import { piecesBehind } from './splits.js';
import { differenceAt, type WhyTogether } from './together.js';

/** What couplets can be preferred for. */
export const preferences = ['effort', 'short', 'information', 'pairs', 'reliability', 'harm'] as const;
/** One of the preferences. */
export type Preference = (typeof preferences)[number];

/** What a draft prefers by default: little effort, then characters that are read right. */
export const STANDARD: readonly Preference[] = ['effort', 'reliability'];

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
/**
 * What a find that goes where its taxon does not stand costs, in couplets, and how much more for each taxon: a long key
 * has more couplets at which it can happen, and more other characters to ask. Found by measuring (`npm run bench -- draft`).
 */
const LOST = 10;
const LOST_PER_TAXON = 0.75;
/** What it costs, in couplets, to have each taxon on both sides. */
const REPEATED = 1;

/** What it costs, in couplets, to ask a further character in the same one. */
const ASKED_TOGETHER = 0.25;

/** The expected finds at a place: by taxon, in the order of its members, the share of the finds of that taxon. */
interface Standing {
  readonly taxa: readonly number[];
  readonly mass: Float64Array;
  readonly total: number;
}

/** What the finds of a place do at a couplet. */
interface Flow {
  /** By lead, the share of the finds here that take it and whose taxon stands there. */
  readonly shares: readonly number[];
  /** What the couplet costs besides: finds that go where their taxon does not stand, taxa on both sides, and further characters. */
  readonly burden: number;
  /** What is still to be found out behind the couplet: bits a find. */
  readonly remaining: number;
}

/** Chooses couplets for places. */
export class Chooser {
  readonly finds: ExpectedFinds;
  readonly #meanEffort: number;
  readonly #byEffort: boolean;
  readonly #prefer: readonly Preference[];
  readonly #lost: number;
  readonly #standing = new WeakMap<GrowingPlace, Standing>();

  constructor(
    readonly facts: Facts,
    readonly options: ChoiceOptions,
  ) {
    this.finds = new ExpectedFinds(facts);
    this.#lost = LOST + LOST_PER_TAXON * facts.taxa.length;
    const efforts = facts.facets.filter((f) => f.usable).map((f) => f.character.effort);
    this.#meanEffort = efforts.reduce((sum, e) => sum + e, 0) / Math.max(1, efforts.length);
    const prefer = options.prefer.filter((p) => saysOf(facts, p));
    const [effort, short] = [prefer.indexOf('effort'), prefer.indexOf('short')];
    this.#byEffort = effort >= 0 && (short < 0 || effort < short);
    // Whatever is preferred, of two couplets that are alike in it the one that settles more is taken.
    this.#prefer = this.#byEffort || short >= 0 ? prefer : [...prefer, 'short'];
  }

  /** The couplet to ask at a place, or why its taxa end together there. */
  choose(place: GrowingPlace): ChosenCouplet | 'alike' | 'gap' | 'few' | 'harm' {
    const { facts } = this;
    const all = candidatesAt(facts, place, this.options.mostLeads);
    if (all.length === 0) return differenceAt(facts, place);
    if (!isMixed(facts, place)) return this.#best(place, all);
    const lost = new Map(all.map((c) => [c, lostBySlips(facts, place, c)]));
    const safe = () => [...lost].flatMap(([c, slipped]) => (slipped === 0 ? [c] : []));
    if (safe().length === all.length) return this.#best(place, all);
    // What is left of the single characters may be the least useful of them: several together can be safe as well.
    const joined = wellSeparated(facts, place);
    for (const c of joined) lost.set(c, lostBySlips(facts, place, c));
    const sound = safe();
    if (sound.length > 0) return this.#best(place, sound);
    const left = joined.length > 0 ? joined : all;
    const least = Math.min(...left.map((c) => lost.get(c) ?? 0));
    // Better two or three taxa left together than a harmful one hidden by one misreading.
    if (least > 0 && size(place.taxa) <= LEFT_TOGETHER) return 'harm';
    return this.#best(
      place,
      left.filter((c) => lost.get(c) === least),
    );
  }

  /** Why taxa end together where no couplet is wanted for the reason that is given. */
  whyTogether(place: GrowingPlace, wanted: WhyTogether): WhyTogether {
    const differ = differenceAt(this.facts, place);
    if (differ === 'gap') return differ;
    return differ === 'alike' && candidatesAt(this.facts, place, this.options.mostLeads).length === 0
      ? differ
      : wanted;
  }

  /** By taxon that stands at a place, in the order of its members, the share of its finds that come there. */
  arriving(place: GrowingPlace): Standing {
    let known = this.#standing.get(place);
    if (known === undefined) {
      const taxa = members(place.taxa);
      const mass = Float64Array.from(taxa, (t) => this.finds.arriving(t, place.pieces, place.asked));
      const total = taxa.reduce(
        (sum, t, i) => sum + (mass[i] as number) * (this.facts.weights[t] as number),
        0,
      );
      known = { taxa, mass, total };
      this.#standing.set(place, known);
    }
    return known;
  }

  #best(place: GrowingPlace, candidates: readonly CoupletCandidate[]): ChosenCouplet {
    const ranked = this.#ranked(place, candidates);
    let [best] = ranked as [Ranked, ...Ranked[]];
    if (this.options.lookAhead > 0 && ranked.length > 1) {
      const thought = ranked.slice(0, THOUGHT_THROUGH).map((r) => ({
        ranked: r,
        cost: this.#costOf(place, r, this.options.lookAhead + 1),
      }));
      const least = Math.min(...thought.map((t) => t.cost));
      const value = (t: (typeof thought)[number]) => t.cost / Math.max(least, 1e-9) + 0.1 * t.ranked.loss;
      best = thought.reduce((a, b) => (value(b) < value(a) - 1e-12 ? b : a)).ranked;
    }
    const { candidate } = best;
    return { candidate, behind: this.#behind(place, candidate) };
  }

  #behind(place: GrowingPlace, { split, sides, characters }: CoupletCandidate): GrowingPlace[] {
    const asked = [...new Set([...place.asked, ...characters])];
    return split.leads.map((lead, i) => ({
      pieces: piecesBehind(this.facts.facets, place.pieces, lead),
      taxa: sides[i] as Bits,
      asked,
    }));
  }

  /** What it costs to finish from a place when this couplet is asked there. */
  #costOf(place: GrowingPlace, { candidate, flow }: Ranked, depth: number): number {
    const behind = this.#behind(place, candidate);
    return behind.reduce(
      (sum, next, i) => sum + (flow.shares[i] as number) * this.#costFrom(next, depth - 1),
      (this.#byEffort ? this.#effortOf(place, candidate) : 1) + this.#unit() * flow.burden,
    );
  }

  #costFrom(place: GrowingPlace, depth: number): number {
    const n = size(place.taxa);
    if (n <= 1) return 0;
    const estimate = this.#unit() * Math.log2(n);
    if (depth <= 0) return estimate;
    const candidates = candidatesAt(this.facts, place, this.options.mostLeads);
    if (candidates.length === 0) return estimate;
    return Math.min(
      ...this.#ranked(place, candidates)
        .slice(0, FURTHER)
        .map((r) => this.#costOf(place, r, depth)),
    );
  }

  #unit(): number {
    return this.#byEffort ? this.#meanEffort : 1;
  }

  #ranked(place: GrowingPlace, candidates: readonly CoupletCandidate[]): Ranked[] {
    const flows = candidates.map((c) => this.#flow(place, c));
    const measured = candidates.map((c, i) => this.#losses(place, c, flows[i] as Flow));
    const loss = candidates.map(() => 0);
    this.#prefer.forEach((_, p) => {
      const values = measured.map((m) => m[p] as number);
      const least = values.reduce((a, b) => Math.min(a, b));
      const range = values.reduce((a, b) => Math.max(a, b)) - least;
      if (range === 0) return;
      values.forEach((v, i) => {
        loss[i] = (loss[i] as number) + ((v - least) / range) * 0.5 ** p;
      });
    });
    // Equal ones keep the order of the characters in the table.
    return candidates
      .map((candidate, i) => ({ candidate, flow: flows[i] as Flow, loss: loss[i] as number, at: i }))
      .sort((a, b) => a.loss - b.loss || a.at - b.at);
  }

  #flow(place: GrowingPlace, { split, sides, characters }: CoupletCandidate): Flow {
    const { taxa, mass, total } = this.arriving(place);
    const shares = new Float64Array(sides.length);
    const taken = new Float64Array(sides.length);
    let kept = 0;
    taxa.forEach((t, i) => {
      this.finds.taking(t, place.pieces, place.asked, split.leads, taken);
      const weight = (mass[i] as number) * (this.facts.weights[t] as number);
      let takes = 0;
      for (let s = 0; s < shares.length; s++) {
        const side = sides[s] as Bits;
        if ((((side[t >>> 5] as number) >>> (t & 31)) & 1) === 0) continue;
        takes += taken[s] as number;
        shares[s] = (shares[s] as number) + weight * (taken[s] as number);
      }
      // Finds that go more than one way make up for none that go astray.
      kept += weight * Math.min(1, takes);
    });
    let remaining = 0;
    const out = sides.map((side, s) => {
      const share = total > 0 ? (shares[s] as number) / total : 1 / sides.length;
      remaining += share * Math.log2(size(side));
      return share;
    });
    const repeated = Math.log2(sides.reduce((sum, side) => sum + size(side), 0) / size(place.taxa));
    const lost = total > 0 ? Math.max(0, 1 - kept / total) : 0;
    return {
      shares: out,
      remaining,
      burden: REPEATED * repeated + this.#lost * lost + ASKED_TOGETHER * (characters.length - 1),
    };
  }

  /** By preference, how bad a couplet is: the smaller the better. */
  #losses(place: GrowingPlace, candidate: CoupletCandidate, flow: Flow): number[] {
    const { shares, burden } = flow;
    const remaining = flow.remaining + burden;
    return this.#prefer.map((name) => {
      if (name === 'short') return remaining;
      if (name === 'effort') return this.#effortOf(place, candidate) + this.#meanEffort * remaining;
      if (name === 'information')
        return burden + shares.reduce((sum, p) => (p > 0 ? sum + p * Math.log2(p) : sum), 0);
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

/** Whether the table says anything by which a preference could choose. */
export function saysOf(facts: Facts, preference: Preference): boolean {
  const differ = (value: (c: number) => number) =>
    new Set(facts.facets.flatMap((f, c) => (f.usable ? [value(c)] : []))).size > 1;
  if (preference === 'effort') return differ((c) => facts.facets[c]?.character.effort ?? 1);
  // That colours are read worse than shapes is assumed here, and said by no table.
  if (preference === 'reliability')
    return facts.facets.some((f) => f.usable && saysHowRead(f)) && differ((c) => misreading(facts, c));
  return true;
}

function saysHowRead({ character }: CharacterFacts): boolean {
  return character.reliability !== undefined || character.perishable || character.stages.length > 0;
}

interface Ranked {
  readonly candidate: CoupletCandidate;
  readonly flow: Flow;
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
