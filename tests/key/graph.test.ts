import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { cyclicGroups, forwardOrder, reachableFrom, shortestCycle } from '../../src/key/graph.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

/** Random graphs of up to 9 nodes, sparse and dense, with loops and doubled edges. */
const graph = fc
  .tuple(fc.integer({ min: 1, max: 9 }), fc.integer({ min: 0, max: 30 }))
  .chain(([n, edges]) =>
    fc
      .array(fc.tuple(fc.nat(n - 1), fc.nat(n - 1)), { maxLength: edges })
      .map((list) => Array.from({ length: n }, (_, i) => list.filter(([a]) => a === i).map(([, b]) => b))),
  );
const forward = graph.map((next) => next.map((to, i) => to.filter((j) => j > i)));

type Next = readonly (readonly number[])[];

/** Steps from every node to every node, by trying all nodes as way-stations (Floyd and Warshall 1962). */
function distances(next: Next): number[][] {
  const n = next.length;
  const steps = Array.from({ length: n }, (_, a) =>
    Array.from({ length: n }, (_, b) => (next[a]?.includes(b) ? 1 : Infinity)),
  );
  for (let via = 0; via < n; via++)
    for (let a = 0; a < n; a++)
      for (let b = 0; b < n; b++) {
        const row = steps[a] as number[];
        row[b] = Math.min(row[b] as number, (row[via] as number) + (steps[via]?.[b] as number));
      }
  return steps;
}

describe('questions about a graph, against trying everything', () => {
  it('what can be reached', () => {
    fc.assert(
      fc.property(graph, (next) => {
        const steps = distances(next);
        for (let a = 0; a < next.length; a++) {
          const reached = next.flatMap((_, b) =>
            a === b || (steps[a]?.[b] as number) < Infinity ? [b] : [],
          );
          expect([...reachableFrom(a, next)].sort((x, y) => x - y)).toEqual(reached);
        }
      }),
    );
  });

  it('an order in which every edge goes forward, or none where there is a circle', () => {
    fc.assert(
      fc.property(fc.oneof(graph, forward), (next) => {
        const order = forwardOrder(next);
        const steps = distances(next);
        const circle = next.some((_, a) => (steps[a]?.[a] as number) < Infinity);
        expect(order === undefined).toBe(circle);
        if (order === undefined) return;
        expect([...order].sort((x, y) => x - y)).toEqual(next.map((_, i) => i));
        next.forEach((to, a) => {
          for (const b of to) expect(order.indexOf(a)).toBeLessThan(order.indexOf(b));
        });
      }),
      { numRuns: 1000 },
    );
  });

  it('the first such order, so that a file already in order is left as it is', () => {
    fc.assert(
      fc.property(forward, (next) => {
        expect(forwardOrder(next)).toEqual(next.map((_, i) => i));
      }),
    );
    fc.assert(
      fc.property(graph, (next) => {
        const order = forwardOrder(next);
        if (order === undefined) return;
        // The smallest node that nothing left points at, every time.
        const left = new Set(next.map((_, i) => i));
        for (const node of order) {
          const free = [...left].filter((b) => ![...left].some((a) => next[a]?.includes(b)));
          expect(node).toBe(Math.min(...free));
          left.delete(node);
        }
      }),
    );
  });

  it('the groups of nodes on common circles', () => {
    fc.assert(
      fc.property(graph, (next) => {
        const steps = distances(next);
        const together = (a: number, b: number) =>
          (steps[a]?.[b] as number) < Infinity && (steps[b]?.[a] as number) < Infinity;
        const expected = new Set(
          next.flatMap((_, a) =>
            together(a, a) ? [next.flatMap((_, b) => (a === b || together(a, b) ? [b] : [])).join()] : [],
          ),
        );
        const groups = cyclicGroups(next).map((g) => g.join());
        expect(new Set(groups)).toEqual(expected);
        expect(groups.length).toBe(expected.size);
      }),
      { numRuns: 1000 },
    );
  });

  it('a shortest circle of each group, from its smallest node', () => {
    fc.assert(
      fc.property(graph, (next) => {
        const steps = distances(next);
        for (const group of cyclicGroups(next)) {
          const cycle = shortestCycle(group, next);
          expect(cycle.length).toBe(Math.min(...group.map((a) => steps[a]?.[a] as number)));
          expect(cycle[0]).toBe(Math.min(...cycle));
          expect(new Set(cycle).size).toBe(cycle.length);
          cycle.forEach((a, i) => {
            expect(group).toContain(a);
            expect(next[a]).toContain(cycle[(i + 1) % cycle.length]);
          });
        }
      }),
      { numRuns: 2000 },
    );
  });
});

describe('graphs as large as no key is', () => {
  const n = 100_000;
  const line = Array.from({ length: n }, (_, i) => (i + 1 < n ? [i + 1] : []));

  it('are no danger to the stack', () => {
    expect(reachableFrom(0, line).size).toBe(n);
    expect(forwardOrder(line)).toHaveLength(n);
    const ring = line.map((to) => (to.length === 0 ? [0] : to));
    expect(forwardOrder(ring)).toBeUndefined();
    const [group = []] = cyclicGroups(ring);
    expect(group).toHaveLength(n);
    expect(shortestCycle(group, ring)).toHaveLength(n);
  });

  it('show a short circle that lies far behind in a long one', () => {
    const ring = line
      .map((to, i) => (to.length === 0 ? [0] : i === 4000 ? [i + 1, i - 1] : to))
      .slice(0, 5000);
    ring[4999] = [0];
    const [group = []] = cyclicGroups(ring);
    expect(group).toHaveLength(5000);
    expect(shortestCycle(group, ring)).toEqual([3999, 4000]);
  });
});
