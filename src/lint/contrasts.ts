import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import { FAILS, FITS } from '../engine/judge.js';
import type { Logic } from '../engine/logic.js';
import { confirmedSpecimen, type Specimen } from '../engine/witness.js';
import type { Box, Region } from '../traits/box.js';

/** Finds that fit two leads of a couplet. */
export interface Overlap {
  readonly first: CompiledLead;
  readonly second: CompiledLead;
  readonly region: Region;
  readonly specimen: Specimen;
  /** The box of the region that the specimen lies in. */
  readonly box: Box;
}

/** Finds that can arrive at a couplet and fit none of its leads. */
export interface Gap {
  readonly region: Region;
  readonly specimen: Specimen;
  readonly box: Box;
}

/** How the leads of a couplet contrast; `undecided` when some question would cost too much. */
export interface Contrasts {
  readonly overlaps: readonly Overlap[];
  readonly gap: Gap | undefined;
  readonly undecided: boolean;
}

/** A lead that overlaps so many earlier ones has been shown to be wrong; four hundred alike would have 79,800 pairs. */
const MOST_A_LEAD = 3;

const known = new WeakMap<CompiledCouplet, Contrasts>();

/** The overlaps and the gap of a couplet, worked out once. */
export function contrastsOf(logic: Logic, couplet: CompiledCouplet): Contrasts {
  let contrasts = known.get(couplet);
  if (contrasts === undefined) {
    contrasts = compare(logic, couplet);
    known.set(couplet, contrasts);
  }
  return contrasts;
}

function compare(logic: Logic, couplet: CompiledCouplet): Contrasts {
  const overlaps: Overlap[] = [];
  let undecided = false;
  couplet.leads.forEach((second, j) => {
    let found = 0;
    for (const first of couplet.leads.slice(0, j)) {
      if (found === MOST_A_LEAD) break;
      if (first.check === undefined || second.check === undefined) continue;
      const overlap = overlapOf(logic, couplet, first, second);
      if (overlap === 'undecided') undecided = true;
      else if (overlap !== undefined) {
        overlaps.push(overlap);
        found++;
      }
    }
  });
  const gap = gapOf(logic, couplet);
  if (gap === 'undecided') return { overlaps, gap: undefined, undecided: true };
  return { overlaps, gap, undecided };
}

function overlapOf(
  logic: Logic,
  couplet: CompiledCouplet,
  first: CompiledLead,
  second: CompiledLead,
): Overlap | 'undecided' | undefined {
  const a = logic.taken(couplet, first);
  const b = logic.condition(couplet, second);
  if (a === undefined || b === undefined) return 'undecided';
  const region = logic.ask((budget) => logic.space.meet(a, b, budget));
  if (region === undefined) return 'undecided';
  const [i, j] = [couplet.leads.indexOf(first), couplet.leads.indexOf(second)];
  return shown(
    logic,
    couplet,
    region,
    (truths) => truths[i] === FITS && truths[j] === FITS,
    (specimen, box) => ({ first, second, region, specimen, box }),
  );
}

/**
 * The gap of a couplet, judged over the characters that all its leads ask: what a lead says besides is a help to the
 * reader, not a claim that nothing else exists. A couplet with `otherwise`, or with a lead that only a person can judge,
 * has none.
 */
function gapOf(logic: Logic, couplet: CompiledCouplet): Gap | 'undecided' | undefined {
  const shared = sharedCharacters(logic, couplet);
  if (shared.size === 0) return undefined;
  const arrival = logic.arrival(couplet.index);
  if (arrival === undefined) return 'undecided';
  const conditions = couplet.leads.map((lead) => logic.condition(couplet, lead));
  if (conditions.includes(undefined)) return 'undecided';
  const region = logic.ask((budget) => {
    let rest = arrival;
    for (const condition of conditions) {
      rest = logic.space.minus(rest, logic.space.project(condition as Region, shared, budget), budget);
      if (rest.length === 0) break;
    }
    return rest;
  });
  if (region === undefined) return 'undecided';
  return shown(
    logic,
    couplet,
    region,
    (truths) => truths.every((t) => t === FAILS),
    (specimen, box) => ({ region, specimen, box }),
    shared,
  );
}

/** The characters that every lead of a couplet asks; none when a lead cannot be judged by its condition. */
export function sharedCharacters(logic: Logic, couplet: CompiledCouplet): Set<number> {
  const [first = [], ...others] = couplet.leads.map((lead) => logic.askedIn(lead));
  return new Set(first.filter((c) => others.every((o) => o.includes(c))));
}

function shown<T>(
  logic: Logic,
  couplet: CompiledCouplet,
  region: Region,
  holds: (truths: readonly (0 | 1 | 2)[]) => boolean,
  make: (specimen: Specimen, box: Box) => T,
  about?: ReadonlySet<number>,
): T | 'undecided' | undefined {
  const [box] = region;
  if (box === undefined) return undefined;
  const specimen = confirmedSpecimen(logic, box, couplet, holds, about);
  return specimen === undefined ? 'undecided' : make(specimen, box);
}
