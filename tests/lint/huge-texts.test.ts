import { expect, test } from 'vitest';
import { keyOf } from './apply.js';
import { lintText } from './marks.js';

const CHARACTERS = `
characters:
  cap: {name: width of the cap, kind: measure, unit: cm}
  ring: {name: ring on the stem, states: [present, absent]}`;

/** The processor time of linting a key with such a lead, in ms; the least of three, since other work disturbs. */
function cost(words: string): number {
  const text = keyOf([[words, 'when: {cap: "< 4", ring: present}'], 'Other'], CHARACTERS);
  const times = [1, 2, 3].map(() => {
    const before = process.cpuUsage();
    expect(lintText(text).files).toHaveLength(1);
    const { user, system } = process.cpuUsage(before);
    return (user + system) / 1000;
  });
  return Math.min(...times);
}

// Built against patterns that look for numbers, statements and names: four times the text may cost four times as much
// and some more, but not sixteen times. What takes less than a tenth of a second is no matter.
test.each([
  ['digits', '1', 50_000],
  ['ranges', '1-', 25_000],
  ['brackets', '(1-', 17_000],
  ['opening brackets', '(', 50_000],
  ['number words', 'twelve ', 7_000],
  ['comparisons', 'more than ', 5_000],
  ['hedges', 'more or ', 6_000],
  ['semicolons', ';', 50_000],
  ['commas', 'ring,', 10_000],
  ['full stops', 'word. A', 7_000],
  ['names', 'Aa ', 17_000],
  ['without', 'without a ', 5_000],
  ['words', 'ring absent ', 4_000],
  ['letters', 'a', 50_000],
  ['hyphens', 'a-', 25_000],
])('the cost of a lead of many signs (%s) grows with its length', (_, words, times) => {
  const quarter = cost(words.repeat(times / 4));
  expect(cost(words.repeat(times))).toBeLessThan(9 * quarter + 100);
});

test.each([
  ['closed brackets', (n: number) => '('.repeat(n) + ')'.repeat(n)],
  ['spaces', (n: number) => `Cap 1${' '.repeat(2 * n)}x`],
])('the cost of a lead of %s grows with its length', (_, words) => {
  expect(cost(words(25_000))).toBeLessThan(9 * cost(words(6_250)) + 100);
});
