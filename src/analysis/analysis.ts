import type { Determination } from '../engine/determine.js';
import { monthOf } from '../engine/scope.js';
import { Walk } from '../engine/walk.js';
import type { Taxon } from '../key/key.js';
import { endangers } from '../key/severity.js';
import { type Decision, decide } from './decision.js';
import { type Fit, fitsOf } from './fit.js';
import { type AnalysisOptions, type Next, nextCharacters } from './next-characters.js';
import { type Reliance, relianceOf } from './reliance.js';
import { compareSpecimens, type SpecimenComparison } from './specimens.js';
import { type WhatIfs, whatIfsOf } from './what-if.js';

/** What a determination is worth: how sure it is, what if something was misread, what to look at next, what follows. */
export interface Analysis {
  readonly found: Determination;
  /** How each candidate fits its description, in the order of `found.possible`. */
  readonly fits: readonly Fit[];
  readonly doubts: WhatIfs;
  readonly next: Next;
  readonly decision: Decision;
  /** The specimens beside each other; undefined for one specimen. */
  readonly specimens: SpecimenComparison | undefined;
  /** What each candidate rests on, in the order of `found.possible`. */
  readonly reliances: readonly Reliance[];
}

/** Analyses a determination, without changing it. */
export function analyse(found: Determination, options: AnalysisOptions = {}): Analysis {
  const { key, evidence, collection } = found;
  const walk = new Walk(key, evidence);
  const { visits } = walk;
  const order = new Map(found.possible.map((taxon, i) => [taxon, i]));
  const placeOf = (taxon: Taxon | undefined) => (taxon === undefined ? 0 : (order.get(taxon) ?? 0));
  const reached = walk.reached.sort((a, b) => placeOf(key.taxa[a]) - placeOf(key.taxa[b]));
  const candidates = reached.filter((t) => order.has(key.taxa[t] as Taxon));
  const reliances = walk
    .results()
    .candidates.filter((c) => order.has(c.taxon))
    .sort((a, b) => placeOf(a.taxon) - placeOf(b.taxon))
    .map((c) => relianceOf(key, evidence, c));
  const fits = fitsOf(key, candidates, evidence.known, monthOf(collection.date));
  const doubts = whatIfsOf(collection, evidence, walk, visits, reached);
  const worst = new Set(found.further.map((f) => f.taxon));
  const wider = [...candidates, ...key.taxa.flatMap((t, i) => (worst.has(t) ? [i] : []))];
  const among = wider.length >= 2 ? wider : withRivals(found, candidates, doubts, fits);
  return {
    found,
    fits,
    doubts,
    next: nextCharacters(key, collection, evidence, visits, among, options),
    decision: decide(found, doubts, fits),
    specimens: compareSpecimens(key, collection),
    reliances,
  };
}

/**
 * A single candidate with the taxa it should be told apart from before it is believed: those one slip away that fit no
 * worse or do grave harm, and look-alikes that fit as well.
 */
function withRivals(
  { key }: Determination,
  candidates: readonly number[],
  doubts: WhatIfs,
  fits: readonly Fit[],
): number[] {
  const wanted = new Set([
    ...doubts.one.flatMap((d) =>
      d.ends.filter((e) => e.fits !== 'worse' || endangers(e.taxon)).map((e) => e.taxon),
    ),
    ...fits.flatMap((f) =>
      f.lookAlikes.filter((l) => l.fits === 'better' || l.fits === 'as well').map((l) => l.taxon),
    ),
  ]);
  return [
    ...candidates,
    ...key.taxa.flatMap((t, i) => (wanted.has(t) && !candidates.includes(i) ? [i] : [])),
  ];
}
