/** Numbers worked out by hand or script in the theory of keys; where a study gives the figure it starts from, it is named. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  entropy,
  huffmanDepths,
  ladderMean,
  leastDepth,
  leastDepthSum,
  meanDepth,
} from '../../src/analysis/key-bounds.js';
import { coverage, MEASURED_RELIABILITY } from '../../src/analysis/reliability.js';
import { kraftSum } from '../support/kraft.js';

const same = (error: number, times: number) => new Array<number>(times).fill(error);

describe('how far a name can be trusted', () => {
  it('79 % of characters read right (Wäldchen et al. 2022, People and Nature 4: 1603-1615), at depth 3 to 10', () => {
    expect(MEASURED_RELIABILITY).toBe(0.79);
    expect([3, 5, 7, 10].map((d) => coverage(same(1 - MEASURED_RELIABILITY, d), 0).toFixed(4))).toEqual([
      '0.4930',
      '0.3077',
      '0.1920',
      '0.0947',
    ]);
  });

  it('E12: what ends within one and two wrong turns hold (derivable)', () => {
    const errors = same(0.1, 8);
    expect([0, 1, 2].map((m) => coverage(errors, m).toFixed(4))).toEqual(['0.4305', '0.8131', '0.9619']);
  });

  it('chances of wrong answers sum to one, whatever the errors', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 12 }), (errors) => {
        expect(coverage(errors, 0)).toBeCloseTo(
          errors.reduce((right, e) => right * (1 - e), 1),
          12,
        );
        expect(coverage(errors, errors.length)).toBeCloseTo(1, 9);
      }),
    );
  });
});

describe('what any key must need at least', () => {
  it('E1, E2: eight taxa in an even key and in a ladder (derivable)', () => {
    const even = same(3, 8);
    expect([meanDepth(even), entropy(same(1, 8))]).toEqual([3, 3]);
    expect([meanDepth([1, 2, 3, 4, 5, 6, 7, 7]), ladderMean(8)]).toEqual([4.375, 4.375]);
  });

  it('E3: the least sums of depths (derivable)', () => {
    expect([10, 12, 20, 37, 100].map(leastDepthSum)).toEqual([34, 44, 88, 195, 672]);
    expect(entropy(same(1, 10)).toFixed(4)).toBe('3.3219');
    expect([leastDepth(10), ladderMean(100)]).toEqual([4, 50.49]);
    expect([leastDepth(60, 3), leastDepth(1), leastDepth(2)]).toEqual([4, 0, 1]);
  });

  it('E4-E6: entropy and the best means (Shannon 1948, Huffman 1952)', () => {
    const mean = (p: number[]) => meanDepth(huffmanDepths(p), p);
    expect([entropy([0.5, 0.25, 0.125, 0.125]), mean([0.5, 0.25, 0.125, 0.125])]).toEqual([1.75, 1.75]);
    expect(entropy([0.4, 0.3, 0.2, 0.1]).toFixed(4)).toBe('1.8464');
    expect(mean([0.4, 0.3, 0.2, 0.1]).toFixed(2)).toBe('1.90');
    const common = [0.6, ...same(0.05, 8)];
    expect(entropy(common).toFixed(4)).toBe('2.1710');
    expect(mean(common).toFixed(2)).toBe('2.20');
    expect(huffmanDepths(common)).toEqual([1, ...same(4, 8)]);
  });

  it('the best depths of equally common taxa sum to E(n), and fill the tree', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 60 }), (n) => {
        const depths = huffmanDepths(same(1, n));
        expect(depths.reduce((a, b) => a + b, 0)).toBe(leastDepthSum(n));
        expect(kraftSum(depths.map((d) => same(2, d)))).toBeCloseTo(1, 12);
        expect(Math.max(...depths)).toBe(leastDepth(n));
      }),
    );
  });
});
