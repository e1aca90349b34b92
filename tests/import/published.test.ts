/**
 * Published prints of 1892-1922, which are not part of the project: extracts of books in the public domain in the USA, as
 * Project Gutenberg has them. KEYWRIGHT_PUBLISHED names the folder that holds prints/raw (the texts) and prints/truth (their
 * structure as a careful reader sees it). What was reached is the floor.
 */
import { describe, expect, it } from 'vitest';
import type { Score } from './published/score.js';
import { scoresIn, sumOf, tableOf } from './published/table.js';

const folder = process.env.KEYWRIGHT_PUBLISHED;
const scores: ReadonlyMap<string, Score> =
  (folder === undefined ? undefined : scoresIn(folder)) ?? new Map<string, Score>();
const none = scores.size === 0;
if (none)
  process.stdout.write(
    'published prints are not scored: KEYWRIGHT_PUBLISHED names no folder that has them\n',
  );

describe.skipIf(none)('published prints', () => {
  const sum = sumOf(scores.values());

  it('are read as a careful reader reads them', () => {
    process.stdout.write(`${tableOf(scores)}\n`);
    expect(sum.right / sum.ends).toBeGreaterThanOrEqual(0.985);
    expect(sum.lost / sum.ends).toBeLessThanOrEqual(0.01);
  });

  it('are not misread in silence', () => {
    expect(sum.silent, sum.wrong.filter((w) => w.includes('silent')).join('\n')).toBe(0);
  });

  it('are as sure as they are called', () => {
    const { clear, likely } = sum.sure;
    expect(clear.right / clear.all).toBeGreaterThanOrEqual(0.99);
    expect(likely.right / likely.all).toBeGreaterThanOrEqual(0.95);
    // Most of what is right is called so.
    expect(clear.right).toBeGreaterThan(400);
  });
});
