import { type Character, numbersOf } from '../traits/character.js';
import { fromBase } from '../traits/units.js';
import { type Value, writeValue } from '../traits/value.js';

/**
 * A value so that it reads back as the same. `< 12` was bounded by the limits of its character when it was read, and
 * that bound is left out again.
 */
export function writtenValue(character: Character, value: Value | undefined): string {
  const text = writeValue(character, value);
  if (value?.kind !== 'numbers') return text;
  const [only, ...more] = value.set.intervals;
  if (only === undefined || more.length > 0 || only.lowOpen === only.highOpen) return text;
  const limits = numbersOf(character).intervals;
  const unit = character.unit.id === '1' ? '' : ` ${character.unit.id}`;
  const tail = value.partly ? ' | -' : '';
  if (only.highOpen && only.low === limits[0]?.low)
    return `< ${fromBase(only.high, character.unit)}${unit}${tail}`;
  if (only.lowOpen && only.high === limits[limits.length - 1]?.high && Number.isFinite(only.high))
    return `> ${fromBase(only.low, character.unit)}${unit}${tail}`;
  return text;
}
