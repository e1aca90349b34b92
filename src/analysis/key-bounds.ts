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

/** H(p) = -Σ p log2 p, in bits: no dichotomous key has a smaller mean depth (Shannon 1948). Weights need not sum to 1.
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
