import { type Character, numbersOf } from '../traits/character.js';
import { type Value, writeValue } from '../traits/value.js';

/**
 * A value so that it reads back as the same. `< 12` was bounded by the limits of its character when it was read, and
 * that bound is left out again.
 */
export function writtenValue(character: Character, value: Value | undefined): string {
  if (value?.kind !== 'numbers') return writeValue(character, value);
  const limits = numbersOf(character).intervals;
  const [least, most] = [limits[0]?.low, limits[limits.length - 1]?.high];
  const last = value.set.intervals.length - 1;
  const intervals = value.set.intervals.map((i, n) => {
    if (n === 0 && i.highOpen && !i.lowOpen && i.low === least)
      return { ...i, low: -Infinity, lowOpen: true };
    if (n === last && i.lowOpen && !i.highOpen && i.high === most)
      return { ...i, high: Infinity, highOpen: true };
    return i;
  });
  return writeValue(character, { ...value, set: { ...value.set, intervals } });
}
