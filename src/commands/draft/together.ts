import { hasBit, members } from './bits.js';
import { type GrowingPlace, statesLeft } from './candidates.js';
import type { CharacterFacts, Facts } from './facts.js';
import { applies } from './splits.js';

/**
 * Why taxa end together: nothing separates them, or only what is not described of all of them could, or what does settles
 * too few finds, or the key would grow too long, or one misread character would hide harm.
 */
export type WhyTogether = 'alike' | 'gap' | 'few' | 'size' | 'harm';

/** How taxa differ in what can be asked at a place: not at all, only by what some are not described to show, or truly. */
export function differenceAt(facts: Facts, place: GrowingPlace): 'alike' | 'gap' | 'few' {
  let found: 'alike' | 'gap' = 'alike';
  for (const c of facts.facets.keys()) {
    const differs = differenceIn(facts, place, c);
    if (differs === 'few') return differs;
    if (differs === 'gap') found = differs;
  }
  return found;
}

/** The characters by which taxa would differ at a place, were they described of all. */
export function gapsAt(facts: Facts, place: GrowingPlace): number[] {
  return [...facts.facets.keys()].filter((c) => differenceIn(facts, place, c) === 'gap');
}

function differenceIn(facts: Facts, { pieces, taxa }: GrowingPlace, c: number): 'alike' | 'gap' | 'few' {
  const facet = facts.facets[c] as CharacterFacts;
  if (!facet.usable || applies(facts, pieces, c) !== 'yes') return 'alike';
  const shown = (t: number) =>
    facet.shows.length > 0
      ? String((facet.masks[t] as number) & statesLeft(pieces, c))
      : pieces
          .map(
            (p) =>
              `${Math.max(facet.low[t] as number, p.from[c] as number)} ${Math.min(facet.high[t] as number, p.below[c] as number)}`,
          )
          .join();
  const all = members(taxa);
  if (new Set(all.map(shown)).size < 2) return 'alike';
  return new Set(all.filter((t) => !hasBit(facet.silent, t)).map(shown)).size > 1 ? 'few' : 'gap';
}
