import { askedBy, type Check } from '../traits/check.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { FAILS, FITS, judge, type Known, ownTruth } from './evaluate.js';

/*
 * What a slip is. Taking a lead that fails costs the fewest characters without whose evidence it would not be ruled out;
 * a character that is recorded as not applying goes with any that it depends on. To know less does not only open what was
 * decided: a character that cannot exist by another says nothing, and speaks when that other is taken back. So in a find
 * that contradicts itself a lead can be ruled out anew by what was silent before, and characters have to be taken back
 * together until none of it is left.
 */

type Gates = CompiledKey['gates'];
/** A condition that fails or fits: never one that is open. */
type Decided = typeof FAILS | typeof FITS;

const other = (truth: Decided): Decided => (truth === FAILS ? FITS : FAILS);

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
    return lead.tests.flatMap((t) => (ownTruth(t, known[t.character]) === FAILS ? [t.character] : []));
  const check = lead.otherwise ? noneOf(couplet) : lead.check;
  if (check === undefined || judge(check, known, gates) !== FAILS) return [];
  return fewest(check, FAILS, known, gates);
}

const NONE_OF = new WeakMap<CompiledCouplet, Check>();

/** What `otherwise` asks: that no lead beside it fits. */
function noneOf(couplet: CompiledCouplet): Check {
  let check = NONE_OF.get(couplet);
  if (check === undefined) {
    check = {
      op: 'all',
      parts: couplet.leads.flatMap((l) => (l.check === undefined ? [] : [{ op: 'not', part: l.check }])),
    };
    NONE_OF.set(couplet, check);
  }
  return check;
}

/** The fewest characters without whose evidence a condition that has a truth would not have it. */
function fewest(check: Check, truth: Decided, known: Known, gates: Gates): readonly number[] {
  if (check.op === 'states' || check.op === 'numbers') {
    const gate = gates[check.character];
    if (truth === FITS || gate === undefined || judge(gate, known, gates) !== FAILS) return [check.character];
    // What is recorded as not applying goes with what it depends on.
    const why = fewest(gate, FAILS, known, gates);
    const value = known[check.character];
    return value?.kind !== 'inapplicable' && ownTruth(check, value) === FAILS
      ? [...why, check.character]
      : why;
  }
  if (check.op === 'not') return fewest(check.part, other(truth), known, gates);
  const { op, parts } = check;
  if ((op === 'all') === (truth === FITS))
    return parts
      .map((p) => fewest(p, truth, known, gates))
      .reduce((best, set) => (set.length < best.length ? set : best));
  const found: number[] = [];
  for (const together of apart(check, gates)) {
    const holding = together.filter((p) => judge(p, known, gates) === truth);
    if (holding.length === 0) continue;
    const [only] = together;
    if (together.length === 1) found.push(...fewest(only as Check, truth, known, gates));
    else found.push(...fewestOfAll(together, truth, known, gates));
  }
  return found;
}

// As many as it takes to be exact to two slips with conditions that forty characters speak against.
const MOST_TRIED = 2000;

/**
 * The fewest characters without whose evidence none of several conditions has the truth that some of them have. One of those
 * that keep it so has to go, each is tried, and so on with what is left: fewer characters are tried before more. Conditions
 * that people write take a few steps; a contrived one that takes too many gets characters enough, but not surely the fewest.
 */
function fewestOfAll(parts: readonly Check[], truth: Decided, known: Known, gates: Gates): readonly number[] {
  interface Tried {
    readonly gone: readonly number[];
    readonly known: Known;
    /** The least set that keeps a part as it is; undefined when none is so. */
    readonly kept: readonly number[] | undefined;
  }
  const tried = (gone: readonly number[], left: Known): Tried => {
    const holding = parts.filter((p) => judge(p, left, gates) === truth);
    const kept = holding.length === 0 ? undefined : least(holding.map((p) => keeping(p, truth, left, gates)));
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
      const next = tried(set, forgetting(c, left, gates));
      if (next.kept === undefined) return next.gone;
      waiting.push(next);
    }
    if (waiting.length > MOST_TRIED) break;
  }
  let enough = waiting.at(-1) as Tried;
  while (enough.kept !== undefined) {
    const [c] = enough.kept as readonly [number];
    enough = tried([...enough.gone, c], forgetting(c, enough.known, gates));
  }
  return enough.gone;
}

/**
 * Characters of which one has to be taken back before a condition loses the truth that it has: as long as the evidence on
 * all of them stands, it is so, whatever else is taken back.
 */
function keeping(check: Check, truth: Decided, known: Known, gates: Gates): readonly number[] {
  if (check.op === 'states' || check.op === 'numbers') {
    const { character } = check;
    const gate = gates[character];
    if (truth === FITS)
      return joined([[character], gate === undefined ? [] : keepingFrom(gate, FAILS, known, gates)]);
    if (gate !== undefined && judge(gate, known, gates) === FAILS) return keeping(gate, FAILS, known, gates);
    if (known[character]?.kind !== 'inapplicable') return [character];
    const on = dependence(gates).on[character] as readonly number[];
    return [character, ...on.filter((c) => known[c] !== undefined)];
  }
  if (check.op === 'not') return keeping(check.part, other(truth), known, gates);
  const holding = check.parts.filter((p) => judge(p, known, gates) === truth);
  const sets = holding.map((p) => keeping(p, truth, known, gates));
  return (check.op === 'all') === (truth === FAILS) ? least(sets) : joined(sets);
}

/** The same for a condition that does not have a truth, and how it is kept from having it. */
function keepingFrom(check: Check, truth: Decided, known: Known, gates: Gates): readonly number[] {
  if (check.op === 'states' || check.op === 'numbers') {
    // A value that does not decide a test decides it no more when it is taken back: only the gate is left to look at.
    const gate = gates[check.character];
    if (gate === undefined) return [];
    if (truth === FAILS) return keepingFrom(gate, FAILS, known, gates);
    return ownTruth(check, known[check.character]) === FITS ? keeping(gate, FAILS, known, gates) : [];
  }
  if (check.op === 'not') return keepingFrom(check.part, other(truth), known, gates);
  if ((check.op === 'all') === (truth === FITS)) {
    const wanting = check.parts.filter((p) => judge(p, known, gates) !== truth);
    return least(wanting.map((p) => keepingFrom(p, truth, known, gates)));
  }
  return joined(check.parts.map((p) => keepingFrom(p, truth, known, gates)));
}

function least(sets: readonly (readonly number[])[]): readonly number[] {
  return sets.reduce((best, set) => (set.length < best.length ? set : best));
}

function joined(sets: readonly (readonly number[])[]): readonly number[] {
  const [only, another] = sets;
  return only !== undefined && another === undefined ? only : [...new Set(sets.flat())];
}

/** What is known when a character is taken back, with what is recorded as not applying and depends on it. */
function forgetting(character: number, known: Known, gates: Gates): Known {
  const left = [...known];
  left[character] = undefined;
  for (const c of carriedBy(character, known, gates)) left[c] = undefined;
  return left;
}

/** The characters recorded as not applying that depend on one: if that was misread, so were they. */
export function carriedBy(character: number, known: Known, gates: Gates): number[] {
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

const APART = new WeakMap<Check, readonly (readonly Check[])[]>();

/** The parts of a condition in groups, such that no character that one hangs on weighs in another. */
function apart(
  check: Check & { readonly parts: readonly Check[] },
  gates: Gates,
): readonly (readonly Check[])[] {
  let groups = APART.get(check);
  if (groups === undefined) {
    let sorted: { readonly parts: readonly Check[]; readonly characters: readonly number[] }[] = [];
    for (const part of check.parts) {
      const characters = withGates(gates, askedBy(part));
      const meets = (g: { readonly characters: readonly number[] }) =>
        g.characters.some((c) => characters.includes(c));
      const met = sorted.filter(meets);
      const group = {
        parts: [...met.flatMap((g) => g.parts), part],
        characters: joined([...met.map((g) => g.characters), characters]),
      };
      const first = sorted.findIndex(meets);
      sorted = sorted.filter((g) => !meets(g));
      sorted.splice(first < 0 ? sorted.length : first, 0, group);
    }
    groups = sorted.map((g) => g.parts);
    APART.set(check, groups);
  }
  return groups;
}
