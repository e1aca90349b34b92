/**
 * What any key must need at least: numbers to hold a key against (key-writing theory; derivable but where a source is
 * named).
 */

/**
 * The fewest couplets on the deepest path to one of `ends` ends, when each couplet has `leads` leads: ceil(log_k n).
 */
export function leastDepth(ends: number, leads = 2): number {
  let depth = 0;
  for (let reached = 1; reached < ends; reached *= leads) depth++;
  return depth;
}

/**
 * The smallest sum of the depths of n equally likely ends of a dichotomous key: E(n) = n·k + 2(n - 2^k), k = floor(log2
 * n). Divided by n it is the smallest mean depth.
 */
export function leastDepthSum(ends: number): number {
  if (ends < 1) return 0;
  const k = Math.floor(Math.log2(ends));
  return ends * k + 2 * (ends - 2 ** k);
}

/** The mean depth of the longest useful shape, a ladder, which keys out one taxon at each couplet: (n+2)(n-1)/(2n). */
export function ladderMean(ends: number): number {
  return ((ends + 2) * (ends - 1)) / (2 * ends);
}

/** The depths of the ends of a ladder: 1, 2, ... n-1, n-1. */
export function ladderDepths(ends: number): number[] {
  return Array.from({ length: ends }, (_, i) => Math.min(i + 1, ends - 1));
}

/**
 * H(p) = -Σ p log2 p, in bits: no dichotomous key has a smaller mean depth (Shannon 1948). Weights need not sum to 1.
 */
export function entropy(weights: readonly number[]): number {
  const total = weights.reduce((sum, w) => sum + w, 0);
  let bits = 0;
  for (const w of weights) if (w > 0) bits -= (w / total) * Math.log2(w / total);
  return bits;
}

/**
 * The depths of the best dichotomous key for taxa met as often as the weights say, if any split could be made (Huffman
 * 1952). A real key has only the splits that characters give and can only be longer.
 */
export function huffmanDepths(weights: readonly number[]): number[] {
  const depths = weights.map(() => 0);
  const groups = weights.map((weight, i) => ({ weight, members: [i] }));
  while (groups.length > 1) {
    groups.sort((a, b) => b.weight - a.weight);
    const [last, other] = [groups.pop(), groups.pop()];
    if (last === undefined || other === undefined) break;
    const members = [...last.members, ...other.members];
    for (const m of members) depths[m] = (depths[m] as number) + 1;
    groups.push({ weight: last.weight + other.weight, members });
  }
  return depths;
}

/** The mean of depths, by weights when given: how many couplets a find takes. */
export function meanDepth(
  depths: readonly number[],
  weights: readonly number[] = depths.map(() => 1),
): number {
  const total = weights.reduce((sum, w) => sum + w, 0);
  return depths.reduce((sum, d, i) => sum + d * (weights[i] as number), 0) / total;
}

/**
 * The sum over all ends of 1 / (product of the leads of the couplets along the path): 1 for a tree whose every lead
 * goes
 * somewhere (Kraft 1949); less when a pointer dangles. A path is given by the number of leads of each of its couplets.
 */
export function kraftSum(paths: Iterable<readonly number[]>): number {
  let sum = 0;
  for (const path of paths) sum += path.reduce((part, leads) => part / leads, 1);
  return sum;
}

/**
 * How many couplets a tree with that many ends has, of which some have more leads than two: the sum of (leads - 1) over
 * all couplets is ends - 1.
 */
export function coupletsFor(
  ends: number,
  polytomies: readonly number[] = [],
): { readonly dichotomies: number; readonly couplets: number } {
  const dichotomies = ends - 1 - polytomies.reduce((sum, leads) => sum + leads - 1, 0);
  return { dichotomies, couplets: dichotomies + polytomies.length };
}

/**
 * The least depth sum when no couplet can split off more than `most` taxa at once: f(n) = min over i <= most of f(n-i)
 * +
 * f(i) + n (after Hyafil & Rivest 1976, Information Processing Letters 5: 15-17, whose tests split off three at most).
 */
export function leastDepthSumSplitting(ends: number, most: number): number {
  const least = [0, 0];
  for (let n = 2; n <= ends; n++) {
    let best = Infinity;
    for (let i = 1; i <= Math.min(most, n - 1); i++)
      best = Math.min(best, (least[n - i] as number) + (least[i] as number) + n);
    least.push(best);
  }
  return least[ends] ?? 0;
}

/** The mean over all taxa of the chance to be named right, when each couplet is misread with chance `error`. */
export function meanRight(depths: readonly number[], error: number): number {
  return depths.reduce((sum, depth) => sum + (1 - error) ** depth, 0) / depths.length;
}
