import { readNumbers } from '../../traits/notation.js';
import type { NumberSet } from '../../traits/number-set.js';
import { findUnit, ONE, type Unit } from '../../traits/units.js';
import { alternatives, type Language } from './language.js';
import { LONGEST_READ } from './statements.js';

/** A number or range that the words of a lead give. */
export interface SaidNumber {
  /** As it is written: `at most 25 mm`, `over twelve`. */
  readonly text: string;
  readonly start: number;
  readonly end: number;
  /** The same in the notation of conditions, without a unit: `<= 25`, `> 12`. */
  readonly notation: string;
  readonly unit: Unit | undefined;
  /** Whether the words say more or less outright (`over 8`), so that they decide about the boundary. */
  readonly compared: boolean;
  /** Said with `about`, or in a way that cannot be compared exactly. */
  readonly loose: boolean;
  /** Compares one size with another: `3 times as long as broad`. */
  readonly times: boolean;
  /** A number in words, without digits: `two`. */
  readonly spelled: boolean;
}

const DASH = '[-–—]';
const ASCII_UNITS = [
  'um',
  'µm',
  'μm',
  'mm',
  'cm',
  'dm',
  'm',
  'ft',
  'ug',
  'µg',
  'mg',
  'kg',
  'g',
  'mL',
  'ml',
  'L',
  's',
  'min',
  'h',
  'd',
  '°',
  '%',
];
/** How far back from a number a word can change what it means. */
const NEAR = 30;
const patterns = new Map<Language, RegExp>();

/** The numbers that a text gives, in order. Page numbers, two-way sizes and numbers inside words are left out. */
export function saidNumbers(written: string, language: Language): SaidNumber[] {
  if (written.length > LONGEST_READ) return [];
  if (!/\d/.test(written) && !spelledAnywhere(written, language)) return [];
  const { words } = language;
  const text = words.decimalComma ? written.replace(/(\d),(?=\d)/g, '$1.') : written;
  const found: SaidNumber[] = [];
  for (const match of text.matchAll(patternFor(language))) {
    const number = fromMatch(match, text, language);
    if (number === undefined) continue;
    const last = found[found.length - 1];
    const joined = last === undefined ? undefined : joinAlternatives(last, number, text, language);
    if (joined === undefined) found.push(number);
    else found[found.length - 1] = joined;
  }
  return words.decimalComma ? found.map((f) => ({ ...f, text: written.slice(f.start, f.end) })) : found;
}

/** The numbers given, on the scale of a character; undefined when they cannot be on that scale. */
export function inScale(
  said: SaidNumber,
  scale: { readonly whole: boolean; readonly unit: Unit },
): NumberSet | undefined {
  const bare = scale.whole || scale.unit.id === ONE.id;
  if (bare !== (said.unit === undefined)) return undefined;
  if (said.unit !== undefined && said.unit.dimension !== scale.unit.dimension) return undefined;
  const read = readNumbers(
    said.unit === undefined ? said.notation : `${said.notation} ${said.unit.id}`,
    scale,
  );
  return read.ok ? read.value.possible : undefined;
}

const spelled = new Map<Language, readonly string[]>();

function spelledAnywhere(text: string, language: Language): boolean {
  let list = spelled.get(language);
  if (list === undefined) {
    list = [...Object.keys(language.words.numbers), ...Object.keys(language.words.multiples)];
    spelled.set(language, list);
  }
  return language.first(list, text) !== undefined;
}

function patternFor(language: Language): RegExp {
  const known = patterns.get(language);
  if (known !== undefined) return known;
  const { words } = language;
  const number = String.raw`(?:\d+(?:\.\d+)?|${alternatives(Object.keys(words.numbers))}(?![\p{L}-]))`;
  const unit = `(?:${alternatives([...ASCII_UNITS, ...Object.keys(words.units)])}(?![\\p{L}\\p{N}]))`;
  const range = String.raw`(?:\(\s{0,3}(?<least>${number})\s{0,3}${DASH}?\s{0,3}\)\s{0,3})?(?<from>${number})(?:\s{0,3}(?<inner>${unit})?\s{0,3}(?:${DASH}|\b${words.rangeWord}\b)\s{0,3}(?<to>${number}))?(?:\s{0,3}\(\s{0,3}${DASH}?\s{0,3}(?<most>${number})\s{0,3}\))?`;
  const signs = [...words.before['>='], ...words.before['<='], ...words.before['>'], ...words.before['<']];
  const ends = [...words.after['>='], ...words.after['<=']];
  const pattern = new RegExp(
    [
      String.raw`(?<![\p{L}\p{N}.×*/-])(?:`,
      String.raw`(?<multiple>${alternatives(Object.keys(words.multiples))})(?![\p{L}-])|`,
      String.raw`(?:(?<between>${words.between[0]})\s{1,3}(?<low>${number})\s{0,3}(?:${unit})?\s{1,3}${words.between[1]}\s{1,3}(?<high>${number})|`,
      String.raw`(?:(?<sign>${alternatives(signs)}|[<>≤≥]=?)\s{0,3})?(?:(?<about>${alternatives(words.about)})\s{1,3})?${range})`,
      String.raw`(?:\s{0,3}(?<times>${alternatives(words.times)})(?![\p{L}])|\s{0,3}(?<unit>${unit}))?`,
      // Not part of a longer number, of a two-way size or of a word such as 3-lobed.
      String.raw`(?![\p{L}\p{N}]|\.\d|\s{0,3}[/×]|\s{1,3}x\s{0,3}\d|-\p{L}|\s{0,3}${DASH}\s{0,3}\d)`,
      String.raw`(?:(?:\s{1,3}${alternatives(words.dimensions)}){0,2}?\s{1,3}(?<end>${alternatives(ends)})(?![\p{L}-]|\s{1,3}(?:than|als)(?!\p{L})))?)`,
    ].join(''),
    'giu',
  );
  patterns.set(language, pattern);
  return pattern;
}

function fromMatch(match: RegExpExecArray, text: string, language: Language): SaidNumber | undefined {
  const { words } = language;
  const groups = match.groups ?? {};
  const start = match.index;
  const end = start + match[0].length;
  const base = { text: match[0], start, end };
  if (groups.multiple !== undefined) {
    const notation = String(words.multiples[lower(groups.multiple)] ?? 0);
    return { ...base, notation, unit: undefined, compared: false, loose: false, times: true, spelled: true };
  }
  const value = (digits: string | undefined): string | undefined =>
    digits === undefined
      ? undefined
      : /^\d/.test(digits)
        ? digits
        : String(words.numbers[lower(digits)] ?? '');
  const unit = findUnit(unitId(groups.unit ?? groups.inner, language) ?? '');
  const times = groups.times !== undefined;
  const isSpelled = !/\d/.test(match[0]);
  const sign = signOf(groups.sign, groups.end, language);
  const before = text.slice(Math.max(0, start - NEAR), start).trimEnd();
  if (language.is(words.references, before.slice(before.lastIndexOf(' ') + 1))) return undefined;
  // The second number of a two-way size, 6-8 × 4-5 µm.
  if (/\d\s*[x×*]$/.test(before)) return undefined;
  if (unit === undefined && !times) {
    // A year, or a word that is also a pronoun.
    if (/^(?:1[5-9]|20)\d\d$/.test(match[0])) return undefined;
    if (language.is(words.weakNumbers, match[0])) return undefined;
  }
  if (groups.between !== undefined)
    return {
      ...base,
      notation: `${value(groups.low)}-${value(groups.high)}`,
      unit,
      compared: false,
      loose: false,
      times,
      spelled: isSpelled,
    };
  const ranged = groups.to !== undefined || groups.least !== undefined || groups.most !== undefined;
  const least = groups.least === undefined ? '' : `(${value(groups.least)}-)`;
  const to = groups.to === undefined ? '' : `-${value(groups.to)}`;
  const most = groups.most === undefined ? '' : `(-${value(groups.most)})`;
  const notation =
    sign !== undefined && !ranged
      ? `${sign} ${value(groups.from)}`
      : `${least}${value(groups.from)}${to}${most}`;
  const loose =
    groups.about !== undefined || (sign !== undefined && ranged) || hedgedBefore(text, start, language);
  return { ...base, notation, unit, compared: sign !== undefined, loose, times, spelled: isSpelled };
}

function signOf(
  before: string | undefined,
  after: string | undefined,
  language: Language,
): string | undefined {
  const { words } = language;
  if (before !== undefined) {
    if (before === '≤') return '<=';
    if (before === '≥') return '>=';
    if (/^[<>]/.test(before)) return before;
    for (const sign of ['>=', '<=', '>', '<'] as const)
      if (language.is(words.before[sign], spaced(before))) return sign;
  }
  if (after !== undefined) return language.is(words.after['>='], spaced(after)) ? '>=' : '<=';
  return undefined;
}

// `rarely to 12 mm`: an end said of a few need not be the end of what is allowed.
function hedgedBefore(text: string, start: number, language: Language): boolean {
  const before = text.slice(Math.max(0, start - NEAR), start);
  const hedge = language.first(language.words.hedges, before);
  return hedge !== undefined && /^\s*\S*\s*$/u.test(before.slice(hedge.at + hedge.word.length));
}

function unitId(written: string | undefined, language: Language): string | undefined {
  return written === undefined ? undefined : (language.words.units[lower(written)] ?? written);
}

/** `less than 5 or more than 8 mm`: one statement with two ranges. */
function joinAlternatives(
  a: SaidNumber,
  b: SaidNumber,
  text: string,
  language: Language,
): SaidNumber | undefined {
  const between = text.slice(a.end, b.start).trim();
  if (!language.is(language.words.or, between) || a.times !== b.times) return undefined;
  if (a.unit !== undefined && b.unit !== undefined && a.unit !== b.unit) return undefined;
  if (a.unit !== undefined && b.unit === undefined) return undefined;
  return {
    ...b,
    text: text.slice(a.start, b.end),
    start: a.start,
    notation: `${a.notation} or ${b.notation}`,
    compared: a.compared && b.compared,
    loose: a.loose || b.loose,
    spelled: a.spelled && b.spelled,
  };
}

function lower(text: string): string {
  return spaced(text.toLowerCase());
}

function spaced(text: string): string {
  return text.replace(/\s+/g, ' ');
}
