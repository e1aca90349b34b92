import type { Successors } from './graph.js';

/**
 * The order in which a reader meets the couplets of a key: that of the file where every lead goes forward in it, else
 * lead by lead from the start, each couplet after all that lead to it. What no lead reaches is left out. Needs a graph
 * without circles.
 */
export function readingOrder(next: Successors, start: number): number[] {
  if (start === 0 && next.every((targets, i) => targets.every((t) => t > i))) return next.map((_, i) => i);
  const finished: number[] = [];
  const seen = new Set([start]);
  const open = [{ node: start, left: [...(next[start] ?? [])] }];
  for (let top = open.at(-1); top !== undefined; top = open.at(-1)) {
    // The last lead first: turned round, the first comes first.
    const to = top.left.pop();
    if (to === undefined) {
      finished.push(top.node);
      open.pop();
    } else if (!seen.has(to)) {
      seen.add(to);
      open.push({ node: to, left: [...(next[to] ?? [])] });
    }
  }
  return finished.reverse();
}
