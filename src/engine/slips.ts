import { askedBy, type Check } from '../traits/check.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { evaluate, evaluateValue, FAILS, FITS, type Known } from './evaluate.js';

/*
 * What a slip is. Taking a lead that fails costs the fewest characters without whose evidence it would not be
 * ruled out; a character that is recorded as not applying goes with any that it depends on. Taking evidence
 * back does not only open what was decided: a character that cannot exist because of another is silent, and
 * speaks once that other one is taken back. So in a find that contradicts itself, silent evidence can rule a
 * lead out again, and characters have to be taken back together until nothing is against the lead.
 */

type Gates = CompiledKey['gates'];
/** A condition that fails or fits: never one that is open. */
type DecidedTruth = typeof FAILS | typeof FITS;

const opposite = (truth: DecidedTruth): DecidedTruth => (truth === FAILS ? FITS : FAILS);

/**
 * The characters that speak against a lead that fails: the fewest without whose evidence it would not be ruled out.
 * Empty when a person's choice of another lead is all that is against it.
 */
export function blameLead(
  couplet: CompiledCouplet,
  lead: CompiledLead,
  known: Known,
  gates: Gates,
): readonly number[] {
  if (lead.tests !== undefined)
    return lead.tests.flatMap((t) => (evaluateValue(t, known[t.character]) === FAILS ? [t.character] : []));
  const check = lead.otherwise ? noOtherFits(couplet) : lead.check;
  if (check === undefined || evaluate(check, known, gates) !== FAILS) return [];
  return fewestCharacters(check, FAILS, known, gates);
}

const NO_OTHER_FITS = new WeakMap<CompiledCouplet, Check>();

/** The condition of `otherwise`: that no other lead fits. */
function noOtherFits(couplet: CompiledCouplet): Check {
  let check = NO_OTHER_FITS.get(couplet);
  if (check === undefined) {
    check = {
      op: 'all',
      parts: couplet.leads.flatMap((l) => (l.check === undefined ? [] : [{ op: 'not', part: l.check }])),
    };
    NO_OTHER_FITS.set(couplet, check);
  }
  return check;
}

/** The fewest characters without whose evidence a condition would lose the truth that it has. */
function fewestCharacters(check: Check, truth: DecidedTruth, known: Known, gates: Gates): readonly number[] {
  if (check.op === 'states' || check.op === 'numbers') {
    const gate = gates[check.character];
    if (truth === FITS || gate === undefined || evaluate(gate, known, gates) !== FAILS)
      return [check.character];
    // A character recorded as not applying is taken back with what it depends on.
    const why = fewestCharacters(gate, FAILS, known, gates);
    const value = known[check.character];
    return value?.kind !== 'inapplicable' && evaluateValue(check, value) === FAILS
      ? [...why, check.character]
      : why;
  }
  if (check.op === 'not') return fewestCharacters(check.part, opposite(truth), known, gates);
  const { op, parts } = check;
  if ((op === 'all') === (truth === FITS))
    return parts
      .map((p) => fewestCharacters(p, truth, known, gates))
      .reduce((best, set) => (set.length < best.length ? set : best));
  const found: number[] = [];
  for (const together of independentGroups(check, gates)) {
    const holding = together.filter((p) => evaluate(p, known, gates) === truth);
    if (holding.length === 0) continue;
    const [only] = together;
    if (together.length === 1) found.push(...fewestCharacters(only as Check, truth, known, gates));
    else found.push(...fewestForAll(together, truth, known, gates));
  }
  return found;
}

// Enough to be exact for two slips with conditions that forty characters speak against.
const MOST_TRIED = 2000;

/**
 * The fewest characters without whose evidence none of several conditions has the given truth: a minimal
 * hitting set, found breadth first. One character of each supporting set has to go; each is tried, then the
 * same for what is left. Conditions that people write take a few steps; for a contrived one the set is
 * sufficient, but perhaps not the smallest.
 */
function fewestForAll(
  parts: readonly Check[],
  truth: DecidedTruth,
  known: Known,
  gates: Gates,
): readonly number[] {
  interface Tried {
    readonly gone: readonly number[];
    readonly known: Known;
    /** The smallest set that supports a part; undefined when no part has the truth any more. */
    readonly kept: readonly number[] | undefined;
  }
  const tried = (gone: readonly number[], left: Known): Tried => {
    const holding = parts.filter((p) => evaluate(p, left, gates) === truth);
    const kept =
      holding.length === 0 ? undefined : smallest(holding.map((p) => supporting(p, truth, left, gates)));
    return { gone, known: left, kept };
  };
  const seen = new Set<string>();
  const waiting = [tried([], known)];
  for (const { gone, known: left, kept = [] } of waiting) {
    for (const c of kept) {
      const set = [...gone, c];
      const mark = [...set].sort((a, b) => a - b).join();
      if (seen.has(mark)) continue;
      seen.add(mark);
      const next = tried(set, withoutCharacter(c, left, gates));
      if (next.kept === undefined) return next.gone;
      waiting.push(next);
    }
    if (waiting.length > MOST_TRIED) break;
  }
  let enough = waiting.at(-1) as Tried;
  while (enough.kept !== undefined) {
    const [c] = enough.kept as readonly [number];
    enough = tried([...enough.gone, c], withoutCharacter(c, enough.known, gates));
  }
  return enough.gone;
}

/**
 * Characters of which one has to be taken back before a condition loses its truth: as long as all of their
 * evidence stands, the condition keeps it, whatever else is taken back.
 */
function supporting(check: Check, truth: DecidedTruth, known: Known, gates: Gates): readonly number[] {
  if (check.op === 'states' || check.op === 'numbers') {
    const { character } = check;
    const gate = gates[character];
    if (truth === FITS)
      return union([[character], gate === undefined ? [] : preventing(gate, FAILS, known, gates)]);
    if (gate !== undefined && evaluate(gate, known, gates) === FAILS)
      return supporting(gate, FAILS, known, gates);
    if (known[character]?.kind !== 'inapplicable') return [character];
    const on = dependence(gates).on[character] as readonly number[];
    return [character, ...on.filter((c) => known[c] !== undefined)];
  }
  if (check.op === 'not') return supporting(check.part, opposite(truth), known, gates);
  const holding = check.parts.filter((p) => evaluate(p, known, gates) === truth);
  const sets = holding.map((p) => supporting(p, truth, known, gates));
  return (check.op === 'all') === (truth === FAILS) ? smallest(sets) : union(sets);
}

/** Characters of which one has to be taken back before a condition can gain a truth that it does not have. */
function preventing(check: Check, truth: DecidedTruth, known: Known, gates: Gates): readonly number[] {
  if (check.op === 'states' || check.op === 'numbers') {
    // Taking back a value that does not decide a test changes nothing: only the gate remains.
    const gate = gates[check.character];
    if (gate === undefined) return [];
    if (truth === FAILS) return preventing(gate, FAILS, known, gates);
    return evaluateValue(check, known[check.character]) === FITS ? supporting(gate, FAILS, known, gates) : [];
  }
  if (check.op === 'not') return preventing(check.part, opposite(truth), known, gates);
  if ((check.op === 'all') === (truth === FITS)) {
    const wanting = check.parts.filter((p) => evaluate(p, known, gates) !== truth);
    return smallest(wanting.map((p) => preventing(p, truth, known, gates)));
  }
  return union(check.parts.map((p) => preventing(p, truth, known, gates)));
}

function smallest(sets: readonly (readonly number[])[]): readonly number[] {
  return sets.reduce((best, set) => (set.length < best.length ? set : best));
}

function union(sets: readonly (readonly number[])[]): readonly number[] {
  const [only, another] = sets;
  return only !== undefined && another === undefined ? only : [...new Set(sets.flat())];
}

/** The evidence without a character, and without its dependents that are recorded as not applying. */
function withoutCharacter(character: number, known: Known, gates: Gates): Known {
  const left = [...known];
  left[character] = undefined;
  for (const c of inapplicableDependents(character, known, gates)) left[c] = undefined;
  return left;
}

/** The characters recorded as not applying that depend on one: if that was misread, so were they. */
export function inapplicableDependents(character: number, known: Known, gates: Gates): number[] {
  const { by } = dependence(gates);
  return (by[character] as readonly number[]).filter((c) => known[c]?.kind === 'inapplicable');
}

/** Which characters depend on which, directly or through others. */
interface Dependence {
  /** By character, those that it depends on. */
  readonly on: readonly (readonly number[])[];
  /** By character, those that depend on it. */
  readonly by: readonly (readonly number[])[];
}

const DEPENDENCE = new WeakMap<Gates, Dependence>();

function dependence(gates: Gates): Dependence {
  let known = DEPENDENCE.get(gates);
  if (known === undefined) {
    const on = gates.map((gate) => (gate === undefined ? [] : withGates(gates, askedBy(gate))));
    const by = gates.map((): number[] => []);
    for (const [c, those] of on.entries()) for (const each of those) by[each]?.push(c);
    known = { on, by };
    DEPENDENCE.set(gates, known);
  }
  return known;
}

/** Characters and those that they depend on, each once. */
export function withGates(gates: Gates, characters: readonly number[]): number[] {
  const found = new Set<number>();
  const add = (c: number) => {
    if (found.has(c)) return;
    found.add(c);
    const gate = gates[c];
    if (gate !== undefined) for (const on of askedBy(gate)) add(on);
  };
  for (const c of characters) add(c);
  return [...found];
}

const INDEPENDENT_GROUPS = new WeakMap<Check, readonly (readonly Check[])[]>();

/** The parts of a condition in groups that share no character. */
function independentGroups(
  check: Check & { readonly parts: readonly Check[] },
  gates: Gates,
): readonly (readonly Check[])[] {
  let groups = INDEPENDENT_GROUPS.get(check);
  if (groups === undefined) {
    let sorted: { readonly parts: readonly Check[]; readonly characters: readonly number[] }[] = [];
    for (const part of check.parts) {
      const characters = withGates(gates, askedBy(part));
      const meets = (g: { readonly characters: readonly number[] }) =>
        g.characters.some((c) => characters.includes(c));
      const met = sorted.filter(meets);
      const group = {
        parts: [...met.flatMap((g) => g.parts), part],
        characters: union([...met.map((g) => g.characters), characters]),
      };
      const first = sorted.findIndex(meets);
      sorted = sorted.filter((g) => !meets(g));
      sorted.splice(first < 0 ? sorted.length : first, 0, group);
    }
    groups = sorted.map((g) => g.parts);
    INDEPENDENT_GROUPS.set(check, groups);
  }
  return groups;
}
