import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { listed } from '../text/words.js';
import { closed, everyNumber, type Interval, meetNumbers, type NumberSet, numberSet } from './number-set.js';
import { findUnit, fromBase, MOST_WRITTEN, ONE, toBase, type Unit, unitNames } from './units.js';

/** A number in the notation of keys: everything possible, and what is usual where both are written. */
export interface Numbers {
  readonly possible: NumberSet;
  /** `5-8` of `(3-)5-8(-12)`; the same as `possible` when no extremes are written. */
  readonly usual: NumberSet;
}

type Notation =
  | { readonly ok: true; readonly value: Numbers }
  | { readonly ok: false; readonly problem: string };

/** What kind of numbers a character takes: measured in a unit, or counted. */
export interface Scale {
  readonly whole: boolean;
  readonly unit: Unit;
}

/** The forms a number may be written in, for messages. */
const numberForms = '12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit';

const NUMBER = String.raw`[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?`;
const DASH = String.raw`(?:\s*-\s*)`;
const COMPARED = new RegExp(String.raw`^(<=|>=|<|>|≤|≥)\s*(${NUMBER})$`);
const RANGE = new RegExp(
  String.raw`^(?:\(\s*(${NUMBER})${DASH}?\)\s*)?(${NUMBER})(?:${DASH}(${NUMBER}))?(?:\s*\(${DASH}?(${NUMBER})\s*\))?$`,
);
const BETWEEN = new RegExp(String.raw`^(>=|>|≥)\s*(${NUMBER})\s+to\s+(<=|<|≤)\s*(${NUMBER})$`);
const UNIT_AT_END = /^(.*?[\d).])\s*([a-zA-Zµμ%°]+)$/u;

/** No number of a key needs more characters; a longer text is a mistake, and reading it could take long. */
const LONGEST = 500;

/**
 * Reads a number in the notation of keys: `12`, `< 12`, `>= 5`, `5-12` (both ends included; hyphen or en dash),
 * `17 or 19`, `(3-)5-8(-12)` (usual and extreme; the extremes are what is possible), each with an optional unit, which
 * is converted exactly into the base unit. A unit at the end is that of all numbers before it that have none. Counts
 * must be whole. What `writeNumbers` writes is read as well: `> 2 to < 5`. Digits of every script, every dash and
 * minus, `½` and
 * `1e3` are read; thousands separators and decimal commas are not, since `1,000` may be either.
 */
export function readNumbers(written: string, scale: Scale): Notation {
  if (written.length > LONGEST) return { ok: false, problem: notANumber(written) };
  const possible: Interval[] = [];
  const usual: Interval[] = [];
  let unit: Unit | undefined;
  let unitWritten = false;
  for (const part of inPlainSigns(written)
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
    const value = toBase(digits, unit);
    if (value === undefined) return `${quoted(digits)} has more than ${MOST_WRITTEN} digits`;
    if (whole && !Number.isInteger(value))
      return `${quoted(digits)} is not a whole number, and a count must be one`;
    return value;
  };
  const compared = COMPARED.exec(part);
  if (compared !== null) {
    const [, sign = '', digits = ''] = compared;
    const value = read(digits);
    if (typeof value === 'string') return value;
    const interval = halfLine(sign, value);
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

function halfLine(sign: string, value: number): Interval {
  const open = sign === '<' || sign === '>';
  return sign === '<' || sign === '<=' || sign === '≤'
    ? { low: -Infinity, lowOpen: true, high: value, highOpen: open }
    : { low: value, lowOpen: open, high: Infinity, highOpen: true };
}

/** Fractions with a sign of their own that are decimals. */
const FRACTIONS: Readonly<Record<string, string>> = {
  '½': '.5',
  '¼': '.25',
  '¾': '.75',
  '⅕': '.2',
  '⅖': '.4',
  '⅗': '.6',
  '⅘': '.8',
  '⅛': '.125',
  '⅜': '.375',
  '⅝': '.625',
  '⅞': '.875',
};
const FRACTION = new RegExp(String.raw`(?<![\d.,])(\d*)\s?([${Object.keys(FRACTIONS).join('')}])`, 'g');

/** A text with special digits, dashes, minus signs and fractions replaced by plain ones. */
export function inPlainSigns(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: the test is for plain ASCII, which most texts are.
  if (/^[\x00-\x7f]*$/.test(text)) return text;
  return text
    .replace(/\p{Nd}/gu, plainDigit)
    .replace(/[\u2010-\u2015\u2212\uff0d]/g, '-')
    .replace(/[\u066b\uff0e]/g, '.')
    .replace(/\uff0b/g, '+')
    .replace(FRACTION, (_, whole: string, sign: string) => `${whole || '0'}${FRACTIONS[sign]}`);
}

/** The digits of every script stand in runs of ten from its zero, by the Unicode Standard (4.6, Numeric Value). */
function plainDigit(digit: string): string {
  const at = digit.codePointAt(0) ?? 0;
  let first = at;
  while (/\p{Nd}/u.test(String.fromCodePoint(first - 1))) first--;
  return String((at - first) % 10);
}

function notANumber(part: string): string {
  const [why, ...meant] = meantBy(part) ?? [];
  return why === undefined
    ? `${quoted(part)} is not a number as keys write them (${numberForms})`
    : `${quoted(part)} ${why}: write ${listed(meant.map(quoted), 'or')}`;
}

const THOUSANDS = /(?<!\d\s)(?<![\d.,'’_])[1-9]\d{0,2}(?:([,.'’_\s])\d{3})(?:\1\d{3})*(?![\d'’_])/g;
const FRACTION_WITH_SLASH = /(?:(\d+)[\s-])?(\d+)\s*[/\u2044]\s*(\d+)/g;

/**
 * Why a text is not read as a number though a person sees one, and what may have been meant; undefined where none is
 * seen.
 */
function meantBy(part: string): readonly [why: string, ...meant: string[]] | undefined {
  if (part.length > LONGEST) return undefined;
  const thousands = part.replace(THOUSANDS, (all, sign: string) =>
    sign === '.' && !/,\d/.test(part) ? all : all.replaceAll(sign, ''),
  );
  const whole = numeral(thousands.replace(/(\d),(\d)/g, '$1.$2'));
  const broken = numeral(part.replace(/(\d),(\d)/g, '$1.$2'));
  const hasComma = /\d,\d/.test(part);
  // Nobody writes decimals that are nothing but noughts: `1,000` is a thousand.
  const decimals = !/,0+(?!\d)/.test(part);
  if (thousands !== part && hasComma && decimals && whole !== undefined && broken !== undefined)
    return ['has a comma that may separate thousands or decimals', whole, broken];
  if (thousands !== part && whole !== undefined) return ['has its thousands separated', whole];
  if (hasComma && broken !== undefined) return ['has a decimal comma', broken];
  const slashed = part
    .replace(
      /(\d?)([\u2150-\u215e])/g,
      (_, before: string, sign: string) => `${before === '' ? '' : `${before} `}${sign.normalize('NFKC')}`,
    )
    .replace(FRACTION_WITH_SLASH, (all, ones: string | undefined, over: string, under: string) =>
      Number(under) === 0
        ? all
        : String(Number((Number(ones ?? 0) + Number(over) / Number(under)).toFixed(3))),
    );
  const divided = slashed === part ? undefined : numeral(slashed);
  return divided === undefined ? undefined : ['is a fraction', divided];
}

/** A text with points in place of decimal commas; undefined where a comma may part thousands instead. */
export function withDecimalPoints(text: string): string | undefined {
  if (text.replace(THOUSANDS, '') !== text || /,\d*[.,]/.test(text) || /\.\d*,/.test(text)) return undefined;
  return text.replace(/(\d),(\d)/g, '$1.$2');
}

/** A text if it is a number or a range, with no trailing zeros in its decimals. */
function numeral(text: string): string | undefined {
  if (!COMPARED.test(text) && !RANGE.test(text)) return undefined;
  return text.replace(/(\.\d+?)0+(?!\d)/g, '$1');
}

/** Whether a text looks like a number, though it may be written in a way that is not read: `1,000`. */
export function seemsNumber(written: string): boolean {
  const end = UNIT_AT_END.exec(inPlainSigns(written).trim());
  const unit = end === null ? undefined : findUnit(end[2] ?? '');
  const text = unit === undefined ? inPlainSigns(written).trim() : (end?.[1] ?? '');
  return (
    readNumbers(text, { whole: false, unit: ONE }).ok ||
    readNumbers(written, { whole: false, unit: unit ?? ONE }).ok ||
    text.split(/\s+or\s+/).every((part) => meantBy(part) !== undefined)
  );
}

/** The numbers of a set in the notation of keys and in the unit given: `1.5-4 cm`, `< 2 or > 6 mm`. */
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
