import { entropy } from '../../analysis/key-bounds.js';
import type { Taxon } from '../../key/key.js';
import type { Character } from '../../traits/character.js';
import { allBits, hasBit, meets, members, size } from './bits.js';
import { cutsOf } from './cuts.js';
import type { CharacterFacts, Facts } from './facts.js';
import { coupletsOf, endsOf, type Grown } from './grow.js';
import { apartIn, misreadArrivals } from './harm.js';
import { askedBy } from './splits.js';
import { gapsAt, type WhyTogether } from './together.js';

/** Taxa that end at one place. */
export interface SharedEnd {
  readonly taxa: readonly Taxon[];
  readonly why: WhyTogether;
  /** The characters that could tell them apart, were they described of all. */
  readonly open: readonly Character[];
}

/** A gap in a description that sends its taxon more than one way. */
interface CostlyGap {
  readonly taxon: Taxon;
  readonly character: Character;
  /** The couplets at which it does so. */
  readonly couplets: readonly number[];
}

/** One misreading that hides harm. */
interface ExposedTaxon {
  readonly harmful: Taxon;
  readonly misread: Character;
  /** The taxa that it would be taken for, and those of them that differ from it in nothing else. */
  readonly taken: readonly Taxon[];
  readonly noSecond: readonly Taxon[];
}

/** The measures of a draft, with the bounds that no key can beat. */
export interface Account {
  readonly taxa: number;
  readonly couplets: number;
  readonly ends: number;
  /**
   * The expected effort for a find, each character counted once; a taxon beyond several leads is equally likely beyond
   * each.
   */
  readonly effort: number;
  /** No key over these characters takes less effort; 0 where no character matters. */
  readonly leastEffort: number;
  readonly together: readonly SharedEnd[];
  /** Taxa at several ends, with the number of these, the most first. */
  readonly repeated: readonly { readonly taxon: Taxon; readonly ends: number }[];
  readonly unused: readonly Character[];
  readonly gaps: readonly CostlyGap[];
  /**
   * Harmful taxa that one misread weak character turns into taxa without recorded harm, since nothing else separates
   * them.
   */
  readonly exposed: readonly ExposedTaxon[];
  /** Whether a misreading can lead a harmful taxon astray at all, even to taxa that nothing distinguishes from it. */
  readonly astray: boolean;
  readonly cutShort: boolean;
}

/** Gives an account of a draft. */
export function accountOf(facts: Facts, grown: Grown, numbers: ReadonlyMap<Grown, number>): Account {
  const couplets = coupletsOf(grown);
  const ends = endsOf(grown);
  const times = facts.taxa.map(() => 0);
  for (const end of ends) for (const t of members(end.place.taxa)) times[t] = (times[t] as number) + 1;
  const asked = new Set(couplets.flatMap((c) => askedBy(c.split)));
  return {
    taxa: facts.taxa.length,
    couplets: couplets.length,
    ends: ends.length,
    effort: expectedEffort(facts, grown),
    leastEffort: leastEffort(facts, ends),
    together: togetherAt(facts, ends),
    repeated: facts.taxa
      .flatMap((taxon, t) => ((times[t] as number) > 1 ? [{ taxon, ends: times[t] as number }] : []))
      .sort((a, b) => b.ends - a.ends),
    unused: facts.facets.flatMap((f, c) =>
      !asked.has(c) && facts.taxa.some((t) => t.traits.has(f.character.id)) ? [f.character] : [],
    ),
    gaps: gapsOf(facts, couplets, numbers),
    exposed: exposedAt(facts, ends),
    astray: ends.some(
      (e) => !meets(e.place.taxa, facts.harmful) && misreadArrivals(facts, e.place).length > 0,
    ),
    cutShort: ends.some((e) => e.why === 'size'),
  };
}

type DraftedEnd = ReturnType<typeof endsOf>[number];
type DraftedCouplet = ReturnType<typeof coupletsOf>[number];

function expectedEffort(facts: Facts, grown: Grown): number {
  const total = facts.weights.reduce((a, b) => a + b, 0);
  let sum = 0;
  const todo: { at: Grown; shares: Float64Array; asked: readonly number[]; effort: number }[] = [
    { at: grown, shares: facts.weights.map((w) => w / total), asked: [], effort: 0 },
  ];
  for (let next = todo.pop(); next !== undefined; next = todo.pop()) {
    const { at, shares, asked, effort } = next;
    if (at.kind === 'end') {
      for (const t of members(at.place.taxa)) sum += (shares[t] as number) * effort;
      continue;
    }
    const fresh = askedBy(at.split).filter((c) => !asked.includes(c));
    const more = fresh.reduce((s, c) => s + (facts.facets[c]?.character.effort ?? 1), 0);
    const on = (t: number) => at.behind.filter((b) => hasBit(b.place.taxa, t)).length;
    const divided = shares.slice();
    for (const t of members(at.place.taxa)) divided[t] = (shares[t] as number) / Math.max(1, on(t));
    for (const behind of at.behind)
      todo.push({ at: behind, shares: divided, asked: [...asked, ...fresh], effort: effort + more });
  }
  return sum;
}

/**
 * No key takes less effort than the bits that it must find out times the least effort for a bit: a character
 * of k states tells log2 k bits at most, and costs its effort once.
 */
function leastEffort(facts: Facts, ends: readonly DraftedEnd[]): number {
  let perBit = Infinity;
  for (const facet of facts.facets) {
    const bits = mostBits(facts, facet);
    if (bits > 0) perBit = Math.min(perBit, facet.character.effort / bits);
  }
  const bits = entropy(answerWeights(facts, ends));
  return Number.isFinite(perBit) ? bits * perBit : 0;
}

function mostBits(facts: Facts, facet: CharacterFacts): number {
  if (!facet.usable) return 0;
  if (facet.character.kind === 'choice') return Math.log2(facet.character.states.length);
  return Math.log2(1 + cutsOf(facet, allBits(facts.taxa.length), Infinity).length);
}

/** Taxa that share an end are one answer, and so are those that share one with one of them. */
function answerWeights(facts: Facts, all: readonly DraftedEnd[]): number[] {
  const group = facts.taxa.map((_, t) => t);
  const find = (t: number): number => {
    let at = t;
    while (group[at] !== at) {
      group[at] = group[group[at] as number] as number;
      at = group[at] as number;
    }
    return at;
  };
  for (const end of all) {
    const [first, ...others] = members(end.place.taxa);
    for (const t of others) group[find(t)] = find(first as number);
  }
  const weights = new Map<number, number>();
  facts.weights.forEach((w, t) => {
    weights.set(find(t), (weights.get(find(t)) ?? 0) + w);
  });
  return [...weights.values()];
}

function togetherAt(facts: Facts, all: readonly DraftedEnd[]): SharedEnd[] {
  const found = new Map<string, SharedEnd>();
  for (const end of all) {
    if (size(end.place.taxa) < 2) continue;
    const taxa = members(end.place.taxa).map((t) => facts.taxa[t] as Taxon);
    const mark = taxa.map((t) => t.id).join();
    const open =
      end.why === 'gap' ? gapsAt(facts, end.place).map((c) => facts.characters[c] as Character) : [];
    if (found.get(mark)?.why !== 'alike') found.set(mark, { taxa, why: end.why, open });
  }
  return [...found.values()];
}

function exposedAt(facts: Facts, all: readonly DraftedEnd[]): ExposedTaxon[] {
  const found = new Map<
    string,
    { harmful: Taxon; misread: Character; taken: Set<Taxon>; noSecond: Set<Taxon> }
  >();
  for (const { place } of all) {
    if (meets(place.taxa, facts.harmful)) continue;
    for (const { misread, taxa } of misreadArrivals(facts, place)) {
      for (const h of members(taxa)) {
        const harmful = facts.taxa[h] as Taxon;
        const character = facts.characters[misread] as Character;
        const mark = `${h} ${misread}`;
        const known = found.get(mark) ?? {
          harmful,
          misread: character,
          taken: new Set<Taxon>(),
          noSecond: new Set<Taxon>(),
        };
        for (const t of members(place.taxa)) {
          const apart = apartIn(facts, h, t);
          if (apart.length > 0) known.taken.add(facts.taxa[t] as Taxon);
          if (apart.length > 0 && apart.every((c) => c === misread))
            known.noSecond.add(facts.taxa[t] as Taxon);
        }
        found.set(mark, known);
      }
    }
  }
  return [...found.values()]
    .map((e) => ({ ...e, taken: [...e.taken], noSecond: [...e.noSecond] }))
    .filter((e) => e.taken.length > 0);
}

function gapsOf(
  facts: Facts,
  couplets: readonly DraftedCouplet[],
  numbers: ReadonlyMap<Grown, number>,
): CostlyGap[] {
  const found = new Map<string, { taxon: Taxon; character: Character; couplets: number[] }>();
  for (const couplet of couplets) {
    for (const c of askedBy(couplet.split)) {
      const facet = facts.facets[c] as CharacterFacts;
      for (const t of members(couplet.place.taxa)) {
        if (!hasBit(facet.silent, t)) continue;
        if (couplet.behind.filter((b) => hasBit(b.place.taxa, t)).length < 2) continue;
        const mark = `${t} ${c}`;
        const taxon = facts.taxa[t] as Taxon;
        const gap = found.get(mark) ?? { taxon, character: facet.character, couplets: [] };
        gap.couplets.push(numbers.get(couplet) ?? 0);
        found.set(mark, gap);
      }
    }
  }
  return [...found.values()].sort((a, b) => b.couplets.length - a.couplets.length);
}
