import { describe, expect, it } from 'vitest';
import {
  costToFinish,
  decisivePairsOf,
  pairsOf,
  type StateFrequencies,
  separationOf,
} from '../../src/analysis/separation.js';

/** Taxa that show the first state only, the second only, or both. */
const parted = (first: number, second: number, both = 0): StateFrequencies[] => [
  { shares: [1, 0], taxa: first, harmful: 0 },
  { shares: [0, 1], taxa: second, harmful: 0 },
  ...(both === 0 ? [] : [{ shares: [0.5, 0.5], taxa: both, harmful: 0 }]),
];

describe('what a character would settle (worked numbers of the theory of keys, derivable)', () => {
  it('E14: twelve taxa parted 6/6, 4/8, 3/9, 1/11', () => {
    const splits = [6, 4, 3, 1].map((n) => separationOf(parted(n, 12 - n)));
    expect(splits.map((s) => s.information.toFixed(4))).toEqual(['1.0000', '0.9183', '0.8113', '0.4138']);
    expect(splits.map((s) => s.pairs)).toEqual([36, 32, 27, 11]);
  });

  it('E15: twelve taxa, of which three vary', () => {
    const s = separationOf(parted(5, 4, 3));
    expect([s.pairs, pairsOf(12)]).toEqual([20, 66]);
    expect(s.information.toFixed(4)).toBe('0.7450');
    expect(s.expectedLeft.toFixed(3)).toBe('7.542');
  });

  it('E16: information per cost and cost to finish disagree', () => {
    const [a, b] = [separationOf(parted(1, 11)), separationOf(parted(6, 6))];
    expect([a.information / 1, b.information / 3].map((n) => n.toFixed(3))).toEqual(['0.414', '0.333']);
    expect([costToFinish(1, a, 4), costToFinish(3, b, 4)].map((n) => n.toFixed(2))).toEqual([
      '13.68',
      '13.34',
    ]);
  });

  it('E17: a spore print of four hours against a look at the cap', () => {
    const minutes = [
      costToFinish(240, separationOf(parted(6, 6)), 2),
      costToFinish(1, separationOf(parted(3, 9)), 2),
    ];
    expect([minutes[0]?.toFixed(1), minutes[1]?.toFixed(2)]).toEqual(['245.2', '6.55']);
  });

  it('2.7: of six candidates, four harmful, 8 of 15 pairs can change the verdict', () => {
    expect([decisivePairsOf(4, 2), pairsOf(6)]).toEqual([8, 15]);
    const s = separationOf([
      { shares: [1, 0], taxa: 4, harmful: 4 },
      { shares: [0, 1], taxa: 2, harmful: 0 },
    ]);
    expect([s.decisivePairs, s.pairs]).toEqual([8, 8]);
  });

  it('nothing to tell: one taxon, or all alike', () => {
    expect(separationOf([{ shares: [0.5, 0.5], taxa: 3, harmful: 1 }])).toMatchObject({
      pairs: 0,
      information: 0,
      expectedLeft: 3,
    });
    expect(separationOf([]).information).toBe(0);
  });
});
