/** The plainest find that lies in a box. */
import type { Box, Space } from './box.js';
import type { Character } from './character.js';
import type { Facet } from './facet.js';
import { closed, type Interval } from './number-set.js';
import { stateIndices, stateSet } from './state-set.js';
import { toBase, type Unit } from './units.js';
import type { Value } from './value.js';

/** One find of a box, for the characters that it limits: the first state, the plainest number. */
export function sampleOf(box: Box, space: Space): Map<number, Value> {
  const sample = new Map<number, Value>();
  box.forEach((facet, character) => {
    if (facet !== undefined)
      sample.set(character, sampleFacet(facet, space.characters[character] as Character));
  });
  return sample;
}

function sampleFacet(facet: Facet, character: Character): Value {
  if (facet.kind === 'states') {
    const [first] = stateIndices(facet.set);
    if (first === undefined) return { kind: 'inapplicable' };
    return { kind: 'states', set: stateSet([first], character.states.length), partly: false };
  }
  const [first] = facet.set.intervals;
  if (first === undefined) return { kind: 'inapplicable' };
  const number = plainNumberIn(first, facet.set.whole, character.unit);
  return {
    kind: 'numbers',
    set: { whole: facet.set.whole, intervals: [closed(number, number)] },
    partly: false,
  };
}

/** The number of an interval with the fewest decimals in the unit, near its middle (or near its one end). */
function plainNumberIn(interval: Interval, whole: boolean, unit: Unit): number {
  const { low, high, lowOpen, highOpen } = interval;
  const inside = (n: number) =>
    (n > low || (n === low && !lowOpen)) && (n < high || (n === high && !highOpen));
  if (low === high) return low;
  const step = 10 ** unit.power * Number(unit.factor);
  const middle =
    Number.isFinite(low) && Number.isFinite(high)
      ? (low + high) / 2
      : Number.isFinite(low)
        ? low + step
        : Number.isFinite(high)
          ? high - step
          : 0;
  if (whole) return Math.round(middle);
  for (let decimals = 0; decimals <= 12; decimals++) {
    const scaled = (middle / step).toFixed(decimals);
    const number = toBase(scaled, unit) ?? Number.NaN;
    if (inside(number)) return number;
  }
  return middle;
}
