import type { Character } from '../../traits/character.js';
import { fromBase, toBase } from '../../traits/units.js';
import { type Bits, members } from './bits.js';
import type { Facet } from './facts.js';

/** More cuts of one character than this are hardly ever needed to find a good one. */
const MOST_CUTS = 24;

/**
 * The numbers at which some taxa lie wholly below and some wholly at or above. Between two neighbouring ranges the
 * number with the fewest digits is taken, so that a lead says "under 5 cm" and not "under 4.85 cm".
 */
export function cutsOf(facet: Facet, taxa: Bits, most = MOST_CUTS): number[] {
  const all = members(taxa);
  const highs = [...new Set(all.map((t) => facet.high[t] as number))]
    .filter(Number.isFinite)
    .sort((a, b) => a - b);
  const lows = [...new Set(all.map((t) => facet.low[t] as number))]
    .filter(Number.isFinite)
    .sort((a, b) => a - b);
  const cuts: number[] = [];
  let next = 0;
  for (const high of highs) {
    // An open end (`> 5`) may touch the closed one before it; the exact sides are judged by the caller.
    while (next < lows.length && (lows[next] as number) <= high) next++;
    const low = lows[next];
    if (low === undefined) break;
    const cut = plainBetween(facet.character, high, low);
    if (cut !== cuts[cuts.length - 1]) cuts.push(cut);
  }
  if (cuts.length <= most) return cuts;
  const step = (cuts.length - 1) / (most - 1);
  return Array.from({ length: most }, (_, i) => cuts[Math.round(i * step)] as number);
}

/** The plainest number above one and not above another, near the middle between them. */
export function plainBetween(character: Character, above: number, most: number): number {
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
