import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { leastDepthSum } from '../../src/analysis/key-bounds.js';
import { type Measures, measure } from '../../src/analysis/key-measures.js';
import { reachOf } from '../../src/analysis/key-paths.js';
import { showJson } from '../../src/commands/show/json.js';
import { showText } from '../../src/commands/show/text.js';
import { nodeName } from '../../src/key/chain.js';
import { PLAIN } from '../../src/text/paint.js';
import { displayWidth } from '../../src/text/wrap.js';
import { kraftSum } from '../support/kraft.js';
import { chainOf, shelfOf } from '../support/markup.js';
import { type KeyData, keyData } from '../support/random-keys.js';

/** A key as a shape: the number of a taxon, or the leads of a couplet. */
type Shape = number | readonly Shape[];

/** The key that has a shape; taxa are met as often as `frequencies` says. */
function keyOf(shape: Shape, frequencies?: readonly number[]) {
  const couplets: Record<string, object[]> = {};
  const taxa: Record<string, object> = {};
  let n = 0;
  const end = (s: Shape): object => {
    if (typeof s !== 'number') return { to: couplet(s) };
    taxa[`t${s}`] = {
      name: `Genus t${s}`,
      ...(frequencies === undefined ? {} : { frequency: frequencies[s] }),
    };
    return { taxon: `t${s}` };
  };
  const couplet = (leads: readonly Shape[]): string => {
    const id = String(++n);
    couplets[id] = [];
    couplets[id] = leads.map((s, i) => ({ lead: `lead ${id} ${i}`, ...end(s) }));
    return id;
  };
  couplet(shape as readonly Shape[]);
  return { keywright: 1, id: 'shape', title: 'Shape', version: '1', couplets, taxa };
}

function even(from: number, to: number): Shape {
  if (to - from === 1) return from;
  const middle = (from + to) >> 1;
  return [even(from, middle), even(middle, to)];
}

function ladder(n: number): Shape {
  let shape: Shape = n - 1;
  for (let i = n - 2; i >= 0; i--) shape = [i, shape];
  return shape;
}

/** The key with the best depths for weights, built from its depths: the deepest ends are joined first. */
function ofDepths(depths: readonly number[]): Shape {
  let level = depths.map((depth, i) => ({ depth, shape: i as Shape }));
  while (level.length > 1) {
    level.sort((a, b) => a.depth - b.depth);
    const [b, a] = [level.pop(), level.pop()] as [
      { depth: number; shape: Shape },
      { depth: number; shape: Shape },
    ];
    expect(a.depth).toBe(b.depth);
    level = [...level, { depth: a.depth - 1, shape: [a.shape, b.shape] }];
  }
  return level[0]?.shape ?? 0;
}

function measured(shape: Shape, frequencies?: readonly number[]): Measures {
  return measure(chainOf(keyOf(shape, frequencies)), false);
}

function depthsOf(shape: Shape): number[] {
  const chain = chainOf(keyOf(shape));
  return reachOf(
    chain,
    () => true,
    (i) => nodeName(chain, i),
  ).ends.map((e) => e.mean);
}

/** The Kraft sum of a key of dichotomies. */
function kraftOf(depths: readonly number[]): number {
  return kraftSum(depths.map((d) => new Array<number>(d).fill(2)));
}

// The identities and numbers come from the theory of keys; what is published or recalled stands beside each, the rest is
// derivable by arithmetic.
describe('identities and bounds', () => {
  const trees = keyData(20, 'tree');

  it('T1: in a tree the leads beyond the first of each couplet are one fewer than the ends (derivable)', () => {
    fc.assert(
      fc.property(trees, (key) => {
        const chain = chainOf(key);
        const m = measure(chain, false);
        const reached = m.couplets - m.unreached.length;
        const leads = m.ends + reached - 1; // every reached couplet but the first is the target of one lead
        expect(leads - reached).toBe(m.ends - 1);
        const inReach = [...chain.main.couplets.values()].filter((c) => !m.unreached.includes(c.id));
        expect(inReach.reduce((sum, c) => sum + c.leads.length - 1, 0)).toBe(m.ends - 1);
      }),
    );
  });

  it('T2: the Kraft sum of a complete dichotomous tree is 1 (derivable; Kraft 1949, from memory)', () => {
    for (const shape of [even(0, 8), ladder(8), [[0, 1], 2], [0, [[1, [2, 3]], 4]]] as Shape[])
      expect(kraftOf(depthsOf(shape))).toBe(1);
    fc.assert(
      fc.property(keyData(8, 'reticulate'), (key) => {
        const leads = (label: string) => key.couplets[label.slice(0, -1)]?.length ?? 0;
        expect(kraftSum(paths(key).map((p) => p.leads.map(leads)))).toBeCloseTo(1, 9);
      }),
    );
  });

  it('T3, T4, T5: no key beats the bounds, the even key meets them, and the ladder is as long as said (derivable)', () => {
    for (let n = 2; n <= 40; n++) {
      const best = measured(even(0, n));
      expect(best.depth.mean).toBeCloseTo(best.bounds.mean, 12);
      expect(best.bounds.mean).toBeCloseTo(leastDepthSum(n) / n, 12);
      expect(best.depth.greatest).toBe(best.bounds.greatest);
      const worst = measured(ladder(n));
      expect(worst.depth.mean).toBeCloseTo(worst.bounds.ladder.mean, 12);
      expect(worst.bounds.ladder.mean).toBeCloseTo(((n + 2) * (n - 1)) / (2 * n), 12);
      expect(worst.depth.greatest).toBe(n - 1);
      expect(worst.ladder.length).toBe(n - 1);
    }
    fc.assert(
      fc.property(trees, (key) => {
        const { depth, bounds, ends, taxa, polytomies } = measure(chainOf(key), false);
        if (polytomies.length > 0) return;
        expect(depth.mean).toBeGreaterThanOrEqual(bounds.mean - 1e-9);
        expect(depth.greatest).toBeGreaterThanOrEqual(bounds.greatest);
        expect(bounds.answers).toBeLessThanOrEqual(Math.min(ends, Math.max(taxa, 1)));
      }),
    );
  });

  it('T3: three leads reach farther: ceil(log3 n) (derivable)', () => {
    const m = measured([
      [0, 1, 2],
      [3, 4, 5],
      [6, 7, 8],
    ]);
    expect(m.bounds).toMatchObject({ answers: 9, greatest: 4, greatestWithMost: 2 });
    expect(m.depth.greatest).toBe(2);
  });

  it('T6: the entropy is at most the mean by frequency, and the best is less than a bit above it (Huffman 1952; Shannon 1948; from memory)', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 50 }), { minLength: 2, maxLength: 16 }), (weights) => {
        const m = measured(even(0, weights.length), weights).weighted;
        expect(m?.huffman ?? 0).toBeLessThanOrEqual((m?.mean ?? 0) + 1e-9);
        expect(m?.entropy ?? 0).toBeLessThanOrEqual((m?.huffman ?? 0) + 1e-9);
        expect(m?.huffman ?? 0).toBeLessThan((m?.entropy ?? 0) + 1);
      }),
    );
  });

  it('T8: the depths of two keys in series add (derivable)', () => {
    const second = keyOf(even(0, 4));
    const main = {
      ...keyOf(even(0, 2)),
      id: 'general',
      couplets: {
        1: [
          { lead: 'x', key: 'shape' },
          { lead: 'y', taxon: 't9' },
        ],
      },
      taxa: { t9: { name: 'Genus t9' } },
    };
    const chain = chainOf(main, shelfOf({ shape: second }));
    expect(measure(chain, false)).toMatchObject({
      depth: { greatest: 1 },
      ends: 2,
      handOvers: 1,
      answers: 2,
    });
    expect(measure(chain, true)).toMatchObject({
      depth: { least: 1, greatest: 3, mean: 13 / 5 },
      ends: 5,
      couplets: 4,
    });
    expect(Math.log2(60) + Math.log2(12)).toBeCloseTo(9.49, 2);
  });

  it('T9: the reticulation index is the sum of (in-degree - 1), 0 for a tree (derivable)', () => {
    expect(measured(even(0, 8)).reticulation).toBe(0);
    const joinedKey = {
      keywright: 1,
      id: 'r',
      title: 'R',
      version: '1',
      couplets: {
        1: [
          { lead: 'a', to: '2' },
          { lead: 'b', to: '3' },
        ],
        2: [
          { lead: 'a', to: '4' },
          { lead: 'b', taxon: 'x' },
        ],
        3: [
          { lead: 'a', to: '4' },
          { lead: 'b', taxon: 'x' },
        ],
        4: [
          { lead: 'a', taxon: 'x' },
          { lead: 'b', taxon: 'y' },
        ],
      },
      taxa: { x: { name: 'X' }, y: { name: 'Y' } },
    };
    const m = measure(chainOf(joinedKey), false);
    expect(m.reticulation).toBe(1 + 2);
    expect(m.joined).toEqual([
      { kind: 'couplet', name: '4', from: ['2a', '3a'] },
      { kind: 'taxon', name: 'X', from: ['2b', '3b', '4a'] },
    ]);
    const way = m.ways.find((w) => w.taxon.id === 'x');
    expect(way).toMatchObject({ couplets: 2, longest: 3, at: ['2b', '3b', '4a'] });
    expect(way?.path()).toEqual(['1a', '2b']);
  });
});

describe('worked examples', () => {
  it('E1: eight taxa, evenly parted (derivable)', () => {
    const m = measured(even(0, 8), [1, 1, 1, 1, 1, 1, 1, 1]);
    expect(m).toMatchObject({ couplets: 7, ends: 8, depth: { least: 3, mean: 3, greatest: 3 }, balance: 1 });
    expect(m.weighted).toEqual({ answers: 8, mean: 3, entropy: 3, huffman: 3 });
    expect(kraftOf(depthsOf(even(0, 8)))).toBe(1);
  });

  it('E2: eight taxa, a ladder (derivable)', () => {
    expect(depthsOf(ladder(8)).sort()).toEqual([1, 2, 3, 4, 5, 6, 7, 7]);
    expect(measured(ladder(8)).depth.mean).toBe(4.375);
    expect(kraftOf(depthsOf(ladder(8)))).toBe(1);
  });

  it('E3: the best that can be for 10, 12, 20, 37 and 100 taxa (derivable)', () => {
    for (const [n, total, mean] of [
      [10, 34, 3.4],
      [12, 44, 3.6667],
      [20, 88, 4.4],
      [37, 195, 5.2703],
      [100, 672, 6.72],
    ] as const) {
      const { depth, bounds } = measured(even(0, n));
      expect(Math.round(depth.mean * n)).toBe(total);
      expect(bounds.mean).toBeCloseTo(mean, 4);
    }
    expect(measured(even(0, 10)).bounds).toMatchObject({ greatest: 4 });
    expect(measured(even(0, 10)).bounds.bits).toBeCloseTo(3.3219, 4);
    expect(measured(ladder(100)).depth.mean).toBeCloseTo(50.49, 2);
  });

  it.each([
    ['E4', [0.5, 0.25, 0.125, 0.125], [1, 2, 3, 3], 1.75, 1.75],
    ['E5', [0.4, 0.3, 0.2, 0.1], [1, 2, 3, 3], 1.8464, 1.9],
    ['E6', [0.6, ...new Array<number>(8).fill(0.05)], [1, ...new Array<number>(8).fill(4)], 2.171, 2.2],
  ])(
    '%s: taxa met unequally often (derivable; Huffman 1952, from memory)',
    (_, weights, depths, bits, best) => {
      const made = measured(ofDepths(depths), weights).weighted;
      expect(made?.entropy).toBeCloseTo(bits, 4);
      expect(made?.huffman).toBeCloseTo(best, 10);
      // The key with just these depths takes as many couplets as the best can.
      expect(made?.mean).toBeCloseTo(best, 10);
    },
  );

  it('E4: the even key needs two couplets where the best needs 1.75 (derivable)', () => {
    expect(measured(even(0, 4), [0.5, 0.25, 0.125, 0.125]).weighted?.mean).toBe(2);
  });

  it('E18: 37 ends with three trichotomies are 33 couplets (derivable)', () => {
    const shape: Shape = [
      [0, 1, 2],
      [
        [3, 4, 5],
        [[6, 7, 8], even(9, 37)],
      ],
    ];
    const m = measured(shape);
    expect(m).toMatchObject({ ends: 37, couplets: 33, polytomies: [{ leads: 3, couplets: 3 }] });
  });
});

/** Every path of a key, found by walking it: the leads taken, and what it ends at. */
function paths(key: KeyData): { leads: string[]; taxa: string[] }[] {
  const found: { leads: string[]; taxa: string[] }[] = [];
  const walk = (id: string, so: string[]): void => {
    key.couplets[id]?.forEach((lead, i) => {
      const leads = [...so, `${id}${'abc'[i]}`];
      if (lead.to === undefined) found.push({ leads, taxa: [lead.taxon ?? []].flat() });
      else walk(lead.to, leads);
    });
  };
  walk('1', []);
  return found;
}

describe('what is counted', () => {
  it('agrees with a walk of every path', () => {
    fc.assert(
      fc.property(keyData(9, 'reticulate'), (key) => {
        const m = measure(chainOf(key), false);
        const all = paths(key);
        const byEnd = new Map<string, number[]>();
        for (const { leads } of all)
          byEnd.set(leads.at(-1) ?? '', [...(byEnd.get(leads.at(-1) ?? '') ?? []), leads.length]);
        const means = [...byEnd.values()].map((d) => d.reduce((a, b) => a + b, 0) / d.length);
        expect(m.ends).toBe(byEnd.size);
        expect(m.depth.least).toBe(Math.min(...all.map((p) => p.leads.length)));
        expect(m.depth.greatest).toBe(Math.max(...all.map((p) => p.leads.length)));
        expect(m.depth.mean).toBeCloseTo(means.reduce((a, b) => a + b, 0) / means.length, 9);
        expect(m.taxa).toBe(new Set(all.flatMap((p) => p.taxa)).size);
        for (const way of m.ways) {
          const own = all.filter((p) => p.taxa.includes(way.taxon.id));
          expect(way.couplets).toBe(Math.min(...own.map((p) => p.leads.length)));
          expect(way.longest).toBe(Math.max(...own.map((p) => p.leads.length)));
          expect(own.map((p) => p.leads.join(' '))).toContain(way.path().join(' '));
          expect(new Set(way.at)).toEqual(new Set(own.map((p) => p.leads.at(-1))));
        }
        const reached = new Set(all.flatMap((p) => p.leads.map((l) => l.slice(0, -1))));
        expect(m.couplets - m.unreached.length).toBe(reached.size);
        const into = new Map<string, Set<string>>();
        for (const { leads, taxa } of all) {
          leads.forEach((lead, i) => {
            const next = leads[i + 1]?.slice(0, -1);
            for (const to of next === undefined ? taxa : [next])
              into.set(to, (into.get(to) ?? new Set()).add(lead));
          });
        }
        expect(m.reticulation).toBe([...into.values()].reduce((sum, from) => sum + from.size - 1, 0));
      }),
      { numRuns: 200 },
    );
  });

  it('counts more paths than a number holds', () => {
    const n = 1500;
    const couplets = Object.fromEntries(
      Array.from({ length: n }, (_, i) => [
        i + 1,
        ['a', 'b', 'c'].map((lead) => ({ lead, ...(i + 1 < n ? { to: `${i + 2}` } : { taxon: 't' }) })),
      ]),
    );
    const m = measure(
      chainOf({ keywright: 1, id: 'x', title: 'X', version: '1', couplets, taxa: { t: { name: 'T' } } }),
      false,
    );
    expect(m.depth).toEqual({ least: n, mean: n, greatest: n });
  });

  it('says what is asked how often and where first, what only supports, and what is described and never asked', () => {
    const key = {
      keywright: 1,
      id: 'x',
      title: 'X',
      version: '1',
      characters: {
        a: { name: 'a', states: ['p', 'q'], effort: 3 },
        b: { name: 'b', states: ['p', 'q'], effort: 2 },
        c: { name: 'c', states: ['p', 'q'] },
        d: { name: 'd', states: ['p', 'q'] },
        e: { name: 'e', states: ['p', 'q'] },
      },
      couplets: {
        1: [
          { lead: 'x', when: { b: 'p' }, to: '2' },
          { lead: 'y', when: { b: 'q' }, to: '3' },
        ],
        2: [
          { lead: 'x', when: { a: 'p', b: 'p' }, taxon: 't' },
          { lead: 'y', when: { a: 'q' }, usually: { c: 'p' }, taxon: 'u' },
        ],
        3: [
          { lead: 'x', when: { a: 'p' }, taxon: 't' },
          { lead: 'y', to: '4' },
        ],
        4: [
          { lead: 'x', taxon: 'u' },
          { lead: 'y', taxon: 'v' },
        ],
      },
      taxa: { t: { name: 'T', traits: { d: 'p', a: 'p' } }, u: { name: 'U' }, v: { name: 'V' } },
    };
    const chain = chainOf(key);
    const m = measure(chain, false);
    expect(
      m.characters.map(({ character, asked, first, supports, described }) => [
        character.id,
        asked,
        first,
        supports,
        described,
      ]),
    ).toEqual(
      [
        ['a', ['2', '3'], 1, [], 1],
        ['b', ['1', '2'], 0, [], 0],
        ['c', [], undefined, ['2'], 0],
        ['d', [], undefined, [], 1],
        ['e', [], undefined, [], 0],
      ].sort(
        (x, y) => (y[1] as string[]).length - (x[1] as string[]).length || Number(x[2]) - Number(y[2]) || 0,
      ),
    );
    // b is asked again at 2 and takes no effort there; 4 asks nothing and is a glance.
    expect(m.ways.map((w) => [w.taxon.id, w.effort, w.characters()])).toEqual([
      ['t', 5, ['b', 'a']],
      ['u', 5, ['b', 'a']],
      ['v', 6, ['b', 'a']],
    ]);
    const text = showText({ chain, own: m, whole: undefined }, { width: 80, paint: PLAIN });
    expect(text).toContain('Named as support only, never asked: c.');
    expect(text).toContain('Described and never asked: d.');
    expect(text).toContain('Neither asked nor described: e.');
  });

  it('finds ladders and uneven couplets', () => {
    const m = measured([
      0,
      [
        1,
        [
          2,
          [
            [3, 4],
            [5, 6],
          ],
        ],
      ],
    ]);
    expect(m.ladder).toEqual(['1', '2', '3']);
    expect(m.divisions[0]).toMatchObject({ couplet: '1', beyond: [1, 6] });
    // E14 has such splits: 1/11 settles .4138 bit, 3/9 .8113, 4/8 .9183 (derivable).
    for (const [few, bits] of [
      [1, 0.4138],
      [3, 0.8113],
      [4, 0.9183],
      [6, 1],
    ] as const)
      expect(
        measured([even(0, few), even(few, 12)]).divisions.find((d) => d.couplet === '1')?.evenness,
      ).toBeCloseTo(bits, 4);
    expect(measured([even(0, 3), 3]).longFirst).toEqual(['1', '2'].slice(0, 1));
  });
});

describe('the report', () => {
  it('keeps to its width and holds no control characters, whatever the key says', () => {
    fc.assert(
      fc.property(keyData(12, 'reticulate'), fc.integer({ min: 40, max: 100 }), (key, width) => {
        const chain = chainOf({ ...key, title: 'A\u001b[31m title \u202e turned' });
        const own = measure(chain, false);
        const text = showText({ chain, own, whole: own }, { width, paint: PLAIN });
        for (const line of text.split('\n')) expect(displayWidth(line)).toBeLessThanOrEqual(width);
        const json = showJson({ chain, own, whole: undefined }, '0');
        for (const said of [text, json])
          expect([...said].filter((c) => c !== '\n' && /[\p{Cc}\p{Cf}]/u.test(c))).toEqual([]);
        expect(JSON.parse(json)).toMatchObject({ version: 1, size: { couplets: own.couplets } });
      }),
      { numRuns: 60 },
    );
  });
});

describe('a ladder deeper than anybody would climb', () => {
  /** One taxon parted off at each couplet, each by a character of its own. */
  const deep = (couplets: number) =>
    chainOf({
      keywright: 1,
      id: 'deep',
      title: 'Deep',
      version: '1',
      characters: Object.fromEntries(
        Array.from({ length: couplets }, (_, i) => [
          `c${i + 1}`,
          { name: `dot ${i + 1}`, states: ['yes', 'no'] },
        ]),
      ),
      couplets: Object.fromEntries(
        Array.from({ length: couplets }, (_, i) => [
          i + 1,
          [
            { lead: 'Dotted', when: { [`c${i + 1}`]: 'yes' }, taxon: `t${i + 1}` },
            {
              lead: 'Plain',
              otherwise: true,
              ...(i + 1 < couplets ? { to: String(i + 2) } : { taxon: 'last' }),
            },
          ],
        ]),
      ),
      taxa: Object.fromEntries(
        ['last', ...Array.from({ length: couplets }, (_, i) => `t${i + 1}`)].map((id) => [id, { name: id }]),
      ),
    });

  it('is measured without writing out every way, and shows each in short', () => {
    const chain = deep(6000);
    const m = measure(chain, false);
    const last = m.ways.find((w) => w.taxon.id === 'last');
    expect(last?.path(4)).toEqual(['1b', '2b', '(5996 more)', '5999b', '6000b']);
    expect(last?.path().length).toBe(6000);
    expect(last?.path(5999)).toEqual(last?.path());
    expect(last?.characters()).toHaveLength(6000);
    expect(last?.effort).toBe(6000);
    const text = showText({ chain, own: m, whole: undefined }, { width: 100, paint: PLAIN });
    expect(text).toContain('(5980 more)');
    // What is written grows with the couplets, not with their square.
    expect(text.length).toBeLessThan(6000 * 600);
    const json = showJson({ chain, own: m, whole: undefined }, '1');
    expect(json.length).toBeLessThan(6000 * 4000);
    const { taxa } = JSON.parse(json) as { taxa: { id: string; couplets: number; path?: string[] }[] };
    expect(taxa.find((t) => t.id === 'last')).not.toHaveProperty('path');
    expect(taxa.find((t) => t.id === 't3')?.path).toEqual(['1b', '2b', '3a']);
  });
});
