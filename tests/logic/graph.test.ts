/** Questions about the graph of a key against a general graph library. */
import fc from 'fast-check';
import { DirectedGraph } from 'graphology';
import { stronglyConnectedComponents } from 'graphology-components';
import { hasCycle, topologicalSort } from 'graphology-dag';
import { bfsFromNode } from 'graphology-traversal';
import { describe, expect, it } from 'vitest';
import { loadChain } from '../../src/key/chain.js';
import { cyclicGroups, forwardOrder, reachableFrom, shortestCycle } from '../../src/key/graph.js';
import { emptyShelf } from '../../src/key/load.js';
import { lintKey } from '../../src/lint/lint.js';
import { coupletReachable } from '../../src/lint/rules/couplet-reachable.js';

/** By node, where it leads: up to 14 nodes, from none to many edges, loops among them. */
const graphs: fc.Arbitrary<number[][]> = fc
  .integer({ min: 1, max: 14 })
  .chain((n) => fc.array(fc.uniqueArray(fc.nat(n - 1), { maxLength: 3 }), { minLength: n, maxLength: n }));

/** Edges go to greater numbers only, which then are shuffled. */
const acyclic: fc.Arbitrary<number[][]> = graphs.chain((next) =>
  fc.shuffledSubarray([...next.keys()], { minLength: next.length, maxLength: next.length }).map((name) => {
    const out = next.map((): number[] => []);
    next.forEach((list, i) => {
      for (const to of list) if (to > i) out[name[i] as number]?.push(name[to] as number);
    });
    return out;
  }),
);

const both = fc.oneof(graphs, acyclic);

function graphOf(next: readonly (readonly number[])[]): DirectedGraph {
  const graph = new DirectedGraph();
  next.forEach((_, i) => {
    graph.addNode(i);
  });
  next.forEach((list, i) => {
    for (const to of list) graph.addEdge(i, to);
  });
  return graph;
}

/** How many steps each node is from one, where it can be reached. */
function distances(graph: DirectedGraph, from: number): Map<number, number> {
  const steps = new Map<number, number>();
  bfsFromNode(graph, from, (node, _, depth) => void steps.set(Number(node), depth), { mode: 'outbound' });
  return steps;
}

/** The components with a cycle in them, each in ascending order. */
function componentsWithCycle(graph: DirectedGraph): number[][] {
  return stronglyConnectedComponents(graph)
    .map((group) => group.map(Number).sort((a, b) => a - b))
    .filter(([first, ...others]) => others.length > 0 || graph.hasEdge(first, first))
    .sort(([a = 0], [b = 0]) => a - b);
}

const ascending = (groups: readonly (readonly number[])[]) => [...groups].sort(([a = 0], [b = 0]) => a - b);

function check(
  graphsOf: fc.Arbitrary<number[][]>,
  property: (next: number[][], graph: DirectedGraph) => void,
  numRuns = 1000,
) {
  fc.assert(
    fc.property(graphsOf, (next) => property(next, graphOf(next))),
    { numRuns },
  );
}

describe('the graph of a key', () => {
  it('reaches the same nodes', () => {
    check(both, (next, graph) => {
      next.forEach((_, i) => {
        const reached = [...reachableFrom(i, next)].sort((a, b) => a - b);
        expect(reached).toEqual([...distances(graph, i).keys()].sort((a, b) => a - b));
      });
    });
  });

  it('has a forward order just where it has no cycle, the smallest number first', () => {
    check(both, (next, graph) => {
      const order = forwardOrder(next);
      expect(order === undefined).toBe(hasCycle(graph));
      if (order === undefined) return;
      expect([...order].sort((a, b) => a - b)).toEqual(
        topologicalSort(graph)
          .map(Number)
          .sort((a, b) => a - b),
      );
      const left = graph.copy();
      for (const node of order) {
        const free = left.nodes().filter((n) => left.inDegree(n) === 0);
        expect(node).toBe(Math.min(...free.map(Number)));
        left.dropNode(node);
      }
    });
  });

  it('has the same cyclic groups, and a shortest cycle in each', () => {
    check(both, (next, graph) => {
      const groups = cyclicGroups(next);
      expect(ascending(groups)).toEqual(componentsWithCycle(graph));
      for (const group of groups) {
        const cycle = shortestCycle(group, next);
        cycle.forEach((node, i) => {
          expect(graph.hasEdge(node, cycle[(i + 1) % cycle.length])).toBe(true);
        });
        expect(new Set(cycle).size).toBe(cycle.length);
        expect(cycle[0]).toBe(Math.min(...cycle));
        const lengths = group.flatMap((node) =>
          graph.inNeighbors(node).flatMap((before) => {
            const back = distances(graph, node).get(Number(before));
            return back === undefined ? [] : [back + 1];
          }),
        );
        expect(cycle.length).toBe(Math.min(...lengths));
      }
    });
  });
});

/** A key with a couplet for each node, numbered from 1. */
function keyOf(next: readonly (readonly number[])[]): string {
  const couplets = next.map((list, i) => {
    const leads = list.map((to, l) => ({ lead: `lead ${l}`, to: String(to + 1) }));
    const ends = leads.length === 0 ? ['x', 'y'] : ['x'];
    return [String(i + 1), [...leads, ...ends.map((taxon) => ({ lead: `end ${taxon}`, taxon }))]];
  });
  const taxa = { x: { name: 'Genus x' }, y: { name: 'Genus y' } };
  return JSON.stringify({
    keywright: 1,
    id: 'drawn',
    title: 'Drawn',
    version: '1',
    couplets: Object.fromEntries(couplets),
    taxa,
  });
}

describe('findings about the graph', () => {
  it('name the couplets that cannot be reached, each once', () => {
    check(
      both,
      (next, graph) => {
        const reached = distances(graph, 0);
        const { findings } = lintKey(keyOf(next), 'drawn.key.yaml', { rules: [coupletReachable] });
        const told = findings.filter((f) => f.rule === 'couplet-reachable');
        // Any lead of a circle may be the one that was to lead there.
        if (hasCycle(graph)) {
          expect(told).toEqual([]);
          return;
        }
        const heads = told.map((f) => Number(f.place.path[1]) - 1);
        expect(heads.filter((head) => reached.has(head))).toEqual([]);
        const cutOff = new Set(heads.flatMap((head) => [...distances(graph, head).keys()]));
        for (const node of reached.keys()) cutOff.delete(node);
        expect(cutOff.size).toBe(next.length - reached.size);
        const counted = told.map((f) => 1 + Number(/cuts off (\d+) more/.exec(f.message)?.[1] ?? 0));
        expect(counted.reduce((a, b) => a + b, 0)).toBe(cutOff.size);
      },
      300,
    );
  });

  it('tell one cycle for each group that has one; without one, joins and order are those of the graph', () => {
    check(
      both,
      (next, graph) => {
        const { chain, findings } = loadChain(keyOf(next), 'drawn.key.yaml', emptyShelf);
        const cycles = findings.filter((f) => f.rule === 'path-acyclic');
        const told = cycles.map((f) => Number(f.place.path[1]) - 1);
        const groups = componentsWithCycle(graph);
        expect(groups.map((group) => told.filter((node) => group.includes(node)).length)).toEqual(
          groups.map(() => 1),
        );
        expect(told.length).toBe(groups.length);
        expect(chain === undefined).toBe(hasCycle(graph));
        if (chain === undefined) return;
        const into = new Map<number, number>();
        chain.nodes.forEach((node, i) => {
          const name = Number(node.couplet.id) - 1;
          const onward = node.next.filter((to) => to >= 0);
          expect(onward.every((to) => to > i)).toBe(true);
          const ids = onward.map((to) => Number(chain.nodes[to]?.couplet.id) - 1);
          expect(ids).toEqual(next[name]);
          for (const id of ids) into.set(id, (into.get(id) ?? 0) + 1);
        });
        const joins = [...into].filter(([, n]) => n > 1).map(([id]) => id);
        const expected = graph
          .nodes()
          .map(Number)
          .filter((n) => graph.inDegree(n) > 1);
        expect(joins.sort((a, b) => a - b)).toEqual(expected);
      },
      300,
    );
  });
});
