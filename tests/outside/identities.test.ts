/**
 * What is true of every key that is a tree, held against keys as this program reads and numbers them.
 *
 * Kraft's equality: L. G. Kraft, A device for quantizing, grouping and coding amplitude-modulated pulses, MS thesis,
 * Massachusetts Institute of Technology, 1949. The count of couplets and the depths of the two shapes of eight taxa are
 * derivable by hand.
 */
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { entropy, meanDepth } from '../../src/analysis/key-bounds.js';
import type { CompiledKey } from '../../src/engine/compile.js';
import { FolderShelf } from '../../src/files/shelf.js';
import { kraftSum } from '../support/kraft.js';
import { open } from '../support/open.js';
import { keyData } from '../support/random-keys.js';

vi.setConfig({ testTimeout: 120_000 });

/** For every end, the numbers of leads of the couplets on the way, and every couplet, as often as ways lead there. */
function paths(key: CompiledKey): number[][] {
  const found: number[][] = [];
  const walk = (couplet: number, way: readonly number[]) => {
    const leads = key.couplets[couplet]?.leads ?? [];
    for (const lead of leads) {
      const path = [...way, leads.length];
      if (lead.next >= 0) walk(lead.next, path);
      else found.push(path);
    }
  };
  walk(key.start, []);
  return found;
}
const depths = (key: CompiledKey) =>
  paths(key)
    .map((p) => p.length)
    .sort((a, b) => a - b);
const reachedCouplets = (key: CompiledKey) => {
  const seen = new Set([key.start]);
  for (const couplet of key.couplets)
    if (seen.has(couplet.index)) for (const lead of couplet.leads) if (lead.next >= 0) seen.add(lead.next);
  return [...seen].map((i) => key.couplets[i]);
};

/** A key to eight taxa: `goesOn(couplet, lead)` is the couplet a lead goes on to, or undefined at an end. */
function eightTaxa(
  couplets: number,
  goesOn: (couplet: number, lead: number) => number | undefined,
): CompiledKey {
  let taxa = 0;
  return open({
    keywright: 1,
    id: 'eight',
    title: 'Eight taxa',
    version: '1',
    couplets: Object.fromEntries(
      Array.from({ length: couplets }, (_, i) => [
        String(i + 1),
        [0, 1].map((lead) => {
          const to = goesOn(i + 1, lead);
          return { lead: 'L', ...(to === undefined ? { taxon: `t${++taxa}` } : { to: String(to) }) };
        }),
      ]),
    ),
    taxa: Object.fromEntries(Array.from({ length: 8 }, (_, i) => [`t${i + 1}`, { name: `T${i + 1}` }])),
  });
}

describe('a key to eight taxa', () => {
  it('that splits evenly has 7 couplets, every depth 3, which is its entropy', () => {
    const even = eightTaxa(7, (couplet, lead) => (2 * couplet + lead <= 7 ? 2 * couplet + lead : undefined));
    expect(even.couplets).toHaveLength(7);
    expect(depths(even)).toEqual(new Array(8).fill(3));
    expect(meanDepth(depths(even))).toBe(entropy(new Array(8).fill(1)));
    expect(kraftSum(paths(even))).toBe(1);
  });

  it('that names one taxon a couplet has depths 1 to 7 and 7, mean 35/8', () => {
    const ladder = eightTaxa(7, (couplet, lead) => (lead === 1 && couplet < 7 ? couplet + 1 : undefined));
    expect(ladder.couplets).toHaveLength(7);
    expect(depths(ladder)).toEqual([1, 2, 3, 4, 5, 6, 7, 7]);
    expect(meanDepth(depths(ladder))).toBe(35 / 8);
    expect(kraftSum(paths(ladder))).toBe(1);
  });
});

describe('any key that is a tree', () => {
  it('has as many leads to spare as ends but one, and a Kraft sum of 1', () => {
    fc.assert(
      fc.property(keyData(8, 'tree'), (data) => {
        const key = open(data);
        const spare = reachedCouplets(key).reduce((sum, c) => sum + (c?.leads.length ?? 0) - 1, 0);
        expect(spare).toBe(paths(key).length - 1);
        expect(kraftSum(paths(key))).toBeCloseTo(1, 12);
      }),
      { numRuns: 200 },
    );
  });

  it('so has any key at all, counting each way to an end', () => {
    fc.assert(
      fc.property(keyData(7, 'reticulate'), (data) => {
        expect(kraftSum(paths(open(data)))).toBeCloseTo(1, 12);
      }),
      { numRuns: 200 },
    );
  });

  it.each(['gill-genera', 'tarn-wood-tufts', 'plantation-conifers'])('so has %s, as it ships', (id) => {
    const text = readFileSync(`keys/${id}.key.yaml`, 'utf8');
    const shelf = new FolderShelf(process.cwd());
    const key = open(text, {
      key: (reference) => shelf.key(reference, `keys/${id}.key.yaml`),
      terms: (reference) => shelf.terms(reference, `keys/${id}.key.yaml`),
    });
    expect(kraftSum(paths(key))).toBeCloseTo(1, 12);
  });
});
