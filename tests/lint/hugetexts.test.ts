import { expect, test } from 'vitest';
import { keyOf } from './apply.js';
import { lintText } from './marks.js';

const CHARACTERS = `
characters:
  cap: {name: width of the cap, kind: measure, unit: cm}
  ring: {name: ring on the stem, states: [present, absent]}`;

// Built against patterns that look for numbers, statements and names: each must be read in time that grows with the text.
test.each([
  ['digits', '1'.repeat(50_000)],
  ['ranges', '1-'.repeat(25_000)],
  ['brackets', '(1-'.repeat(17_000)],
  ['closed brackets', '('.repeat(25_000) + ')'.repeat(25_000)],
  ['spaces', `Cap 1${' '.repeat(50_000)}x`],
  ['number words', 'twelve '.repeat(7_000)],
  ['comparisons', 'more than '.repeat(5_000)],
  ['hedges', 'more or '.repeat(6_000)],
  ['semicolons', ';'.repeat(50_000)],
  ['commas', 'ring,'.repeat(10_000)],
  ['full stops', 'word. A'.repeat(7_000)],
  ['names', 'Aa '.repeat(17_000)],
  ['without', 'without a '.repeat(5_000)],
  ['words', 'ring absent '.repeat(4_000)],
  ['letters', 'a'.repeat(50_000)],
  ['hyphens', 'a-'.repeat(25_000)],
])('a lead of 50,000 signs (%s) is read in a moment', (_, words) => {
  const text = keyOf([[words, 'when: {cap: "< 4", ring: present}'], 'Other'], CHARACTERS);
  const start = performance.now();
  expect(lintText(text).files).toHaveLength(1);
  expect(performance.now() - start).toBeLessThan(3000);
});
