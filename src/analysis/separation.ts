/**
 * How well one character would separate some taxa: the measures that key makers use to choose the next
 * character (key-writing theory 2.4). No one of them is best in all cases (Gower & Payne 1975, Biometrika 62:
 * 665-672), so all are given and the order is the caller's.
 *
 * Taxon i is met with weight p_i (all alike here) and shows state j with frequency q_ij: 1 where it shows one state, in
 * equal parts where it shows several. P_j = Σ p_i q_ij.
 */

import { entropy } from './key-bounds.js';

/** Taxa that show the same states of a character: how often each state is met in them, and how many taxa they are. */
export interface StateFrequencies {
  /** By state, the part of their specimens that show it; sums to 1. A state with 0 is never shown. */
  readonly shares: readonly number[];
  readonly taxa: number;
  /** How many of them are harmful. */
  readonly harmful: number;
}

/** How well a character would separate some taxa. */
interface Separation {
  /** Pairs of taxa with no state in common (Gyllenberg 1963 and others). */
  readonly pairs: number;
  /** Of those, pairs of a harmful taxon and one that is not. */
  readonly decisivePairs: number;
  /** In bits: H(P) - Σ p_i H(q_i) (Shannon; in keys since Rescigno & Maccacaro 1961, Möller 1962). */
  readonly information: number;
  /** How many taxa are possible after it, on average: Σ P_j n_j, n_j = taxa that can show state j (derivable). */
  readonly expectedLeft: number;
  /** By state, how often it is met and how many taxa can show it. */
  readonly outcomes: readonly { readonly chance: number; readonly left: number }[];
}

/** Works out how well a character would separate the taxa of the groups. */
export function separationOf(groups: readonly StateFrequencies[]): Separation {
  // A taxon that no state leads to any more is not counted.
  const total = groups.reduce((sum, g) => sum + (g.shares.some((q) => q > 0) ? g.taxa : 0), 0);
  const states = groups[0]?.shares.length ?? 0;
  const chance = new Array<number>(states).fill(0);
  const left = new Array<number>(states).fill(0);
  let within = 0;
  for (const { shares, taxa } of groups) {
    const weight = total === 0 ? 0 : taxa / total;
    for (let j = 0; j < states; j++) {
      const share = shares[j] as number;
      if (share <= 0) continue;
      chance[j] = (chance[j] as number) + weight * share;
      left[j] = (left[j] as number) + taxa;
      if (share < 1) within -= weight * share * Math.log2(share);
    }
  }
  let pairs = 0;
  let decisivePairs = 0;
  for (let a = 0; a < groups.length; a++) {
    for (let b = a + 1; b < groups.length; b++) {
      const [x, y] = [groups[a] as StateFrequencies, groups[b] as StateFrequencies];
      if (!noStateInCommon(x.shares, y.shares)) continue;
      pairs += x.taxa * y.taxa;
      decisivePairs += x.harmful * (y.taxa - y.harmful) + y.harmful * (x.taxa - x.harmful);
    }
  }
  return {
    pairs,
    decisivePairs,
    // Rounding may leave it slightly below zero where nothing is separated.
    information: total === 0 ? 0 : Math.max(0, entropy(chance) - within),
    expectedLeft: chance.reduce((sum, p, j) => sum + p * (left[j] as number), 0),
    outcomes: chance.map((p, j) => ({ chance: p, left: left[j] as number })),
  };
}

function noStateInCommon(a: readonly number[], b: readonly number[]): boolean {
  for (let j = 0; j < a.length; j++) if ((a[j] as number) > 0 && (b[j] as number) > 0) return false;
  return true;
}

/** How many pairs n taxa make. */
export function pairsOf(taxa: number): number {
  return (taxa * (taxa - 1)) / 2;
}

/** How many pairs are of one harmful taxon and one that is not: those whose separation can change the verdict. */
export function decisivePairsOf(harmful: number, others: number): number {
  return harmful * others;
}

/**
 * What naming the find would cost when this character is looked at first: c + Σ P_j C(n_j), where finishing n
 * taxa costs C(n) = c̄ log2 n at a mean cost of c̄ a step. An outline of the family of criteria favoured by
 * Payne & Preece 1980 (J. R. Statist. Soc. A 143: 253-292) and Payne 1981; their exact forms were not at
 * hand.
 */
export function costToFinish(
  cost: number,
  { outcomes }: Pick<Separation, 'outcomes'>,
  meanCost: number,
): number {
  return outcomes.reduce(
    (sum, { chance, left }) => sum + (left > 1 ? chance * meanCost * Math.log2(left) : 0),
    cost,
  );
}
