/** Finds one by one: every point of a grid that meets each stretch of the drawn numbers, each end, and each gap. */
import type { Box, Region } from '../../src/traits/box.js';
import type { Facet } from '../../src/traits/facet.js';
import { type Plain, type PlainCharacter, SCALE, type Stretch } from './plain.js';

/** What one find shows of each character; a character that does not exist on it is missing. */
export type Point = ReadonlyMap<string, string | number>;

/** Every find on the grid, by what the author's data say can exist. */
export function pointsOf(
  characters: ReadonlyMap<string, PlainCharacter>,
  numbers: readonly number[],
): Point[] {
  let points: Point[] = [new Map()];
  for (const character of characters.values()) {
    points = points.flatMap((point) => {
      if (character.applies !== undefined && !fits(character.applies, point)) return [point];
      const values =
        character.kind === 'choice'
          ? character.states
          : numbers.filter(
              (n) => (character.kind === 'measure' || Number.isInteger(n)) && within(n, character.limits),
            );
      return values.map((value) => new Map(point).set(character.id, value));
    });
  }
  return points;
}

/** Whether a find fits a condition. */
export function fits(plain: Plain, point: Point): boolean {
  if (plain.op === 'not') return !fits(plain.part, point);
  if (plain.op === 'all') return plain.parts.every((p) => fits(p, point));
  if (plain.op === 'any') return plain.parts.some((p) => fits(p, point));
  const value = point.get(plain.character);
  return value !== undefined && valueFits(plain, value);
}

/** Whether a value of its character passes a test. */
export function valueFits(test: Plain, value: string | number): boolean {
  if (test.op !== 'states' && test.op !== 'numbers') throw new TypeError('a test was expected');
  const inside =
    test.op === 'states' ? test.states.includes(value as string) : within(value as number, test.stretches);
  return inside !== test.except;
}

function within(n: number, all: readonly Stretch[]): boolean {
  const at = BigInt(Math.round(n * 1e6)) * (SCALE / 1_000_000n);
  return all.some(
    ({ low, high }) =>
      (low === undefined || at > low.at || (at === low.at && !low.open)) &&
      (high === undefined || at < high.at || (at === high.at && !high.open)),
  );
}

/** Whether a find lies in a box, read from the box's own fields. Measures must be without unit. */
export function inBox(box: Box, point: Point, characters: readonly PlainCharacter[]): boolean {
  return box.every((facet, i) => facet === undefined || inFacet(facet, point, characters[i]));
}

export function inRegion(region: Region, point: Point, characters: readonly PlainCharacter[]): boolean {
  return region.some((box) => inBox(box, point, characters));
}

function inFacet(facet: Facet, point: Point, character: PlainCharacter | undefined): boolean {
  if (character === undefined) return false;
  const value = point.get(character.id);
  if (value === undefined) return facet.na;
  if (facet.kind === 'states')
    return ((facet.set[0] ?? 0) & (1 << character.states.indexOf(value as string))) !== 0;
  const n = value as number;
  return facet.set.intervals.some(
    ({ low, high, lowOpen, highOpen }) => (lowOpen ? n > low : n >= low) && (highOpen ? n < high : n <= high),
  );
}
