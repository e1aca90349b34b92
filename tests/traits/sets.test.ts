import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import {
  everyNumber,
  type Interval,
  joinNumbers,
  meetNumbers,
  minusNumbers,
  type NumberSet,
  noNumbers,
  numberSet,
  numbersApart,
  numbersWithin,
  otherNumbers,
} from '../../src/traits/number-set.js';
import {
  hasState,
  joinStates,
  meetStates,
  minusStates,
  noStates,
  otherStates,
  stateIndices,
  stateSet,
  statesApart,
  statesWithin,
} from '../../src/traits/state-set.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

// The ends of the random intervals lie on whole and half numbers from -3 to 3, so that the quarters from -4 to 4 meet
// every interval, every end and every gap; what is true of all of them is true of all numbers.
const GRID = Array.from({ length: 8 * 4 + 1 }, (_, i) => (i - 16) / 4);
const points = (whole: boolean) => (whole ? GRID.filter(Number.isInteger) : GRID);

const inInterval = (n: number, i: Interval) =>
  (i.lowOpen ? n > i.low : n >= i.low) && (i.highOpen ? n < i.high : n <= i.high);
const inSet = (n: number, set: NumberSet) => set.intervals.some((i) => inInterval(n, i));
const members = (set: NumberSet) => points(set.whole).filter((n) => inSet(n, set));

const end = fc.integer({ min: -6, max: 6 }).map((n) => n / 2);
const interval: fc.Arbitrary<Interval> = fc
  .record({
    low: fc.oneof({ arbitrary: end, weight: 6 }, { arbitrary: fc.constant(-Infinity), weight: 1 }),
    high: fc.oneof({ arbitrary: end, weight: 6 }, { arbitrary: fc.constant(Infinity), weight: 1 }),
    lowOpen: fc.boolean(),
    highOpen: fc.boolean(),
  })
  .map((i) => ({
    ...i,
    lowOpen: i.lowOpen || i.low === -Infinity,
    highOpen: i.highOpen || i.high === Infinity,
  }));
const intervals = fc.array(interval, { maxLength: 4 });

for (const whole of [false, true]) {
  describe(`sets of ${whole ? 'whole ' : ''}numbers against their members one by one`, () => {
    const runs = { numRuns: 3000 };
    const set = intervals.map((list) => numberSet(list, whole));
    const pair = fc.tuple(set, set);
    const all = points(whole);

    it('hold what their intervals hold', () => {
      fc.assert(
        fc.property(intervals, (list) => {
          const made = numberSet(list, whole);
          expect(members(made)).toEqual(all.filter((n) => list.some((i) => inInterval(n, i))));
          // Ascending, apart, with a gap between neighbours, and closed or infinite ends when whole.
          made.intervals.forEach((i, at) => {
            expect(i.low < i.high || (i.low === i.high && !i.lowOpen && !i.highOpen)).toBe(true);
            const before = made.intervals[at - 1];
            if (before !== undefined) {
              if (whole) expect(i.low).toBeGreaterThan(before.high + 1);
              else
                expect(before.high < i.low || (before.high === i.low && before.highOpen && i.lowOpen)).toBe(
                  true,
                );
            }
            if (whole) {
              expect(i.lowOpen).toBe(i.low === -Infinity);
              expect(i.highOpen).toBe(i.high === Infinity);
              for (const n of [i.low, i.high]) expect(Number.isInteger(n) || !Number.isFinite(n)).toBe(true);
            }
          });
        }),
        runs,
      );
    });

    it('meet, join, differ and turn round', () => {
      fc.assert(
        fc.property(pair, ([a, b]) => {
          expect(members(meetNumbers(a, b))).toEqual(all.filter((n) => inSet(n, a) && inSet(n, b)));
          expect(members(joinNumbers(a, b))).toEqual(all.filter((n) => inSet(n, a) || inSet(n, b)));
          expect(members(minusNumbers(a, b))).toEqual(all.filter((n) => inSet(n, a) && !inSet(n, b)));
          expect(members(otherNumbers(a))).toEqual(all.filter((n) => !inSet(n, a)));
          expect(otherNumbers(otherNumbers(a))).toEqual(a);
          expect(joinNumbers(a, otherNumbers(a))).toEqual(everyNumber(whole));
          expect(noNumbers(meetNumbers(a, otherNumbers(a)))).toBe(true);
        }),
        runs,
      );
    });

    it('lie within or apart', () => {
      fc.assert(
        fc.property(pair, ([a, b]) => {
          // Beyond the grid both are what they are at its ends, so the grid decides.
          expect(numbersWithin(a, b)).toBe(all.every((n) => !inSet(n, a) || inSet(n, b)));
          expect(numbersApart(a, b)).toBe(!all.some((n) => inSet(n, a) && inSet(n, b)));
          expect(noNumbers(a)).toBe(!all.some((n) => inSet(n, a)));
        }),
        runs,
      );
    });
  });
}

describe('sets of states against plain sets of numbers', () => {
  // More than 64 states, so that three words are in use.
  const MOST = 70;
  const chosen = fc.uniqueArray(fc.integer({ min: 0, max: MOST - 1 }), { maxLength: MOST });
  const ascending = (numbers: Iterable<number>) => [...numbers].sort((x, y) => x - y);

  it('meet, join, differ, turn round, lie within and apart', () => {
    fc.assert(
      fc.property(chosen, chosen, (x, y) => {
        const [a, b] = [stateSet(x, MOST), stateSet(y, MOST)];
        const [p, q] = [new Set(x), new Set(y)];
        expect(stateIndices(a)).toEqual(ascending(p));
        expect(stateIndices(meetStates(a, b))).toEqual(ascending(x.filter((i) => q.has(i))));
        expect(stateIndices(joinStates(a, b))).toEqual(ascending(new Set([...x, ...y])));
        expect(stateIndices(minusStates(a, b))).toEqual(ascending(x.filter((i) => !q.has(i))));
        expect(stateIndices(otherStates(a, MOST))).toEqual(
          Array.from({ length: MOST }, (_, i) => i).filter((i) => !p.has(i)),
        );
        expect(statesWithin(a, b)).toBe(x.every((i) => q.has(i)));
        expect(statesApart(a, b)).toBe(!x.some((i) => q.has(i)));
        expect(noStates(a)).toBe(x.length === 0);
        for (const i of [0, 31, 32, 63, 64, 69]) expect(hasState(a, i)).toBe(p.has(i));
      }),
      { numRuns: 1000 },
    );
  });
});
