/** Amounts in the words of leads: measures, counts and ratios, as the notation of key files has them. */

import { inPlainSigns, readNumbers, withDecimalPoints } from '../../traits/notation.js';
import type { NumberSet } from '../../traits/number-set.js';
import { plainNumber } from '../../traits/number-words.js';
import { findUnit, ONE } from '../../traits/units.js';
import {
  AMOUNT_WORDS,
  DIMENSION_WORDS,
  FRACTION_WORDS,
  NUMBER_WORDS,
  RARE_WORDS,
  UNIT_WORDS,
} from './trait-words.js';

/** An amount that is all that a piece of text says. */
export interface Amount {
  /** As a key file has it, with its unit. */
  readonly notation: string;
  readonly numbers: NumberSet;
  readonly unit?: string;
  /** `length` and the like, where it is said. */
  readonly dimension?: string;
}

const alternatives = (words: Iterable<string>) =>
  [...words]
    .sort((a, b) => b.length - a.length)
    .map((w) => w.replace(/[.]/g, '\\.'))
    .join('|');
const wordly = (inner: string) => String.raw`(?<![\p{L}\d.-])(?:${inner})(?![\p{L}\d])`;
const NUMBERS = new RegExp(wordly(alternatives(Object.keys(NUMBER_WORDS))), 'giu');
const FRACTIONS = new RegExp(wordly(alternatives(Object.keys(FRACTION_WORDS))), 'giu');
const SAYINGS = AMOUNT_WORDS.map(
  ([words, plain]) => [new RegExp(String.raw`(?<![\p{L}\d])(?:${words})(?!\p{L})`, 'giu'), plain] as const,
);
const RARE = alternatives(RARE_WORDS);

/** Lines are twelfths of an inch (common practice, no source); the notation has no such unit. */
const LINE_IN_MM = 25.4 / 12;

/** A text with its numbers in figures, fractions as decimals, and what is said of them in plain English. */
export function inFigures(text: string): string {
  let plain = text
    .toLowerCase()
    .replace(/(\d)\s*[-–]\s*(\d)\/(\d{1,2})(?!\d)/g, (_, whole: string, a: string, b: string) =>
      // `1-1/2` is one and a half, where `1/2` alone would be less.
      decimal(Number(whole) + Number(a) / Number(b)),
    )
    .replace(/(?<![\d.])(\d{1,2})\/(\d{1,2})(?!\d)/g, (_, a: string, b: string) =>
      decimal(Number(a) / Number(b)),
    )
    .replace(/⅓/g, '0.333')
    .replace(/⅔/g, '0.667');
  plain = inPlainSigns(plain);
  plain = (/\d,\d/.test(plain) ? withDecimalPoints(plain) : undefined) ?? plain;
  for (const [pattern, said] of SAYINGS) plain = plain.replace(pattern, said);
  return plain
    .replace(FRACTIONS, (w) => FRACTION_WORDS[w] as string)
    .replace(NUMBERS, (w) => NUMBER_WORDS[w] as string)
    .replace(/(?<![\d.])\.(\d)/g, '0.$1')
    .replace(/(\d)\s*-{1,2}\s*(\d)/g, '$1-$2')
    .replace(
      new RegExp(String.raw`(\d),?\s*\(?(?:${RARE})\s+(\d+)\)?`, 'g'),
      (_, usual: string, rare: string) =>
        Number(rare) > Number(usual) ? `${usual}(-${rare})` : `${usual} or ${rare}`,
    );
}

function decimal(value: number): string {
  return String(Number(value.toFixed(3)));
}

const NUM = String.raw`\d+(?:\.\d+)?`;
const RANGE = String.raw`(?:\(${NUM}-\)\s?)?${NUM}(?:\s?(?:-|to|or)\s?${NUM})?(?:\s?\(-${NUM}\))?`;
const SIGN = String.raw`(?:at least|at most|less than|more than|up to|to|over|under|about|only|ca\.?|[<>≤≥]=?)`;
const UNIT = alternatives([...Object.keys(UNIT_WORDS), 'line', 'lines', 'linie', 'linien']);
const SAID = alternatives(Object.keys(DIMENSION_WORDS));
const MEASURE = new RegExp(
  String.raw`^(?<sign>(?:${SIGN}\s*)*)(?<range>${RANGE})(?<more>\s+or\s+(?:more|less))?\s*(?<unit>${UNIT})\.?(?<after>\s+or\s+(?:more|less))?(?:\s+(?<said>${SAID})\.?)?(?<end>\s+or\s+(?:more|less))?$`,
  'u',
);
const COUNT = new RegExp(
  String.raw`^(?<sign>(?:${SIGN}\s*)*)(?<range>${RANGE})(?<more>\s+or\s+(?:more|less))?(?:\s+in (?:number|each .*))?(?<rest>\s.*)?$`,
  'u',
);

/** The measure that a text is, in a unit; undefined when it is anything else. */
export function measureIn(text: string): Amount | undefined {
  const m = MEASURE.exec(inFigures(text).trim().replace(/[.]$/, ''))?.groups;
  if (m === undefined) return undefined;
  const written = m.unit as string;
  const lines = /^lin/.test(written);
  const unit = lines ? 'mm' : (UNIT_WORDS[written] as string);
  const range = lines
    ? (m.range as string).replace(/\d+(?:\.\d+)?/g, (n) => decimal(Number(n) * LINE_IN_MM))
    : (m.range as string);
  const dimension = m.said === undefined ? undefined : DIMENSION_WORDS[m.said];
  return amountOf(m.sign ?? '', range, m.more ?? m.after ?? m.end ?? '', unit, dimension);
}

/** A count at the beginning of a text, and the words behind it. */
export function countIn(text: string): { amount: Amount; rest: string } | undefined {
  const m = COUNT.exec(inFigures(text).trim())?.groups;
  // `twice pinnate` counts nothing that a find has.
  if (m === undefined || /\./.test(m.range as string) || /^\s*times\b/.test(m.rest ?? '')) return undefined;
  const amount = amountOf(m.sign ?? '', m.range as string, m.more ?? '', undefined, undefined);
  return amount === undefined ? undefined : { amount, rest: (m.rest ?? '').trim() };
}

const SIDE = '(?:long|wide|broad|thick|high|lang|breit|dick|hoch)';
const TIMES = new RegExp(
  String.raw`^(?<sign>(?:${SIGN}\s*)*)(?<range>${RANGE})(?<more>\s+or\s+more)?\s*(?:times|mal)\s+(?:(?:as|so)\s+(?<a>${SIDE})\s+(?:as|wie|als)\s+(?<b>${SIDE})|(?<c>longer|länger)\s+(?:than|als)\s+(?<d>${SIDE}))$`,
  'u',
);
const AS = new RegExp(
  String.raw`^(?<about>about |nearly |to )?(?:as|(?:eben)?so)\s+(?<a>${SIDE})\s+(?:as|wie|als)\s+(?<b>${SIDE})$`,
  'u',
);
const LONGER =
  /^(?:much |viel |deutlich )?(?<a>longer|länger|broader|wider|breiter)\s+(?:than|als)\s+(?<b>wide|broad|breit|long|lang)$/u;

/** How long something is beside its width: `at least twice as long as broad`, `länger als breit`. */
export function ratioIn(text: string): Amount | undefined {
  const plain = inFigures(text).trim();
  const m = TIMES.exec(plain)?.groups;
  if (m !== undefined) {
    if (!/^(?:long|lang|longer|länger)$/.test((m.a ?? m.c) as string)) return undefined;
    if (/^(?:long|lang)$/.test((m.b ?? m.d) as string)) return undefined;
    return amountOf(m.sign ?? '', m.range as string, m.more ?? '', undefined, 'ratio');
  }
  const words = text.trim().toLowerCase();
  const as = AS.exec(words)?.groups;
  if (as !== undefined && as.a !== as.b) return amountOf('', '0.8-1.25', '', undefined, 'ratio');
  const longer = LONGER.exec(words)?.groups;
  if (longer === undefined) return undefined;
  const long = /^l/.test(longer.a as string);
  if (long === /^l/.test(longer.b as string)) return undefined;
  return amountOf(long ? 'more than' : 'less than', '1', '', undefined, 'ratio');
}

const COMPARED =
  /^(?<sign>at least |mindestens |wenigstens |about |etwa |nearly |fast )?(?:(?<fraction>half|one-\w+|\w+-thirds) )?(?:(?:as|(?:eben)?so)\s+(?<as>long|wide|broad|thick|high|lang|breit|dick|hoch)\s+(?:as|wie|als)|(?:much |viel |deutlich |far )?(?<than>longer|shorter|wider|broader|länger|kürzer|breiter|schmäler)\s+(?:than|als))\s+(?:(?:the|its|der|die|das|den) )?(?<other>\p{L}[\p{L}-]*(?: (?:of|der|des)(?: the)? \p{L}[\p{L}-]*)?)\.?$/iu;
const OF_THE =
  /^(?<sign>less than|more than|at least|at most|about|nearly)\s+(?<fraction>half|one-\w+|two-thirds|three-fourths)\s+(?:of )?the (?<side>length|width) of the (?<other>\p{L}[\p{L}-]*)$/iu;
const SIDES: Readonly<Record<string, string>> = {
  longer: 'length',
  shorter: 'length',
  länger: 'length',
  kürzer: 'length',
};

/** How large something is beside another part: `shorter than the blade`, `mindestens so lang als die Blattfläche`. */
export function comparedIn(text: string): { amount: Amount; side: string; other: string } | undefined {
  const of = OF_THE.exec(text)?.groups;
  if (of !== undefined) {
    const amount = ratioOf(`${of.sign}`, FRACTION_WORDS[(of.fraction as string).toLowerCase()]);
    return amount === undefined ? undefined : { amount, side: 'as part', other: `${of.side} of ${of.other}` };
  }
  const m = COMPARED.exec(text)?.groups;
  if (m === undefined) return undefined;
  const other = (m.other as string).replace(/[.]$/, '');
  if (DIMENSION_WORDS[other.toLowerCase()] !== undefined) return undefined;
  const than = m.than?.toLowerCase();
  const side =
    than === undefined ? DIMENSION_WORDS[(m.as as string).toLowerCase()] : (SIDES[than] ?? 'width');
  const fraction = m.fraction === undefined ? '1' : FRACTION_WORDS[m.fraction.toLowerCase()];
  const sign = (m.sign ?? '').trim().toLowerCase();
  const amount =
    than !== undefined
      ? m.fraction === undefined && sign === ''
        ? ratioOf(/^(?:longer|wider|broader|länger|breiter)$/.test(than) ? 'more than' : 'less than', '1')
        : undefined
      : /^(?:at least|mindestens|wenigstens)$/.test(sign)
        ? ratioOf('at least', fraction)
        : fraction === '1'
          ? ratioOf('', '0.8-1.25')
          : undefined;
  return amount === undefined || side === undefined ? undefined : { amount, side, other };
}

const SHARE = new RegExp(
  String.raw`^(?<sign>(?:${SIGN}\s*)*)(?<share>0\.\d+)\s+(?<state>\p{L}+(?:ed|en))(?:\s+(?:by|from|in|with|von|vom)\s.*)?$`,
  'u',
);
/** What part of something is so: `more than half covered by the cup`. */
export function partIn(text: string): { amount: Amount; state: string } | undefined {
  const m = SHARE.exec(inFigures(text).trim())?.groups;
  if (m === undefined) return undefined;
  const amount = amountOf(m.sign ?? '', m.share as string, '', undefined, 'ratio');
  return amount === undefined ? undefined : { amount, state: m.state as string };
}

const GROUPS =
  /^(?:(?:clustered|arranged|borne|angeordnet)\s+)?(?:in|zu)\s+(?:(?<kind>\p{L}+)s\s+of\s+(?<each>.+)|(?<rows>\S.*?\s(?:rows|series|ranks|reihen|zeilen)))$/u;
/** How many stand together, or in how many rows: `in bundles of 2-6`, `in three or more rows`. */
export function groupedIn(text: string): { amount: Amount; of: string } | undefined {
  const m = GROUPS.exec(text.trim().toLowerCase().replace(/[.]$/, ''))?.groups;
  if (m === undefined) return undefined;
  const counted = countIn(m.each ?? (m.rows as string));
  if (counted === undefined) return undefined;
  if (m.kind !== undefined)
    return counted.rest === '' ? { amount: counted.amount, of: `number in ${m.kind}` } : undefined;
  return counted.rest.split(' ').length <= 3 ? { amount: counted.amount, of: 'rows' } : undefined;
}

function ratioOf(sign: string, value: string | undefined): Amount | undefined {
  return value === undefined ? undefined : amountOf(sign, value, '', undefined, 'ratio');
}

function amountOf(
  sign: string,
  range: string,
  more: string,
  unit: string | undefined,
  dimension: string | undefined,
): Amount | undefined {
  const found = unit === undefined ? ONE : findUnit(unit);
  if (found === undefined) return undefined;
  const whole = unit === undefined && dimension === undefined;
  const scale = { whole, unit: found };
  const signs = sign.replace(/\bonly\b/g, '').trim();
  const upper = /[\d.]+(?=\D*$)/.exec(range)?.[0] ?? range;
  const lower = /^\(?([\d.]+)/.exec(range)?.[1] ?? range;
  const number = range.replace(/\s*\bto\b\s*/, '-');
  let notation: string | undefined;
  if (/more/.test(more)) notation = `>= ${lower}`;
  else if (/less/.test(more)) notation = `<= ${upper}`;
  else if (/^(?:at least|≥|>=)/.test(signs)) notation = `>= ${lower}`;
  else if (/^(?:at most|up to|to|≤|<=)/.test(signs)) notation = `<= ${upper}`;
  else if (/^(?:less than|under|<)/.test(signs)) notation = `< ${lower}`;
  else if (/^(?:more than|over|>)/.test(signs)) notation = `> ${upper}`;
  else if (/^(?:about|ca)/.test(signs)) notation = plainNumber(`about ${number}`, scale, false)?.wide;
  else notation = number;
  if (notation === undefined) return undefined;
  const written = unit === undefined ? notation : `${notation} ${unit}`;
  const read = readNumbers(written, scale);
  if (!read.ok) return undefined;
  return {
    notation: written,
    numbers: read.value.possible,
    ...(unit === undefined ? {} : { unit }),
    ...(dimension === undefined ? {} : { dimension }),
  };
}
