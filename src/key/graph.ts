/**
 * Questions about a graph given as lists of successors: node i leads to every node of `next[i]`. Everything
 * is linear in nodes and edges, and iterative, so that no key is too deep for the stack.
 */
export type Successors = readonly (readonly number[])[];

/** The nodes that can be reached from a node, itself included. */
export function reachableFrom(start: number, next: Successors): Set<number> {
  const seen = new Set([start]);
  const todo = [start];
  for (let node = todo.pop(); node !== undefined; node = todo.pop()) {
    for (const to of next[node] ?? []) {
      if (seen.has(to)) continue;
      seen.add(to);
      todo.push(to);
    }
  }
  return seen;
}

/**
 * The nodes in an order in which every edge goes forward, the smaller number first where the edges leave a choice;
 * undefined when there is a cycle.
 */
export function forwardOrder(next: Successors): number[] | undefined {
  const waiting = new Array<number>(next.length).fill(0);
  for (const successors of next) for (const to of successors) waiting[to] = (waiting[to] ?? 0) + 1;
  const ready = new SmallestFirst();
  waiting.forEach((n, node) => {
    if (n === 0) ready.add(node);
  });
  const order: number[] = [];
  for (let node = ready.take(); node !== undefined; node = ready.take()) {
    order.push(node);
    for (const to of next[node] ?? []) {
      const left = (waiting[to] ?? 0) - 1;
      waiting[to] = left;
      if (left === 0) ready.add(to);
    }
  }
  return order.length === next.length ? order : undefined;
}

/**
 * By node the successors that lead back to where a walk in depth came from, from a start and then from what it left
 * out.
 */
export function backEdges(start: number, next: Successors): Map<number, Set<number>> {
  const NEW = 0;
  const ON_WAY = 1;
  const DONE = 2;
  const state = new Uint8Array(next.length);
  const back = new Map<number, Set<number>>();
  for (const root of [start, ...next.keys()]) {
    if (state[root] !== NEW) continue;
    const way = [{ node: root, edge: 0 }];
    state[root] = ON_WAY;
    for (let step = way[way.length - 1]; step !== undefined; step = way[way.length - 1]) {
      const to = next[step.node]?.[step.edge++];
      if (to === undefined) {
        state[step.node] = DONE;
        way.pop();
      } else if (state[to] === NEW) {
        state[to] = ON_WAY;
        way.push({ node: to, edge: 0 });
      } else if (state[to] === ON_WAY) back.set(step.node, (back.get(step.node) ?? new Set()).add(to));
    }
  }
  return back;
}

/**
 * The groups of nodes that lie on common cycles (strongly connected components with an edge inside), by Tarjan 1972.
 */
export function cyclicGroups(next: Successors): number[][] {
  const index = new Array<number>(next.length).fill(-1);
  const low = new Array<number>(next.length).fill(0);
  const onStack = new Array<boolean>(next.length).fill(false);
  const stack: number[] = [];
  const groups: number[][] = [];
  let counter = 0;
  const open = (node: number) => {
    index[node] = low[node] = counter++;
    stack.push(node);
    onStack[node] = true;
    return { node, edge: 0 };
  };
  for (let root = 0; root < next.length; root++) {
    if (index[root] !== -1) continue;
    const calls = [open(root)];
    for (let frame = calls[calls.length - 1]; frame !== undefined; frame = calls[calls.length - 1]) {
      const to = next[frame.node]?.[frame.edge++];
      if (to !== undefined) {
        if (index[to] === -1) calls.push(open(to));
        else if (onStack[to]) low[frame.node] = Math.min(low[frame.node] as number, index[to] as number);
        continue;
      }
      calls.pop();
      const caller = calls[calls.length - 1];
      if (caller !== undefined)
        low[caller.node] = Math.min(low[caller.node] as number, low[frame.node] as number);
      if (low[frame.node] !== index[frame.node]) continue;
      const group: number[] = [];
      for (let member = stack.pop(); member !== undefined; member = stack.pop()) {
        onStack[member] = false;
        group.push(member);
        if (member === frame.node) break;
      }
      const [only] = group;
      if (group.length > 1 || (only !== undefined && next[only]?.includes(only)))
        groups.push(group.sort((a, b) => a - b));
    }
  }
  return groups;
}

// Searching from every member of a very large group would cost nodes times edges. Short cycles are searched first;
// after so
// many steps any cycle will do.
const MOST_STEPS = 3_000_000;

/** A shortest cycle within a group of nodes, as nodes in order, beginning with the smallest number of the cycle. */
export function shortestCycle(group: readonly number[], next: Successors): number[] {
  const budget = { steps: MOST_STEPS };
  let best: number[] | undefined;
  for (let most = 2; best === undefined; most *= 2) {
    const inside = new Set(group);
    for (const start of group) {
      best = cycleThrough(start, inside, next, best === undefined ? most : best.length - 1, budget) ?? best;
      if (best?.length === 1 || budget.steps < 0) break;
      // No cycle through this node is short enough, or shorter; so those that are left do without it.
      inside.delete(start);
    }
    if (best === undefined && (budget.steps < 0 || most > group.length))
      best = cycleThrough(group[0] ?? 0, new Set(group), next, Infinity, budget) ?? [];
  }
  const at = best.indexOf(best.reduce((a, b) => Math.min(a, b), Infinity));
  return [...best.slice(at), ...best.slice(0, at)];
}

/** A shortest cycle through a node, of `most` nodes at most. */
function cycleThrough(
  start: number,
  inside: ReadonlySet<number>,
  next: Successors,
  most: number,
  budget: { steps: number },
): number[] | undefined {
  const from = new Map<number, number>();
  let layer = [start];
  for (let length = 1; layer.length > 0 && length <= most; length++) {
    const following: number[] = [];
    budget.steps -= layer.length;
    for (const node of layer) {
      for (const to of next[node] ?? []) {
        if (to === start) {
          const path = [node];
          for (let back = from.get(node); back !== undefined; back = from.get(back)) path.push(back);
          return node === start ? [start] : path.reverse();
        }
        if (!inside.has(to) || from.has(to)) continue;
        from.set(to, node);
        following.push(to);
      }
    }
    layer = following;
  }
  return undefined;
}

/** Node numbers that are taken smallest first (a binary heap). */
export class SmallestFirst {
  readonly #items: number[] = [];

  add(item: number): void {
    const items = this.#items;
    let at = items.push(item) - 1;
    while (at > 0) {
      const up = (at - 1) >> 1;
      if ((items[up] as number) <= item) break;
      items[at] = items[up] as number;
      at = up;
    }
    items[at] = item;
  }

  take(): number | undefined {
    const items = this.#items;
    const first = items[0];
    const last = items.pop();
    if (items.length === 0 || last === undefined) return first;
    let at = 0;
    for (;;) {
      let down = 2 * at + 1;
      if (down >= items.length) break;
      if (down + 1 < items.length && (items[down + 1] as number) < (items[down] as number)) down++;
      if ((items[down] as number) >= last) break;
      items[at] = items[down] as number;
      at = down;
    }
    items[at] = last;
    return first;
  }
}
