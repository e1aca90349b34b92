import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { closed, everyNumber, type Interval, meetNumbers, type NumberSet, numberSet } from './numberset.js';
import { findUnit, fromBase, ONE, toBase, type Unit, unitNames } from './units.js';

/** What the trade's number notation says: everything possible, and what is usual where both are written. */
export interface Numbers {
  readonly possible: NumberSet;
  /** `5-8` of `(3-)5-8(-12)`; the same as `possible` when no extremes are written. */
  readonly usual: NumberSet;
}

export type Notation =
  | { readonly ok: true; readonly value: Numbers }
  | { readonly ok: false; readonly problem: string };

/** What kind of numbers a character takes: measured in a unit, or counted. */
export interface Scale {
  readonly whole: boolean;
  readonly unit: Unit;
}

/** The forms a number may be written in, for messages. */
export const numberForms = '12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit';

const NUMBER = String.raw`-?\d+(?:\.\d+)?`;
const DASH = String.raw`(?:\s*[-–]\s*)`;
const COMPARED = new RegExp(String.raw`^(<=|>=|<|>|≤|≥)\s*(${NUMBER})$`);
const RANGE = new RegExp(
  String.raw`^(?:\(\s*(${NUMBER})${DASH}?\)\s*)?(${NUMBER})(?:${DASH}(${NUMBER}))?(?:\s*\(${DASH}?(${NUMBER})\s*\))?$`,
);
const BETWEEN = new RegExp(String.raw`^(>=|>|≥)\s*(${NUMBER})\s+to\s+(<=|<|≤)\s*(${NUMBER})$`);
const UNIT_AT_END = /^(.*?[\d)])\s*([a-zA-Zµμ%°]+)$/u;

/** No number of a key needs more; a longer text is a mistake, and reading it could take long. */
const LONGEST = 500;

/**
 * Reads a number in the trade's notation: `12`, `< 12`, `>= 5`, `5-12` (both ends included; hyphen or en dash),
 * `17 or 19`, `(3-)5-8(-12)` (usual and extreme; the extremes are what is possible), each with an optional unit, which
 * is converted exactly into the base unit. A unit at the end is that of all numbers before it that have none. Counts
 * must be whole. What `writeNumbers` writes is read as well: `> 2 to < 5`.
 */
export function readNumbers(written: string, scale: Scale): Notation {
  if (written.length > LONGEST) return { ok: false, problem: notANumber(written) };
  const possible: Interval[] = [];
  const usual: Interval[] = [];
  let unit: Unit | undefined;
  let unitWritten = false;
  for (const part of written
    .trim()
    .split(/\s+or\s+/)
    .reverse()) {
    let text = part;
    const tail = UNIT_AT_END.exec(part);
    if (tail !== null) {
      const [, before = '', name = ''] = tail;
      const known = findUnit(name);
      if (known === undefined) return unknownUnit(name);
      if (scale.whole || known.dimension !== scale.unit.dimension) return wrongDimension(known, scale);
      if (unit !== undefined && !unitWritten) return oneUnit(written);
      text = before;
      unit = known;
      unitWritten = true;
    } else unit ??= scale.unit;
    const one = readPart(text.trim(), unit, scale.whole);
    if (typeof one === 'string') return { ok: false, problem: one };
    possible.push(one.possible);
    usual.push(one.usual);
  }
  return {
    ok: true,
    value: { possible: numberSet(possible, scale.whole), usual: numberSet(usual, scale.whole) },
  };
}

function oneUnit(written: string): Notation {
  const problem = `${quoted(written)} gives a unit to one number and not to the last: write it after the last number, or after each`;
  return { ok: false, problem };
}

function unknownUnit(name: string): Notation {
  const near = nearest(name, unitNames);
  const hint =
    near === undefined
      ? `the units are ${unitNames.filter((u) => u !== '1').join(', ')}`
      : `did you mean ${near}?`;
  return { ok: false, problem: `${quoted(name)} is not a unit (${hint})` };
}

function wrongDimension(unit: Unit, scale: Scale): Notation {
  const expected = scale.whole
    ? 'a count has no unit'
    : scale.unit === ONE
      ? 'this character has no unit'
      : `this character is in ${scale.unit.id}`;
  return { ok: false, problem: `a number in ${unit.id} does not fit here: ${expected}` };
}

function readPart(
  part: string,
  unit: Unit,
  whole: boolean,
): { possible: Interval; usual: Interval } | string {
  const read = (digits: string): number | string => {
    if (whole && digits.includes('.'))
      return `${quoted(digits)} is not a whole number, and a count must be one`;
    return toBase(digits, unit) ?? `${quoted(digits)} has more than 15 digits`;
  };
  const compared = COMPARED.exec(part);
  if (compared !== null) {
    const [, sign = '', digits = ''] = compared;
    const value = read(digits);
    if (typeof value === 'string') return value;
    const interval = beyond(sign, value);
    return { possible: interval, usual: interval };
  }
  const between = BETWEEN.exec(part);
  if (between !== null) {
    const [, above = '', from = '', below = '', to = ''] = between;
    const low = read(from);
    if (typeof low === 'string') return low;
    const high = read(to);
    if (typeof high === 'string') return high;
    if (high < low) return backwards(part);
    const interval = { low, lowOpen: above === '>', high, highOpen: below === '<' };
    return { possible: interval, usual: interval };
  }
  const range = RANGE.exec(part);
  if (range === null) return notANumber(part);
  const values: (number | undefined)[] = [];
  for (const digits of [range[1], range[2], range[3], range[4]]) {
    if (digits === undefined) values.push(undefined);
    else {
      const value = read(digits);
      if (typeof value === 'string') return value;
      values.push(value);
    }
  }
  const [least, from = 0, to = from, most] = values;
  const ends = [least ?? from, from, to, most ?? to];
  if (ends.some((end, i) => i > 0 && end < (ends[i - 1] as number))) {
    return backwards(part);
  }
  return { possible: closed(ends[0] as number, ends[3] as number), usual: closed(from, to) };
}

function backwards(part: string): string {
  return `${quoted(part)} runs backwards: write the smaller number first`;
}

function beyond(sign: string, value: number): Interval {
  const open = sign === '<' || sign === '>';
  return sign === '<' || sign === '<=' || sign === '≤'
    ? { low: -Infinity, lowOpen: true, high: value, highOpen: open }
    : { low: value, lowOpen: open, high: Infinity, highOpen: true };
}

function notANumber(part: string): string {
  if (/\d,\d/.test(part))
    return `${quoted(part)} has a decimal comma: write ${quoted(part.replace(/(\d),(\d)/g, '$1.$2'))}`;
  return `${quoted(part)} is not a number as keys write them (${numberForms})`;
}

/** The numbers of a set in the trade's notation and in the unit given: `1.5-4 cm`, `< 2 or > 6 mm`. */
export function writeNumbers(set: NumberSet, unit: Unit): string {
  if (set.intervals.length === 0) return 'no number';
  const text = set.intervals.map((i) => writeInterval(i, unit)).join(' or ');
  return unit.id === '1' || text === 'any number' ? text : `${text} ${unit.id}`;
}

function writeInterval(i: Interval, unit: Unit): string {
  const low = () => fromBase(i.low, unit);
  const high = () => fromBase(i.high, unit);
  if (i.low === -Infinity && i.high === Infinity) return 'any number';
  if (i.low === -Infinity) return `${i.highOpen ? '<' : '<='} ${high()}`;
  if (i.high === Infinity) return `${i.lowOpen ? '>' : '>='} ${low()}`;
  if (i.low === i.high) return low();
  if (!i.lowOpen && !i.highOpen) return `${low()}-${high()}`;
  return `${i.lowOpen ? '>' : '>='} ${low()} to ${i.highOpen ? '<' : '<='} ${high()}`;
}

/** The numbers that a character can take at all: its limits, or nothing below zero. */
export function withinLimits(limits: NumberSet | undefined, whole: boolean): NumberSet {
  return limits ?? meetNumbers(everyNumber(whole), numberSet([closed(0, Infinity)], whole));
}
