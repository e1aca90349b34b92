/** Where things stand in a parsed YAML text. */
import { isAlias, isMap, isPair, isScalar, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import type { Path } from '../diagnostic/finding.js';

/** Where something begins and ends, as offsets into the text. */
export type Range = [number, number];

/** The name before a ":" as the author wrote it; undefined when it is no word. */
export function nameOf(pair: Pair): string | undefined {
  const key = pair.key;
  if (isScalar(key)) return key.source ?? String(key.value);
  return key === null ? '' : undefined;
}

/** Where a node stands; the beginning of the text for what stands nowhere. */
export function rangeOf(node: unknown): Range {
  const range = (node as Node | null)?.range;
  return range === undefined || range === null ? [0, 1] : [range[0], Math.max(range[1], range[0])];
}

/** The offset at which a node begins. */
export function startOf(node: unknown): number {
  return rangeOf(node)[0];
}

const PAIRS = new WeakMap<YAMLMap, ReadonlyMap<string, Pair>>();

/** The pairs of a map by name, the first of each; found once, for a bad key may have thousands of findings. */
function pairsOf(map: YAMLMap): ReadonlyMap<string, Pair> {
  let pairs = PAIRS.get(map);
  if (pairs === undefined) {
    const byName = new Map<string, Pair>();
    for (const pair of map.items) {
      const name = isPair(pair) ? nameOf(pair) : undefined;
      if (name !== undefined && !byName.has(name)) byName.set(name, pair);
    }
    PAIRS.set(map, byName);
    pairs = byName;
  }
  return pairs;
}

/** Where the value at a path stands, or its name; the nearest thing around it that exists. `anchors`: what aliases name. */
export function locate(
  root: unknown,
  path: Path,
  side: 'name' | 'value',
  anchors: ReadonlyMap<string, Node>,
): Range {
  let node: unknown = root;
  let range = rangeOf(root);
  for (let i = 0; i < path.length; i++) {
    const step = path[i] as string | number;
    if (isAlias(node)) node = anchors.get(node.source);
    if (isMap(node)) {
      const pair = pairsOf(node).get(String(step));
      if (pair === undefined) return range;
      const last = i === path.length - 1;
      const empty = pair.value === null || (isScalar(pair.value) && pair.value.value === null);
      range = (last && side === 'name') || empty ? rangeOf(pair.key) : rangeOf(pair.value);
      node = pair.value;
    } else if (isSeq(node)) {
      const item = node.items[Number(step)];
      if (item === undefined) return range;
      range = rangeOf(item);
      node = item;
    } else return range;
  }
  return range;
}

/** The path of what stands at an offset: of the innermost name, value or item that it lies in. */
export function pathAt(root: unknown, offset: number): Path {
  const path: (string | number)[] = [];
  const holds = (node: unknown) => {
    const range = (node as Node | null)?.range;
    return range !== undefined && range !== null && range[0] <= offset && offset <= range[1];
  };
  let node: unknown = root;
  for (;;) {
    if (isMap(node)) {
      const pair = node.items.find((p) => holds(p.key) || holds(p.value));
      const name = pair === undefined ? undefined : nameOf(pair);
      if (pair === undefined || name === undefined) return path;
      path.push(name);
      if (holds(pair.key)) return path;
      node = pair.value;
    } else if (isSeq(node)) {
      const index = node.items.findIndex(holds);
      if (index < 0) return path;
      path.push(index);
      node = node.items[index];
    } else return path;
  }
}
