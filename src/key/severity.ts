/** The order of concern, worst first, and what follows from it. */
import { type ConcernLevel, concernLevels, type Taxon } from './key.js';

const PLACES = Object.fromEntries(concernLevels.map((level, i) => [level, i])) as Readonly<
  Record<ConcernLevel, number>
>;

/** Concern levels that mean: leave it. */
export function isHarmful(level: ConcernLevel): boolean {
  return level === 'deadly' || level === 'severe' || level === 'upset';
}

/** The place of a taxon in the order of concern: 0 = deadly. */
export function severity(taxon: Pick<Taxon, 'concern'>): number {
  return PLACES[taxon.concern.level];
}

/** The worst recorded concern among some taxa; undefined when there are none. */
export function worstConcern(taxa: Iterable<Pick<Taxon, 'concern'>>): ConcernLevel | undefined {
  let worst: Pick<Taxon, 'concern'> | undefined;
  for (const taxon of taxa) if (worst === undefined || severity(taxon) < severity(worst)) worst = taxon;
  return worst?.concern.level;
}

/** Whether mistaking something for this taxon could do grave harm. */
export function endangers(taxon: Pick<Taxon, 'concern'>): boolean {
  return taxon.concern.level === 'deadly' || taxon.concern.level === 'severe';
}

/**
 * The taxa that are to be named where no more than `most` are, the worst first. One more is named all the same: its name
 * takes no more room than saying that there is one more.
 */
export function worstToName<T extends Pick<Taxon, 'concern'>>(taxa: readonly T[], most: number): T[] {
  const worstFirst = [...taxa].sort((a, b) => severity(a) - severity(b));
  return worstFirst.slice(0, taxa.length === most + 1 ? taxa.length : most);
}
