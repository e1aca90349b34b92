import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bracketed, nested, serial } from './layouts.js';
import { type PlainKey, plainKey, setting } from './printers.js';
import { imported, shapeOfKey, shapeOfPlain } from './structure.js';

// The same three draws each time, so that a run can be trusted; SEED=0 draws others, SEED=n that one, RUNS more of each.
// The first prints of a draw are the smallest, where there is least to tell a layout by: three short draws find more than one long.
const seeds = process.env.SEED === undefined ? [1, 2, 3] : [Number(process.env.SEED) || Date.now()];

/** Holds a property against prints of each draw. */
function draw<T>(property: fc.IProperty<T>): void {
  for (const seed of seeds) fc.assert(property, { numRuns: Number(process.env.RUNS ?? 25), seed });
}

/** Prints a key and holds what is imported against it. */
function comesBack(key: PlainKey, lines: readonly string[]): void {
  const text = `${lines.join('\n')}\n`;
  const { result, keys, problems } = imported(text, { when: false });
  const found = keys.map(shapeOfKey);
  if (JSON.stringify(found) !== JSON.stringify([shapeOfPlain(key)])) {
    expect(
      `${text}\n${found.map((f) => f.join('\n')).join('\n====\n')}\n${result.keys.map((k) => k.layout).join()}`,
    ).toBe(shapeOfPlain(key).join('\n'));
  }
  expect(problems).toEqual([]);
}

/** How deep the leads of a key stand below the first. */
function depth(key: PlainKey, couplet = 0): number {
  const below = (key[couplet] ?? []).map(({ to }) => (typeof to === 'number' ? depth(key, to) : 0));
  return 1 + Math.max(0, ...below);
}

describe('what is printed in a layout is imported with the same couplets and targets', () => {
  for (const second of [
    'letters',
    'capitals',
    'prime',
    'star',
    'same',
    'dash',
    'bracket letters',
    'none',
  ] as const) {
    it(`numbered, further leads: ${second}`, () => {
      draw(
        fc.property(plainKey({ joins: true }), setting, fc.boolean(), (key, at, back) => {
          comesBack(key, bracketed(key, at, second, back));
        }),
      );
    });
  }

  for (const labels of [
    'letters doubled',
    'letters follow',
    'mixed',
    'numbers same',
    'numbers lettered',
    'numbers dash',
  ] as const) {
    it(`each lead followed by what is under it, labels: ${labels}`, () => {
      draw(
        fc.property(plainKey(), setting, fc.constantFrom(2, 3, 4), (key, at, step) => {
          comesBack(key, nested(key, at, labels, step));
        }),
      );
    });
  }

  it('serial numbers', () => {
    draw(
      fc.property(plainKey(), setting, (key, at) => {
        comesBack(key, serial(key, at));
      }),
    );
  });

  it('indents alone', () => {
    draw(
      fc.property(plainKey(), setting, fc.constantFrom(2, 3, 4), (key, at, step) => {
        // Without labels a printer leaves room for a phrase; one word a line cannot be told from a deeper branch.
        const room = at.width - (at.end === 'column' ? 26 : 0) - 8 - step * depth(key);
        fc.pre(room >= 24);
        comesBack(key, nested(key, { ...at, hang: 8, blank: 'none' }, 'none', step));
      }),
    );
  });
});
