import type { CompiledCouplet, CompiledKey } from '../engine/compile.js';
import { evaluate, FAILS, FITS, type Known, OPEN } from '../engine/evaluate.js';
import type { Visit } from '../engine/walk.js';
import { quotedIfClearing } from '../text/clearing.js';
import { type Character, numbersOf } from '../traits/character.js';
import { askedBy, type Check } from '../traits/check.js';
import { writeNumbers } from '../traits/notation.js';
import { type Interval, meetNumbers, type NumberSet } from '../traits/number-set.js';
import { hasState, stateIndices } from '../traits/state-set.js';
import type { Value } from '../traits/value.js';
import { descriptionOf, singleState } from './description.js';

/**
 * A character that is not fully known, and the states that it may turn out to show: its states one by one,
 * intervals between the limits in leads and descriptions, and, for a character that need not exist, that it
 * does not apply.
 */
export interface PossibleStates {
  readonly index: number;
  readonly character: Character;
  /** Whether something is known of it already. */
  readonly inPart: boolean;
  readonly values: readonly Value[];
  /** The size of each: 1 for a state, its length for an interval. */
  readonly sizes: readonly number[];
  /** Each in words. */
  names(): string[];
}

/** More intervals would not change the order of the characters, but cost time. */
const MOST_CUTS = 24;

const INAPPLICABLE: Value = { kind: 'inapplicable' };

/** The characters that are not fully known and matter to some taxa or on the way, with what each may show. */
export function possibleStates(
  key: CompiledKey,
  known: Known,
  visits: readonly Visit[],
  among: readonly number[],
): PossibleStates[] {
  const open = visits.filter((v) => v.truths.includes(OPEN)).map((v) => v.couplet);
  const asked = new Set(open.flatMap((couplet) => askedAt(key, couplet)));
  const wanted: number[] = [];
  for (let c = 0; c < known.length; c++) {
    const value = known[c];
    // What is known in part matters only where it leaves a lead open: two caps of different widths need no second look.
    const matters =
      value === undefined
        ? asked.has(c) || among.some((t) => descriptionOf(key, t).values[c] !== undefined)
        : asked.has(c) && isPartlyKnown(value);
    if (matters) wanted.push(c);
  }
  return wanted.flatMap((index): PossibleStates[] => {
    const value = known[index];
    const gate = key.gates[index];
    const exists = gate === undefined ? FITS : evaluate(gate, known, key.gates);
    if (exists === FAILS) return [];
    const character = key.characters[index] as Character;
    const values = valuesFor(key, index, value, open, among).filter(
      (v) => !contradicts(key, index, v, known),
    );
    const mayLack =
      value !== undefined
        ? mayBeAbsent(value)
        : exists === OPEN ||
          (gate === undefined && among.some((t) => mayBeAbsent(descriptionOf(key, t).values[index])));
    if (mayLack) values.push(INAPPLICABLE);
    if (values.length < 2) return [];
    return [
      {
        index,
        character,
        inPart: value !== undefined,
        values,
        sizes: values.map(sizeOfValue),
        names: () => values.map((v) => valueInWords(character, v, value === undefined)),
      },
    ];
  });
}

function isPartlyKnown(value: Value): boolean {
  if (value.kind === 'inapplicable') return false;
  if (value.partly) return true;
  if (value.kind === 'states') return stateIndices(value.set).length > 1;
  return value.set.intervals.length > 1 || value.set.intervals.some((i) => i.low < i.high);
}

const mayBeAbsent = (value: Value | undefined) =>
  value !== undefined && (value.kind === 'inapplicable' || value.partly);

function valuesFor(
  key: CompiledKey,
  index: number,
  known: Value | undefined,
  open: readonly CompiledCouplet[],
  among: readonly number[],
): Value[] {
  const character = key.characters[index] as Character;
  if (character.kind === 'choice') {
    const all = statesOf(character);
    return known?.kind === 'states' ? all.filter((_, i) => hasState(known.set, i)) : [...all];
  }
  const whole = character.kind === 'count';
  const asked = open.flatMap((c) =>
    c.leads.flatMap((l) => (l.check === undefined ? [] : numberSetsIn(l.check, index))),
  );
  const described = among.flatMap((t) => {
    const test = descriptionOf(key, t).tests[index];
    return test?.op === 'numbers' ? [test.set] : [];
  });
  const room =
    known?.kind === 'numbers' ? meetNumbers(known.set, numbersOf(character)) : numbersOf(character);
  return stretches(room, cutsOf(asked, described, whole), whole).map((interval) => ({
    kind: 'numbers',
    set: { whole, intervals: [interval] },
    partly: false,
  }));
}

const STATES = new WeakMap<Character, readonly Value[]>();

/** Each state of a character alone; the same objects each time, since evaluations are remembered by value. */
function statesOf(character: Character): readonly Value[] {
  let values = STATES.get(character);
  if (values === undefined) {
    values = character.states.map((_, i) => singleState(i, character.states.length));
    STATES.set(character, values);
  }
  return values;
}

function numberSetsIn(check: Check, character: number): NumberSet[] {
  if (check.op === 'numbers') return check.character === character ? [check.set] : [];
  if (check.op === 'states') return [];
  return check.op === 'not'
    ? numberSetsIn(check.part, character)
    : check.parts.flatMap((p) => numberSetsIn(p, character));
}

/** A place between numbers: just before one, or just after it. */
interface CutPoint {
  readonly at: number;
  readonly after: boolean;
}

const order = (a: CutPoint, b: CutPoint) => a.at - b.at || Number(a.after) - Number(b.after);

/** All limits that leads set, and as many of those in descriptions as keep the number small. */
function cutsOf(asked: readonly NumberSet[], described: readonly NumberSet[], whole: boolean): CutPoint[] {
  const needed = distinct(asked.flatMap((s) => bordersOf(s, whole)));
  const others = distinct(described.flatMap((s) => bordersOf(s, whole)));
  const step = Math.max(1, Math.ceil(others.length / Math.max(1, MOST_CUTS - needed.length)));
  return distinct([...needed, ...others.filter((_, i) => i % step === 0)]);
}

function bordersOf(set: NumberSet, whole: boolean): CutPoint[] {
  return set.intervals.flatMap((i) => [
    ...(Number.isFinite(i.low) ? [{ at: i.low, after: i.lowOpen }] : []),
    // Between whole numbers, after 6 is before 7.
    ...(Number.isFinite(i.high)
      ? [whole ? { at: i.high + 1, after: false } : { at: i.high, after: !i.highOpen }]
      : []),
  ]);
}

function distinct(cuts: readonly CutPoint[]): CutPoint[] {
  const sorted = [...cuts].sort(order);
  return sorted.filter((c, i) => i === 0 || order(sorted[i - 1] as CutPoint, c) !== 0);
}

/** The intervals between the cuts, within the range of the character. Whole numbers are cut before a number. */
function stretches(room: NumberSet, cuts: readonly CutPoint[], whole: boolean): Interval[] {
  const out: Interval[] = [];
  for (const { low: from, high: to, lowOpen, highOpen } of room.intervals) {
    let low = from;
    let open = lowOpen;
    for (const cut of cuts) {
      const before = cut.at < low || (cut.at === low && (!cut.after || open));
      const beyond = cut.at > to || (cut.at === to && (cut.after || highOpen));
      if (before || beyond) continue;
      out.push({ low, lowOpen: open, high: whole ? cut.at - 1 : cut.at, highOpen: !whole && !cut.after });
      low = cut.at;
      open = cut.after;
    }
    out.push({ low, lowOpen: open, high: to, highOpen });
  }
  return out;
}

function sizeOfValue(value: Value): number {
  if (value.kind !== 'numbers') return 1;
  return value.set.intervals.reduce(
    (sum, i) => sum + (value.set.whole ? i.high - i.low + 1 : i.high - i.low),
    0,
  );
}

/** In words; the ends of what a character can show at all need not be said. */
function valueInWords(character: Character, value: Value, whole: boolean): string {
  if (value.kind === 'inapplicable') return 'does not apply';
  if (value.kind === 'states')
    return stateIndices(value.set)
      .map((i) => quotedIfClearing('key', character.states[i]?.id ?? ''))
      .join(' | ');
  const room = numbersOf(character).intervals;
  const [first, last] = [room[0], room[room.length - 1]];
  const intervals = value.set.intervals.map((i): Interval => {
    const fromFirst = i.low === first?.low && i.lowOpen === first.lowOpen;
    const toLast = i.high === last?.high && i.highOpen === last.highOpen;
    if (!whole || i.low === i.high || (fromFirst && toLast)) return i;
    return {
      ...i,
      ...(fromFirst ? { low: -Infinity, lowOpen: true } : {}),
      ...(toLast ? { high: Infinity, highOpen: true } : {}),
    };
  });
  return writeNumbers({ ...value.set, intervals }, character.unit);
}

/** Whether a value is impossible because something recorded could not exist with it. */
function contradicts(key: CompiledKey, index: number, value: Value, known: Known): boolean {
  return key.gates.some((gate, c) => {
    const recorded = known[c];
    if (gate === undefined || recorded === undefined || recorded.kind === 'inapplicable') return false;
    if (!askedBy(gate).includes(index)) return false;
    const then = [...known];
    then[index] = value;
    return evaluate(gate, then, key.gates) === FAILS;
  });
}

const ASKED = new WeakMap<CompiledCouplet, readonly number[]>();

/** The characters that the leads of a couplet ask, with those that they depend on. */
export function askedAt(key: CompiledKey, couplet: CompiledCouplet): readonly number[] {
  let asked = ASKED.get(couplet);
  if (asked === undefined) {
    const found = new Set<number>();
    const add = (check: Check) => {
      for (const c of askedBy(check)) {
        if (found.has(c)) continue;
        found.add(c);
        const gate = key.gates[c];
        if (gate !== undefined) add(gate);
      }
    };
    for (const lead of couplet.leads) if (lead.check !== undefined) add(lead.check);
    asked = [...found];
    ASKED.set(couplet, asked);
  }
  return asked;
}
