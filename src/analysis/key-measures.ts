import { type Chain, type Node, nodeName } from '../key/chain.js';
import { leadLabel, type Taxon } from '../key/key.js';
import { entropy, huffmanDepths, ladderMean, leastDepth, leastDepthSum, meanDepth } from './key-bounds.js';
import { type CharacterUse, charactersByUse } from './key-characters.js';
import { type Reach, reachOf, type ShortestPath } from './key-paths.js';

/** How deep a key is, in couplets from the start to an end. */
export interface Depths {
  readonly least: number;
  /** Over all ends; where several paths lead to one, over those paths. */
  readonly mean: number;
  readonly greatest: number;
}

/**
 * Bounds for a key that tells as many apart: the best that any key can reach, and the worst that a useful one can be.
 */
interface Bounds {
  /** How many answers the bounds are for. */
  readonly answers: number;
  /** ceil(log2 n), for couplets of two leads. */
  readonly greatest: number;
  /** ceil(log_k n), k being the most leads that a couplet of the key has. */
  readonly greatestWithMost: number;
  /** E(n)/n, for couplets of two leads. */
  readonly mean: number;
  /** log2 n. */
  readonly bits: number;
  /** (n+2)(n-1)/(2n) and n-1: one taxon keyed out at each couplet. */
  readonly ladder: { readonly mean: number; readonly greatest: number };
}

/** The same when taxa are met as often as the key says. */
interface Weighted {
  /** Of how many answers the key says how often they are met; only these are counted. */
  readonly answers: number;
  readonly mean: number;
  readonly entropy: number;
  readonly huffman: number;
}

/** How evenly a couplet divides what can still be found. */
interface Division {
  readonly couplet: string;
  /** By lead, how many answers lie beyond it. */
  readonly beyond: readonly number[];
  /** 1 = evenly, near 0 = almost everything beyond one lead. */
  readonly evenness: number;
}

/** A taxon or couplet that several leads lead to. */
interface Joined {
  readonly kind: 'couplet' | 'taxon';
  /** The number of the couplet or the name of the taxon. */
  readonly name: string;
  readonly from: readonly string[];
}

/** What it takes to reach a taxon. */
interface TaxonPath extends ShortestPath {
  readonly taxon: Taxon;
}

/** Everything that is counted of a key, or of a key with all it continues in. */
export interface Measures {
  readonly couplets: number;
  readonly leads: number;
  /** By number of leads above two, how many couplets have it. */
  readonly polytomies: readonly { readonly leads: number; readonly couplets: number }[];
  /** Leads that lead to no couplet that is counted. */
  readonly ends: number;
  /** Of those, leads that continue in a key that is not counted. */
  readonly handOvers: number;
  /** Taxa at ends. */
  readonly taxa: number;
  /** What the key tells apart: taxa that always end together are one, and so is a key it continues in. */
  readonly answers: number;
  /** Couplets that nothing leads to; they count only among the couplets and leads. */
  readonly unreached: readonly string[];
  readonly depth: Depths;
  readonly bounds: Bounds;
  readonly weighted: Weighted | undefined;
  /** What a couplet settles on average, of one bit: log2 n / mean depth. 1 = every couplet divides evenly. */
  readonly balance: number;
  /** Couplets with five answers or more beyond them, the most uneven first. */
  readonly divisions: readonly Division[];
  /** Couplets whose first lead has more answers beyond it than another. */
  readonly longFirst: readonly string[];
  /** The longest run of couplets of which each keys out taxa and goes on with one lead. */
  readonly ladder: readonly string[];
  /** Sum of (leads that lead there - 1); 0 for a tree. */
  readonly reticulation: number;
  readonly joined: readonly Joined[];
  readonly ways: readonly TaxonPath[];
  readonly characters: readonly CharacterUse[];
}

/** Measures a key: alone, or with all that it continues in. */
export function measure(chain: Chain, whole: boolean): Measures {
  const counted = (node: Node) => whole || node.key === chain.main;
  const nodes = chain.nodes.map((n, i) => ({ node: n, index: i })).filter((n) => counted(n.node));
  const name = (index: number) => (whole ? nodeName(chain, index) : (chain.nodes[index]?.couplet.id ?? ''));
  const reach = reachOf(chain, counted, name);
  const { ends, arrivals } = reach;
  const leads = nodes.flatMap(({ node }) => node.couplet.leads);
  const most = nodes.reduce((m, { node }) => Math.max(m, node.couplet.leads.length), 2);
  const groups = answersOf(reach);
  const n = groups.length;
  const depth: Depths = {
    least: ends.reduce((least, e) => Math.min(least, e.least), Infinity),
    mean: meanDepth(ends.map((e) => e.mean)),
    greatest: ends.reduce((greatest, e) => Math.max(greatest, e.greatest), 0),
  };
  const bits = Math.log2(n);
  const divided = divisions(chain, counted, name, reach, groups);
  return {
    couplets: nodes.length,
    leads: leads.length,
    polytomies: polytomiesOf(nodes.map((x) => x.node)),
    ends: ends.length,
    handOvers: ends.filter((e) => e.taxa.length === 0).length,
    taxa: new Set(ends.flatMap((e) => e.taxa)).size,
    answers: n,
    unreached: nodes.filter(({ index }) => arrivals[index] === undefined).map(({ index }) => name(index)),
    depth,
    bounds: {
      answers: n,
      greatest: leastDepth(n),
      greatestWithMost: leastDepth(n, most),
      mean: n === 0 ? 0 : leastDepthSum(n) / n,
      bits,
      ladder: { mean: n === 0 ? 0 : ladderMean(n), greatest: Math.max(0, n - 1) },
    },
    weighted: weightedOf(reach, groups),
    balance: depth.mean > 0 ? bits / depth.mean : 0,
    divisions: divided.filter((d) => sum(d.beyond) >= 5).sort((a, b) => a.evenness - b.evenness),
    longFirst: divided
      .filter(({ beyond: [first = 0, ...others] }) => others.some((o) => o < first))
      .map((d) => d.couplet),
    ladder: ladderOf(chain, counted, reach).map(name),
    ...reticulationOf(chain, counted, name, reach),
    ways: taxonPaths(reach),
    characters: charactersByUse(chain, counted, name, reach),
  };
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((a, b) => a + b, 0);
}

function polytomiesOf(nodes: readonly Node[]): { leads: number; couplets: number }[] {
  const counts = new Map<number, number>();
  for (const { couplet } of nodes) {
    const { length } = couplet.leads;
    if (length > 2) counts.set(length, (counts.get(length) ?? 0) + 1);
  }
  return [...counts].sort(([a], [b]) => a - b).map(([leads, couplets]) => ({ leads, couplets }));
}

/** One thing that the key tells from others: the numbers of its ends, and its taxa. */
interface Distinction {
  readonly ends: readonly number[];
  readonly taxa: readonly Taxon[];
}

/**
 * What the key tells apart. Taxa that share an end belong together, and so do those that share an end with one of them:
 * the bounds for so many answers then hold for any key that ends in the same way.
 */
function answersOf({ ends }: Reach): Distinction[] {
  const group = ends.map((_, i) => i);
  const find = (i: number): number => {
    let at = i;
    while (group[at] !== at) {
      group[at] = group[group[at] as number] as number;
      at = group[at] as number;
    }
    return at;
  };
  const first = new Map<Taxon | string, number>();
  ends.forEach(({ taxa, other }, i) => {
    for (const what of taxa.length > 0 ? taxa : [other]) {
      const known = first.get(what);
      if (known === undefined) first.set(what, i);
      else group[find(i)] = find(known);
    }
  });
  const answers = new Map<number, { ends: number[]; taxa: Set<Taxon> }>();
  ends.forEach(({ taxa }, i) => {
    const root = find(i);
    const answer = answers.get(root) ?? { ends: [], taxa: new Set<Taxon>() };
    answers.set(root, answer);
    answer.ends.push(i);
    for (const taxon of taxa) answer.taxa.add(taxon);
  });
  return [...answers.values()].map(({ ends: e, taxa }) => ({ ends: e, taxa: [...taxa] }));
}

function weightedOf({ byTaxon }: Reach, answers: readonly Distinction[]): Weighted | undefined {
  const weights: number[] = [];
  const depths: number[] = [];
  for (const { taxa } of answers) {
    const known = taxa.filter((t) => t.frequency !== undefined);
    if (known.length === 0) continue;
    const own = known.map((t) => t.frequency ?? 0);
    weights.push(sum(own));
    depths.push(
      meanDepth(
        known.map((t) => byTaxon.get(t)?.mean ?? 0),
        own,
      ),
    );
  }
  if (weights.length < 2) return undefined;
  return {
    answers: weights.length,
    mean: meanDepth(depths, weights),
    entropy: entropy(weights),
    huffman: meanDepth(huffmanDepths(weights), weights),
  };
}

/** By couplet, how many answers lie beyond each of its leads. */
function divisions(
  chain: Chain,
  counted: (node: Node) => boolean,
  name: (index: number) => string,
  { ends, endOf, arrivals }: Reach,
  answers: readonly Distinction[],
): Division[] {
  const answerOf = new Array<number>(ends.length).fill(0);
  answers.forEach((answer, a) => {
    for (const end of answer.ends) answerOf[end] = a;
  });
  const words = Math.ceil(answers.length / 32);
  // Sets of answers as bits; every lead goes forward, so from the last couplet on all that lies beyond is known.
  const beyond: (Uint32Array | undefined)[] = [];
  const found: Division[] = [];
  for (let i = chain.nodes.length - 1; i >= 0; i--) {
    const node = chain.nodes[i] as Node;
    if (!counted(node) || arrivals[i] === undefined) continue;
    const all = new Uint32Array(words);
    const counts = node.couplet.leads.map((lead, l) => {
      const end = endOf.get(lead);
      const set = end === undefined ? beyond[node.next[l] ?? -1] : undefined;
      if (end !== undefined) setBit(all, answerOf[end] as number);
      if (set === undefined) return end === undefined ? 0 : 1;
      let count = 0;
      for (let w = 0; w < words; w++) {
        const bits = set[w] as number;
        all[w] = (all[w] as number) | bits;
        count += bitsIn(bits);
      }
      return count;
    });
    beyond[i] = all;
    found.push({ couplet: name(i), beyond: counts, evenness: entropy(counts) / Math.log2(counts.length) });
  }
  return found.reverse();
}

function setBit(set: Uint32Array, bit: number): void {
  const word = bit >>> 5;
  set[word] = (set[word] as number) | (1 << (bit & 31));
}

function bitsIn(word: number): number {
  let bits = word - ((word >>> 1) & 0x55555555);
  bits = (bits & 0x33333333) + ((bits >>> 2) & 0x33333333);
  return (((bits + (bits >>> 4)) & 0x0f0f0f0f) * 0x01010101) >>> 24;
}

/** The couplets of the longest ladder: each but the last goes on with one lead only, and to the next of them. */
function ladderOf(chain: Chain, counted: (node: Node) => boolean, { endOf, arrivals }: Reach): number[] {
  const lengths: number[] = [];
  const next: number[] = [];
  let best = -1;
  for (let i = chain.nodes.length - 1; i >= 0; i--) {
    const node = chain.nodes[i] as Node;
    if (!counted(node) || arrivals[i] === undefined) continue;
    const on = node.couplet.leads.flatMap((lead, l) => (endOf.has(lead) ? [] : [node.next[l] ?? -1]));
    // A couplet with nothing but ends is the foot of a ladder; one that goes on with several leads is not part of one.
    lengths[i] = on.length > 1 ? 0 : 1 + (lengths[on[0] ?? -1] ?? 0);
    next[i] = on.length === 1 && (lengths[on[0] as number] ?? 0) > 0 ? (on[0] as number) : -1;
    if ((lengths[i] ?? 0) > (lengths[best] ?? 0)) best = i;
  }
  const ladder: number[] = [];
  for (let at = best; at >= 0; at = next[at] ?? -1) ladder.push(at);
  return ladder;
}

function reticulationOf(
  chain: Chain,
  counted: (node: Node) => boolean,
  name: (index: number) => string,
  { endOf, ends, arrivals }: Reach,
): { reticulation: number; joined: Joined[] } {
  const toCouplet = new Map<number, string[]>();
  const toTaxon = new Map<Taxon, string[]>();
  chain.nodes.forEach((node, i) => {
    if (!counted(node) || arrivals[i] === undefined) return;
    node.couplet.leads.forEach((lead, l) => {
      const label = leadLabel(name(i), lead.letter);
      const end = endOf.get(lead);
      if (end === undefined) add(toCouplet, node.next[l] ?? -1, label);
      else for (const taxon of ends[end]?.taxa ?? []) add(toTaxon, taxon, label);
    });
  });
  const joined: Joined[] = [
    ...[...toCouplet].map(([i, from]) => ({ kind: 'couplet' as const, name: name(i), from })),
    ...[...toTaxon].map(([taxon, from]) => ({ kind: 'taxon' as const, name: taxon.name, from })),
  ].filter((j) => j.from.length > 1);
  return { reticulation: joined.reduce((total, j) => total + j.from.length - 1, 0), joined };
}

function add<K>(map: Map<K, string[]>, key: K, label: string): void {
  const known = map.get(key);
  if (known === undefined) map.set(key, [label]);
  else known.push(label);
}

function taxonPaths({ byTaxon }: Reach): TaxonPath[] {
  const order = new Intl.Collator('en').compare;
  return [...byTaxon]
    .map(([taxon, { way }]) => ({ taxon, ...way }))
    .sort((a, b) => order(a.taxon.name, b.taxon.name) || order(a.taxon.id, b.taxon.id));
}
