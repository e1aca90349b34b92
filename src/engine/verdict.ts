import type { ConcernLevel, Taxon } from '../key/key.js';
import { isHarmful, worstConcern } from '../key/severity.js';
import type { Verdict } from './outcome.js';

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
 * Decides by the worst that is still possible. "Leave it" when any taxon is harmful, settled when all are.
 * Otherwise "not cleared", which does not say that it is safe: the find may be something the key does not
 * hold. When nothing is reached, it is not settled, and the worst is `unknown`.
 */
export function verdictOn(taxa: readonly Pick<Taxon, 'concern'>[]): Verdict {
  const worst = worstConcern(taxa);
  const settled = taxa.every((t) => isHarmful(t.concern.level));
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
