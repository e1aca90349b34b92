import type { ConcernLevel, Taxon } from '../key/key.js';
import type { Verdict } from './outcome.js';

/** Concern levels that mean: leave it. */
export function isHarmful(level: ConcernLevel): boolean {
  return level === 'deadly' || level === 'severe' || level === 'upset';
}

const SEVERITIES: Record<ConcernLevel, number> = {
  deadly: 0,
  severe: 1,
  upset: 2,
  unknown: 3,
  'none-recorded': 4,
};

/** The rank of a taxon in the order of concern: 0 = deadly. */
export function severity(taxon: Pick<Taxon, 'concern'>): number {
  return SEVERITIES[taxon.concern.level];
}

/** The worst recorded concern among some taxa; undefined when there are none. */
export function worstConcern(taxa: Iterable<Pick<Taxon, 'concern'>>): ConcernLevel | undefined {
  let worst: Pick<Taxon, 'concern'> | undefined;
  for (const taxon of taxa) if (worst === undefined || severity(taxon) < severity(worst)) worst = taxon;
  return worst?.concern.level;
}

/** Verdicts by the worst concern, settled and unsettled; shared, as a table has few different ones. */
const SETTLED = verdicts(true);
const UNSETTLED = verdicts(false);
const NOTHING_REACHED: Verdict = { word: 'not cleared', worst: 'unknown', settled: false };

function verdicts(settled: boolean): Record<ConcernLevel, Verdict> {
  const of = (worst: ConcernLevel): Verdict => ({
    word: isHarmful(worst) ? 'leave it' : 'not cleared',
    worst,
    settled,
  });
  return {
    deadly: of('deadly'),
    severe: of('severe'),
    upset: of('upset'),
    unknown: of('unknown'),
    'none-recorded': of('none-recorded'),
  };
}

/**
 * Decides by the worst that is still possible. "Leave it" when any taxon is harmful, settled when all are. Otherwise
 * "not cleared", which does not say that it is safe: the find may be something the key does not hold. When nothing is
 * reached,
 * it is not settled, and the worst is `unknown`.
 */
export function verdictOn(taxa: readonly Pick<Taxon, 'concern'>[]): Verdict {
  let worst: ConcernLevel | undefined;
  let settled = true;
  for (const { concern } of taxa) {
    const { level } = concern;
    if (worst === undefined || SEVERITIES[level] < SEVERITIES[worst]) worst = level;
    if (!isHarmful(level)) settled = false;
  }
  if (worst === undefined) return NOTHING_REACHED;
  return (settled ? SETTLED : UNSETTLED)[worst];
}

/** The name of a result and its qualifier, kept apart. */
interface Naming {
  readonly name: string | undefined;
  readonly qualifier: string | undefined;
}

/**
 * The name that holds for all taxa still possible. One gives its own name, with `cf.` when no path to it is decided by
 * the evidence alone (`open`). Several give the lowest taxon that holds them all, with `sp.` (`spp.` when the specimens
 * are not one species). Without a common taxon the material is `indet.`. Nothing reached has no name.
 */
export function nameFor(
  possible: readonly Taxon[],
  taxa: ReadonlyMap<string, Taxon>,
  open: boolean,
  mixed: boolean,
): Naming {
  const [first] = possible;
  if (first === undefined) return { name: undefined, qualifier: undefined };
  if (possible.length === 1) return { name: first.name, qualifier: open ? 'cf.' : undefined };
  const common = lowestCommonTaxon(possible, taxa);
  if (common === undefined) return { name: undefined, qualifier: 'indet.' };
  return { name: common.name, qualifier: mixed ? 'spp.' : 'sp.' };
}

/** The lowest taxon that all the given ones lie within (or are), by their `within`. */
export function lowestCommonTaxon(
  members: readonly Taxon[],
  taxa: ReadonlyMap<string, Taxon>,
): Taxon | undefined {
  const [first] = members;
  if (first === undefined) return undefined;
  for (let at: Taxon | undefined = first, steps = 0; at !== undefined && steps <= taxa.size; steps++) {
    const { id }: Taxon = at;
    if (members.every((taxon) => isWithin(taxon, id, taxa))) return at;
    at = at.within === undefined ? undefined : taxa.get(at.within);
  }
  return undefined;
}

function isWithin(taxon: Taxon, id: string, taxa: ReadonlyMap<string, Taxon>): boolean {
  if (taxon.id === id) return true;
  return taxon.within !== undefined && lineage(taxon, taxa).some((t) => t.id === id);
}

/** A taxon and those it lies within, lowest first. */
export function lineage(taxon: Taxon, taxa: ReadonlyMap<string, Taxon>): Taxon[] {
  const line: Taxon[] = [];
  for (
    let at: Taxon | undefined = taxon;
    at !== undefined && !line.includes(at);
    at = at.within === undefined ? undefined : taxa.get(at.within)
  )
    line.push(at);
  return line;
}
