import type { Character } from '../../traits/character.js';
import { fromBase, toBase } from '../../traits/units.js';
import { type Bits, hasBit } from './bits.js';
import type { CharacterFacts } from './facts.js';

/** More cuts of one character than this are hardly ever needed to find a good one. */
const MOST_CUTS = 16;

/**
 * The numbers at which some taxa lie wholly below and some wholly at or above. Between two neighbouring ranges the
 * number with the fewest digits is taken, so that a lead says "under 5 cm" and not "under 4.85 cm".
 */
export function cutsOf(facet: CharacterFacts, taxa: Bits, most = MOST_CUTS): number[] {
  const { low, high, byHigh, byLow } = facet;
  const gaps: [number, number][] = [];
  let next = 0;
  let last = -Infinity;
  for (const t of byHigh) {
    const above = high[t] as number;
    if (above === last || !hasBit(taxa, t)) continue;
    last = above;
    // The first taxon that lies wholly above.
    while (
      next < byLow.length &&
      ((low[byLow[next] as number] as number) <= above || !hasBit(taxa, byLow[next] as number))
    )
      next++;
    if (next === byLow.length) break;
    const below = low[byLow[next] as number] as number;
    const before = gaps[gaps.length - 1];
    // Several that end below the same one are separated from it by the highest of them.
    if (before?.[1] === below) before[0] = above;
    else gaps.push([above, below]);
  }
  const some =
    gaps.length <= most
      ? gaps
      : Array.from(
          { length: most },
          (_, i) => gaps[Math.round((i * (gaps.length - 1)) / (most - 1))] as [number, number],
        );
  return some.map(([above, below]) => cutBetween(facet, above, below));
}

/** The plainest number above one and not above another; each is worked out once. */
export function cutBetween({ character, cuts }: CharacterFacts, above: number, most: number): number {
  let known = cuts.get(above);
  if (known === undefined) {
    known = new Map();
    cuts.set(above, known);
  }
  let cut = known.get(most);
  if (cut === undefined) {
    cut = plainBetween(character, above, most);
    known.set(most, cut);
  }
  return cut;
}

/** Near the middle between them. */
function plainBetween(character: Character, above: number, most: number): number {
  if (character.kind === 'count') return Math.ceil((above + 1 + most) / 2);
  const { unit } = character;
  const [low, high] = [Number(fromBase(above, unit)), Number(fromBase(most, unit))];
  const middle = (low + high) / 2;
  for (let digits = -6; digits <= 9; digits++) {
    const step = 10 ** -digits;
    for (const rounded of [Math.round(middle / step), Math.floor(high / step)]) {
      const cut = toBase((rounded * step).toFixed(Math.max(0, digits)), unit);
      if (cut !== undefined && cut > above && cut <= most) return cut;
    }
  }
  return most;
}
