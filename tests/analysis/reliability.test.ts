/** Numbers worked out by hand or script in the theory of keys; where a study gives the figure it starts from, it is named. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  coupletsFor,
  entropy,
  huffmanDepths,
  kraftSum,
  ladderDepths,
  ladderMean,
  leastDepth,
  leastDepthSum,
  leastDepthSumSplitting,
  meanDepth,
  meanRight,
} from '../../src/analysis/key-bounds.js';
import {
  allRight,
  chanceOfAnother,
  coverage,
  depthAllowed,
  endsWithin,
  errorAllowed,
  followingAll,
  harmThreshold,
  MEASURED_RELIABILITY,
  rightAtDepth,
  rightWhenAgreed,
  wrongAnswers,
} from '../../src/analysis/reliability.js';

const same = (error: number, times: number) => new Array<number>(times).fill(error);
const dichotomies = (depths: readonly number[]) => depths.map((d) => same(2, d));

describe('how far a name can be trusted', () => {
  it('E7: one error in twenty couplets (derivable)', () => {
    expect([5, 10, 15].map((d) => rightAtDepth(d, 0.05).toFixed(4))).toEqual(['0.7738', '0.5987', '0.4633']);
  });

  it('E8: 79 % of characters read right (Wäldchen et al. 2022, People and Nature 4: 1603-1615)', () => {
    expect(MEASURED_RELIABILITY).toBe(0.79);
    expect([3, 5, 7, 10].map((d) => rightAtDepth(d, 1 - MEASURED_RELIABILITY).toFixed(4))).toEqual([
      '0.4930',
      '0.3077',
      '0.1920',
      '0.0947',
    ]);
  });

  it('E9: what a wanted reliability allows (derivable)', () => {
    expect(errorAllowed(0.95, 8).toFixed(5)).toBe('0.00639');
    expect(depthAllowed(0.9, 0.02).toFixed(1)).toBe('5.2');
    expect(rightAtDepth(5, 0.02)).toBeGreaterThan(0.9);
    expect(rightAtDepth(6, 0.02)).toBeLessThan(0.9);
  });

  it('E10: 5.9 % wrong species names (Scott & Hallam 2002, Plant Ecology 165: 101-115) at depth 6', () => {
    expect(errorAllowed(1 - 0.059, 6).toFixed(4)).toBe('0.0101');
  });

  it('E11: an even key is right more often than a ladder (after Osborne 1963, New Phytologist 62: 144-160)', () => {
    expect(meanRight(same(3, 8), 0.1).toFixed(4)).toBe('0.7290');
    expect(meanRight(ladderDepths(8), 0.1).toFixed(4)).toBe('0.6467');
  });

  it('E12: what ends within one and two wrong turns hold (derivable)', () => {
    const errors = same(0.1, 8);
    expect([0, 1, 2].map((m) => coverage(errors, m).toFixed(4))).toEqual(['0.4305', '0.8131', '0.9619']);
    expect([0, 1, 2].map((m) => endsWithin(8, m))).toEqual([1, 9, 37]);
  });

  it('E13: following both leads at two doubtful couplets (derivable)', () => {
    expect(allRight([...same(0.1, 4), 0.3, 0.3]).toFixed(4)).toBe('0.3215');
    const both = followingAll(same(0.1, 4), [2, 2]);
    expect([both.right.toFixed(4), both.ends]).toEqual(['0.6561', 4]);
  });

  it('E20: an unnoticed other species among many caps (derivable)', () => {
    expect(chanceOfAnother(30, 0.01).toFixed(4)).toBe('0.2603');
    expect(chanceOfAnother(100, 0.01).toFixed(4)).toBe('0.6340');
  });

  it('agreement of two independent determinations, and the threshold of harm (derivable)', () => {
    // With one wrong name, a = 0.9: 0.81 / (0.81 + 0.01).
    expect(rightWhenAgreed(0.9, 1)).toBeCloseTo(0.81 / 0.82, 12);
    expect(rightWhenAgreed(0.9, 10)).toBeGreaterThan(rightWhenAgreed(0.9, 1));
    expect(harmThreshold(1, 100_000)).toBeCloseTo(0.00001, 15);
  });

  it('chances of wrong answers sum to one, whatever the errors', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 12 }), (errors) => {
        const chances = wrongAnswers(errors);
        expect(chances.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 9);
        expect(chances[0]).toBeCloseTo(allRight(errors), 12);
        expect(coverage(errors, errors.length)).toBeCloseTo(1, 9);
      }),
    );
  });
});

describe('what any key must need at least', () => {
  it('E1, E2: eight taxa in an even key and in a ladder (derivable)', () => {
    const even = same(3, 8);
    expect(kraftSum([[3], [3], [3, 2], [3, 2]])).toBeCloseTo(1, 12);
    expect([
      coupletsFor(8).couplets,
      meanDepth(even),
      entropy(same(1, 8)),
      kraftSum(dichotomies(even)),
    ]).toEqual([7, 3, 3, 1]);
    expect(ladderDepths(8)).toEqual([1, 2, 3, 4, 5, 6, 7, 7]);
    expect([meanDepth(ladderDepths(8)), ladderMean(8), kraftSum(dichotomies(ladderDepths(8)))]).toEqual([
      4.375, 4.375, 1,
    ]);
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
        expect(kraftSum(dichotomies(depths))).toBeCloseTo(1, 12);
        expect(Math.max(...depths)).toBe(leastDepth(n));
        expect(leastDepthSumSplitting(n, n)).toBe(leastDepthSum(n));
      }),
    );
  });

  it('E18: 37 ends with three trichotomies (derivable)', () => {
    expect(coupletsFor(37, [3, 3, 3])).toEqual({ dichotomies: 30, couplets: 33 });
  });

  it('E19: splits of one to three taxa only (after Hyafil & Rivest 1976)', () => {
    expect([2, 3, 4, 5, 6, 7, 8, 9, 10, 12].map((n) => leastDepthSumSplitting(n, 3))).toEqual([
      2, 5, 8, 12, 16, 20, 25, 30, 35, 47,
    ]);
    expect(leastDepthSum(8)).toBe(24);
  });
});
