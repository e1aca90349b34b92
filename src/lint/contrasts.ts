import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import { FAILS, FITS } from '../engine/evaluate.js';
import type { Logic } from '../engine/logic.js';
import { confirmedSpecimen, inWords, type Specimen } from '../engine/witness.js';
import type { Box, Region } from '../traits/box.js';
import { keyOf, leadPlace } from './places.js';
import type { Said } from './rule.js';

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
interface Contrasts {
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
 * The gap of a couplet: finds that arrive and fit no lead, whatever is taken for an addition left aside. What parts two
 * leads is asked by both, so a character that one lead alone asks says more of the finds it takes and claims nothing of
 * the others. A couplet with `otherwise`, or with a lead that only a person can judge, has no gap.
 */
function gapOf(logic: Logic, couplet: CompiledCouplet): Gap | 'undecided' | undefined {
  if (couplet.leads.some((lead) => lead.check === undefined)) return undefined;
  const arrival = logic.arrival(couplet.index);
  if (arrival === undefined) return 'undecided';
  const conditions = couplet.leads.map((lead) => logic.condition(couplet, lead));
  if (conditions.includes(undefined)) return 'undecided';
  const parting = partingCharacters(logic, couplet);
  const region = logic.ask((budget) => {
    let rest = arrival;
    for (const [l, lead] of couplet.leads.entries()) {
      const kept = parting[l] as ReadonlySet<number>;
      const whole = conditions[l] as Region;
      const all = kept.size === logic.space.withGates(logic.askedIn(lead)).size;
      rest = logic.space.minus(rest, all ? whole : logic.space.project(whole, kept, budget), budget);
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
    new Set(parting.flatMap((kept) => [...kept])),
  );
}

/** Finds of a region that arrive at a couplet and fit none of its leads, with one that the engine confirms. */
export function gapWithin(logic: Logic, couplet: CompiledCouplet, region: Region): Gap | undefined {
  const arrival = logic.arrival(couplet.index);
  const finds = arrival && logic.ask((budget) => logic.space.meet(arrival, region, budget));
  const gap =
    finds &&
    shown(
      logic,
      couplet,
      finds,
      (truths) => truths.every((t) => t === FAILS),
      (specimen, box): Gap => ({ region: finds, specimen, box }),
    );
  return gap === 'undecided' ? undefined : gap;
}

/**
 * By lead of a couplet, the characters by which it parts the finds: those that another lead asks too, or all that it asks
 * where it has none in common with any. Who asks a character also asks those that it depends on.
 */
function partingCharacters(logic: Logic, couplet: CompiledCouplet): ReadonlySet<number>[] {
  const asked = couplet.leads.map((lead) => logic.space.withGates(logic.askedIn(lead)));
  const times = new Map<number, number>();
  for (const c of asked.flatMap((own) => [...own])) times.set(c, (times.get(c) ?? 0) + 1);
  return asked.map((own) => {
    const common = new Set([...own].filter((c) => (times.get(c) ?? 0) > 1));
    return common.size === 0 ? own : common;
  });
}

/** What a finding of a gap says besides its message: every lead with its words, and the find that fits none. */
export function gapSaid(
  logic: Logic,
  couplet: CompiledCouplet,
  { specimen }: Gap,
): Pick<Said, 'side' | 'related' | 'witness'> {
  const labels = couplet.leads.map((lead) => lead.label).join(', ');
  return {
    side: 'name',
    related: couplet.leads.map((lead) => leadPlace(keyOf(logic, couplet), lead)),
    witness: `${inWords(logic, specimen)} fits none of ${labels}`,
  };
}

/** What is said to an author who may have left the finds of a gap out on purpose: not all leads ask what it turns on. */
export function meantSo(logic: Logic, couplet: CompiledCouplet, { specimen }: Gap, rule: string): string {
  const asked = couplet.leads.map((lead) => logic.space.withGates(logic.askedIn(lead)));
  if ([...specimen.keys()].every((c) => asked.every((own) => own.has(c)))) return '';
  return `; if that is meant, write "otherwise: true", move what only supports a lead to "usually", or allow it: # allow ${rule}: reason`;
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
