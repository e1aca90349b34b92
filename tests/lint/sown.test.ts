import { describe, expect, it } from 'vitest';
import { lintKey } from '../../src/lint/lint.js';
// @ts-expect-error plain JavaScript that the bench shares
import { generateKey } from '../bench/generate.mjs';
// @ts-expect-error plain JavaScript that the bench shares
import { missed, sowFaults } from '../bench/seeds.mjs';

describe('a sound key with faults in one couplet of a hundred', () => {
  const { text } = generateKey({ couplets: 500, seed: 3 }) as { text: string };

  it('is sound without them', () => {
    expect(lintKey(text, 'k.key.yaml').findings).toEqual([]);
  });

  it.each([1, 2, 3, 4])('has every one of them found (draw %i)', (seed) => {
    const faulty = sowFaults(text, seed) as { text: string; sown: { couplet: string; rule: string }[] };
    expect(faulty.sown).toHaveLength(5);
    const { findings } = lintKey(faulty.text, 'k.key.yaml');
    expect(
      missed(
        faulty.sown,
        findings.map((f) => ({ rule: f.rule, path: f.place.path })),
      ),
    ).toEqual([]);
  });
});
