import { reachableFrom, type Successors } from '../key/graph.js';
import type { Couplet, Key } from '../key/key.js';

/** The couplets of one key as a graph: which leads to which, by their place in the file. */
export interface CoupletGraph {
  readonly couplets: readonly Couplet[];
  readonly index: ReadonlyMap<string, number>;
  readonly next: Successors;
  /** The couplets that the start leads to. */
  readonly reached: ReadonlySet<number>;
}

const graphs = new WeakMap<Key, CoupletGraph>();

/** The graph of a key's couplets, made once. Leads to couplets that do not exist are left out. */
export function coupletGraph(key: Key): CoupletGraph {
  const known = graphs.get(key);
  if (known !== undefined) return known;
  const couplets = [...key.couplets.values()];
  const index = new Map(couplets.map((c, i) => [c.id, i]));
  const next = couplets.map((couplet) => [
    ...new Set(
      couplet.leads.flatMap((lead) =>
        lead.end.kind === 'couplet' ? (index.get(lead.end.couplet) ?? []) : [],
      ),
    ),
  ]);
  const start = index.get(key.start);
  const graph = {
    couplets,
    index,
    next,
    reached: start === undefined ? new Set<number>() : reachableFrom(start, next),
  };
  graphs.set(key, graph);
  return graph;
}
