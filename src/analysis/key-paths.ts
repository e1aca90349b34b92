import type { Chain, Node } from '../key/chain.js';
import { type Couplet, type Lead, leadLabel, type Taxon } from '../key/key.js';
import { charactersIn } from '../traits/condition.js';

/** How deep something lies, over all paths that lead there. */
interface Arrival {
  readonly least: number;
  readonly mean: number;
  readonly greatest: number;
  /** The binary logarithm of the number of paths: there can be more than a number holds. */
  readonly paths: number;
}

/** A lead that leads to no couplet that is counted. */
interface EndReached extends Arrival {
  readonly label: string;
  /** Empty for a lead that continues in another key, or nowhere. */
  readonly taxa: readonly Taxon[];
  /** What it leads to instead: alike for leads that lead to the same. */
  readonly other: string;
}

/** The shortest path to a taxon: the leads, and what they ask. */
export interface ShortestPath {
  /** All leads at which it keys out. */
  readonly at: readonly string[];
  /**
   * The leads in order; of a path longer than `most`, only the first and the last of them. Made when asked
   * for: the paths of a deep key together are as long as its couplets squared.
   */
  path(most?: number): readonly string[];
  /** How many couplets the shortest and the longest path have. */
  readonly couplets: number;
  readonly longest: number;
  /** The characters asked along the path, each once, in order. */
  characters(): readonly string[];
  /** The sum of their efforts; a couplet that asks no character is a glance. */
  readonly effort: number;
}

/** What can be reached in a key and how. */
export interface Reach {
  /** By couplet of the chain; undefined when nothing leads there, or when it is not counted. */
  readonly arrivals: readonly (Arrival | undefined)[];
  readonly ends: readonly EndReached[];
  /** The number of each lead that is an end. */
  readonly endOf: ReadonlyMap<Lead, number>;
  readonly byTaxon: ReadonlyMap<Taxon, Arrival & { readonly way: ShortestPath }>;
}

/** Follows every lead of the couplets that are counted, from the start of the main key. */
export function reachOf(
  chain: Chain,
  counted: (node: Node) => boolean,
  name: (index: number) => string,
): Reach {
  const arrivals: (Arrival | undefined)[] = [];
  arrivals[chain.start] = { least: 0, mean: 0, greatest: 0, paths: 0 };
  // By couplet, the couplet and lead before it on its shortest path.
  const before: ({ readonly couplet: number; readonly lead: Lead } | undefined)[] = [];
  const ends: (EndReached & { readonly couplet: number; readonly lead: Lead })[] = [];
  const endOf = new Map<Lead, number>();
  chain.nodes.forEach((node, i) => {
    const here = arrivals[i];
    if (here === undefined || !counted(node)) return;
    const beyond = { ...here, least: here.least + 1, mean: here.mean + 1, greatest: here.greatest + 1 };
    node.couplet.leads.forEach((lead, l) => {
      const to = node.next[l] ?? -1;
      const target = chain.nodes[to];
      if (target !== undefined && counted(target)) {
        const known = arrivals[to];
        if (known === undefined || beyond.least < known.least) before[to] = { couplet: i, lead };
        arrivals[to] = known === undefined ? beyond : joined(known, beyond);
        return;
      }
      const { end } = lead;
      const taxa = end.kind === 'taxa' ? end.taxa.flatMap((id) => chain.taxa.get(id) ?? []) : [];
      const other =
        target === undefined
          ? `${node.key.id}/${leadLabel(node.couplet.id, lead.letter)}`
          : `${target.key.id}/${target.couplet.id}`;
      endOf.set(lead, ends.length);
      ends.push({ ...beyond, label: leadLabel(name(i), lead.letter), taxa, other, couplet: i, lead });
    });
  });
  const efforts = effortsAlong(chain, before, arrivals);
  const byTaxon = new Map<Taxon, Arrival & { way: ShortestPath & { readonly at: string[] } }>();
  const pathTo = (end: EndReached, couplet: number, most: number): string[] => {
    const left = end.least - most;
    const kept = left <= 1 ? end.least : most / 2;
    const path = [end.label];
    let place = end.least - 1;
    for (let b = before[couplet]; b !== undefined; b = before[b.couplet]) {
      if (place <= most / 2 || path.length < kept) path.push(leadLabel(name(b.couplet), b.lead.letter));
      else if (path.length === kept && left > 1) path.push(`(${left} more)`);
      place--;
    }
    return path.reverse();
  };
  for (const end of ends) {
    for (const taxon of new Set(end.taxa)) {
      const known = byTaxon.get(taxon);
      const at = known?.way.at ?? [];
      at.push(end.label);
      const longest = Math.max(known?.way.longest ?? 0, end.greatest);
      const asked = efforts[end.couplet] as AskedOnPath;
      const way =
        known !== undefined && known.least <= end.least
          ? { ...known.way, longest }
          : {
              at,
              path: (most = Infinity) => pathTo(end, end.couplet, most),
              couplets: end.least,
              longest,
              characters: () => charactersOf(asked),
              effort: asked.effort,
            };
      byTaxon.set(taxon, { ...(known === undefined ? end : joined(known, end)), way });
    }
  }
  return { arrivals, ends, endOf, byTaxon };
}

function joined(a: Arrival, b: Arrival): Arrival {
  // Each path counts alike; the numbers of paths are compared as powers of two.
  const most = Math.max(a.paths, b.paths);
  const [wa, wb] = [2 ** (a.paths - most), 2 ** (b.paths - most)];
  return {
    least: Math.min(a.least, b.least),
    mean: (a.mean * wa + b.mean * wb) / (wa + wb),
    greatest: Math.max(a.greatest, b.greatest),
    paths: most + Math.log2(wa + wb),
  };
}

/** What is asked up to a couplet: what it asks first itself, and what was asked before. */
interface AskedOnPath {
  readonly fresh: readonly string[];
  /** The nearest couplet before it that asks something first. */
  readonly earlier: AskedOnPath | undefined;
  readonly effort: number;
}

function charactersOf(asked: AskedOnPath): string[] {
  const parts: (readonly string[])[] = [];
  for (let a: AskedOnPath | undefined = asked; a !== undefined; a = a.earlier) parts.push(a.fresh);
  return parts.reverse().flat();
}

/** The characters that a couplet asks, in any of its leads. */
export function askedAtCouplet({ leads }: Couplet): string[] {
  return [...new Set(leads.flatMap((l) => (l.when === undefined ? [] : charactersIn(l.when))))];
}

/**
 * By couplet, the effort of what is asked on the shortest path to it and by itself; what is known already takes none.
 */
function effortsAlong(
  chain: Chain,
  before: readonly ({ readonly couplet: number } | undefined)[],
  arrivals: readonly unknown[],
): (AskedOnPath | undefined)[] {
  const efforts: (AskedOnPath | undefined)[] = [];
  chain.nodes.forEach((node, i) => {
    if (arrivals[i] === undefined) return;
    const last = efforts[before[i]?.couplet ?? -1];
    const earlier = last?.fresh.length === 0 ? last.earlier : last;
    const isFresh = (id: string): boolean => {
      for (let a = earlier; a !== undefined; a = a.earlier) if (a.fresh.includes(id)) return false;
      return true;
    };
    const asked = askedAtCouplet(node.couplet);
    const fresh = asked.filter(isFresh);
    const own =
      asked.length === 0 ? 1 : fresh.reduce((sum, id) => sum + (chain.characters.get(id)?.effort ?? 1), 0);
    efforts[i] = { fresh, earlier, effort: (last?.effort ?? 0) + own };
  });
  return efforts;
}
