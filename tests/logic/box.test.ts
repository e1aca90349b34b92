/** Regions against every point of a grid: what a region holds, point by point, is what set arithmetic says. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Box, Budget, EVERYTHING, type Region, Space } from '../../src/traits/box.js';
import type { Check } from '../../src/traits/check.js';
import type { Facet } from '../../src/traits/facet.js';
import { sampleOf } from '../../src/traits/sample.js';
import { stateIndices } from '../../src/traits/state-set.js';
import { open } from '../support/open.js';
import type { KeyData, When } from '../support/random-keys.js';
import { characterSets, conditions } from './draw.js';
import { type Plain, type PlainCharacter, plainCharacters, plainWhen } from './plain.js';
import { fits, inBox, inRegion, type Point, pointsOf } from './points.js';

// Numbers go to 4 (counts) and 2 (measures, in halves): quarters meet each end and each stretch between, and 5 lies
// beyond them all.
const MOST = { units: [''], most: 4, states: 3 };
const NUMBERS = [-1, -0.25, ...Array.from({ length: 10 }, (_, i) => i / 4), 3, 4, 5];

interface Case {
  readonly space: Space;
  readonly points: readonly Point[];
  readonly plain: readonly PlainCharacter[];
  readonly checks: readonly Check[];
  readonly whens: readonly Plain[];
}

/** A space with some conditions, once as the program reads them and once as the author's data say. */
const cases: fc.Arbitrary<Case> = characterSets(MOST)
  .chain((characters) =>
    fc.tuple(fc.constant(characters), fc.array(conditions(characters, MOST), { minLength: 3, maxLength: 3 })),
  )
  .map(([characters, whens]) => caseOf(characters, whens));

function caseOf(characters: KeyData['characters'], whens: readonly When[]): Case {
  const key: KeyData = {
    keywright: 1,
    id: 'grid',
    title: 'Grid',
    version: '1',
    characters,
    couplets: { 1: whens.map((when, i) => ({ lead: `lead ${i}`, when, taxon: 't' })) },
    taxa: { t: { name: 'Genus t' } },
  };
  const compiled = open(key);
  const plain = plainCharacters(key);
  return {
    space: new Space(compiled.characters),
    points: pointsOf(plain, NUMBERS),
    plain: [...plain.values()],
    checks: (compiled.couplets[0] as (typeof compiled.couplets)[number]).leads.map((l) => l.check as Check),
    whens: whens.map((w) => plainWhen(w, plain)),
  };
}

const budget = () => new Budget(10_000_000);

const fitting = (c: Case, i: number, p: Point) => fits(c.whens[i] as Plain, p);
const regionOf = (c: Case, i: number, yes = true) => c.space.region(c.checks[i] as Check, yes, budget());

/** A region holds just the points for which something is true. */
function expectHolds(c: Case, region: Region, just: (p: Point) => boolean): void {
  const wrong = c.points.filter((p) => inRegion(region, p, c.plain) !== just(p));
  expect(wrong.slice(0, 3)).toEqual([]);
}

/** A box without an empty facet must hold a find: no region may list a box of nothing. */
function expectNoEmptyBox(c: Case, region: Region): void {
  for (const box of region) expect(c.points.some((p) => inBox(box, p, c.plain))).toBe(true);
}

function hold(property: (c: Case) => void, numRuns = 200): void {
  fc.assert(fc.property(cases, property), { numRuns });
}

describe('a region', () => {
  it('holds just the finds that fit, or do not fit, a condition', () => {
    hold((c) => {
      c.whens.forEach((_, i) => {
        for (const yes of [true, false]) {
          const region = regionOf(c, i, yes);
          expectHolds(c, region, (p) => fitting(c, i, p) === yes);
          expectNoEmptyBox(c, region);
        }
      });
    });
  });

  it('meets, joins and subtracts as sets do', () => {
    hold((c) => {
      const [a, b, d] = [regionOf(c, 0), regionOf(c, 1), regionOf(c, 2)];
      const inBoth = (p: Point) => fitting(c, 0, p) && fitting(c, 1, p);
      const inAny = (p: Point) => [0, 1, 2].some((i) => fitting(c, i, p));
      const meet = c.space.meet(a, b, budget());
      const join = c.space.join([a, b, d], budget());
      const minus = c.space.minus(join, meet, budget());
      expectHolds(c, meet, inBoth);
      expectHolds(c, join, inAny);
      expectHolds(c, minus, (p) => inAny(p) && !inBoth(p));
      expectHolds(c, c.space.minus([EVERYTHING], join, budget()), (p) => !inAny(p));
      for (const region of [meet, join, minus]) expectNoEmptyBox(c, region);
      expect(c.space.minus(minus, minus, budget())).toEqual([]);
    });
  });

  it('holds the finds on which a character exists', () => {
    hold((c) => {
      c.plain.forEach((character, i) => {
        expectHolds(c, c.space.existence(i, budget()), (p) => p.has(character.id));
      });
    }, 50);
  });

  it('seen by some characters alone, holds every find that agrees in them with one of its finds', () => {
    fc.assert(
      fc.property(cases, fc.subarray([0, 1, 2, 3, 4, 5]), (c, seen) => {
        const ids = seen.map((i) => c.plain[i]?.id ?? '');
        const markOf = (p: Point) => JSON.stringify(ids.map((id) => p.get(id) ?? null));
        const marks = new Set(c.points.filter((p) => fitting(c, 0, p)).map(markOf));
        const projected = c.space.project(regionOf(c, 0), new Set(seen), budget());
        expectHolds(c, projected, (p) => marks.has(markOf(p)));
      }),
      { numRuns: 400 },
    );
  });

  it('of known values holds the finds that show them, with what they depend on', () => {
    hold((c) => {
      // Some facets of a region without those they depend on are such values, as in a description.
      for (const box of regionOf(c, 0)) {
        const loose: Box = box.map((facet, i) => (i % 2 === 0 ? undefined : facet));
        const settled = c.space.settle(loose, budget());
        expectHolds(c, settled, (p) => inBox(loose, p, c.plain));
        expectNoEmptyBox(c, settled);
      }
    }, 100);
  });

  it('gives a find of a box that lies in the box', () => {
    hold((c) => {
      for (const box of [...regionOf(c, 0), ...regionOf(c, 1, false)]) {
        const sample = sampleOf(box, c.space);
        expect([...sample.keys()]).toEqual(box.flatMap((facet, i) => (facet === undefined ? [] : [i])));
        for (const [i, value] of sample) {
          const point = new Map<string, string | number>();
          const id = c.plain[i]?.id ?? '';
          if (value.kind === 'states') {
            const [only, ...others] = stateIndices(value.set);
            expect(others).toEqual([]);
            point.set(id, c.plain[i]?.states[only as number] ?? '');
          } else if (value.kind === 'numbers') {
            const [only] = value.set.intervals;
            expect(only?.high).toBe(only?.low);
            point.set(id, only?.low ?? Number.NaN);
          }
          const own: (Facet | undefined)[] = [];
          own[i] = box[i];
          expect(inBox(own, point, c.plain)).toBe(true);
        }
      }
    });
  });
});
