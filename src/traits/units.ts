import { nearest } from '../text/nearest.js';

/** What a unit measures; only units of one dimension can be converted into each other. */
type Dimension = 'length' | 'mass' | 'volume' | 'time' | 'angle' | 'ratio';

/** A unit: one of it is `factor * 10^power` of the base unit of its dimension (m, g, L, s, deg, 1), exactly. */
export interface Unit {
  readonly id: string;
  readonly dimension: Dimension;
  readonly factor: bigint;
  readonly power: number;
}

// UCUM codes where one exists; the inch is 25.4 mm exactly (international yard and pound agreement, 1959).
const TABLE: readonly [string, Dimension, bigint, number][] = [
  ['um', 'length', 1n, -6],
  ['mm', 'length', 1n, -3],
  ['cm', 'length', 1n, -2],
  ['dm', 'length', 1n, -1],
  ['m', 'length', 1n, 0],
  ['in', 'length', 254n, -4],
  ['ft', 'length', 3048n, -4],
  ['ug', 'mass', 1n, -6],
  ['mg', 'mass', 1n, -3],
  ['g', 'mass', 1n, 0],
  ['kg', 'mass', 1n, 3],
  ['uL', 'volume', 1n, -6],
  ['mL', 'volume', 1n, -3],
  ['L', 'volume', 1n, 0],
  ['s', 'time', 1n, 0],
  ['min', 'time', 60n, 0],
  ['h', 'time', 3600n, 0],
  ['d', 'time', 86400n, 0],
  ['deg', 'angle', 1n, 0],
  ['%', 'ratio', 1n, -2],
  ['1', 'ratio', 1n, 0],
];

const UNITS = new Map(TABLE.map(([id, dimension, factor, power]) => [id, { id, dimension, factor, power }]));
const SPELLINGS: Record<string, string> = {
  µm: 'um',
  μm: 'um',
  µg: 'ug',
  μg: 'ug',
  µL: 'uL',
  μL: 'uL',
  ml: 'mL',
  l: 'L',
  ul: 'uL',
  '°': 'deg',
};

/** The plain number, the unit of a character that has none. */
export const ONE: Unit = { id: '1', dimension: 'ratio', factor: 1n, power: 0 };

/** The names of all units, for messages. */
export const unitNames: readonly string[] = TABLE.map(([id]) => id);

/** The unit of that name (also `µm`, `ml`), or undefined. */
export function findUnit(name: string): Unit | undefined {
  return UNITS.get(SPELLINGS[name] ?? name);
}

/** Names of units in words, as headings of tables have them. */
const WORDS: Record<string, string> = {
  micrometre: 'um',
  micrometer: 'um',
  micron: 'um',
  millimetre: 'mm',
  millimeter: 'mm',
  centimetre: 'cm',
  centimeter: 'cm',
  metre: 'm',
  meter: 'm',
  inch: 'in',
  inche: 'in',
  foot: 'ft',
  feet: 'ft',
  milligram: 'mg',
  gram: 'g',
  kilogram: 'kg',
  millilitre: 'mL',
  milliliter: 'mL',
  litre: 'L',
  liter: 'L',
  second: 's',
  minute: 'min',
  hour: 'h',
  day: 'd',
  degree: 'deg',
  percent: '%',
};
const IN_ANY_CASE = new Map(
  [...TABLE.map(([id]) => [id, id] as const), ...Object.entries(SPELLINGS), ...Object.entries(WORDS)].map(
    ([word, id]) => [word.toLowerCase(), id],
  ),
);

/** A unit by its name in capitals or in words as well, as headings have it: `CM`, `inches`; undefined where it is none. */
export function unitInWords(name: string): Unit | undefined {
  const word = name.toLowerCase();
  const id = IN_ANY_CASE.get(word) ?? IN_ANY_CASE.get(word.replace(/s$|\.$/, ''));
  return findUnit(name) ?? (id === undefined ? undefined : findUnit(id));
}

/** The word for a unit that was most likely meant, or undefined when none is near. */
export function nearestUnit(name: string): string | undefined {
  return nearest(name, [...unitNames.filter((u) => u !== '1'), ...Object.keys(WORDS)]);
}

// A double keeps all decimals of up to 15 digits distinct and in order; with more digits, some could coincide.
const MOST_DIGITS = 15;
/** The most digits that a number may have when it is written out, before and after the point. */
export const MOST_WRITTEN = 60;
const DECIMAL = /^([-+]?)(\d*)(?:\.(\d*))?(?:[eE]([-+]?\d{1,3}))?$/;

/**
 * How many digits of a number in a unit count. A number in inches has three digits more in metres; so that numbers of
 * one unit keep their order and come back as they were read, the digits are cut where they are written.
 */
function digitsKept({ factor }: Unit): number {
  return factor === 1n ? MOST_DIGITS : MOST_DIGITS - factor.toString().replace(/0+$/, '').length;
}

/**
 * A decimal number as written (`3.5`, `.5`, `5.`, `+5`, `1e3`) in a unit, as a number of base units. Up to 15
 * digits are taken as they are (14 in min, 13 in h, 12 in inches and days, 11 in feet), so that two numbers
 * compare as their decimals do; longer ones, which come out of calculations (`0.30000000000000004`), are
 * rounded to so many. `undefined` when it is no number, or has more than 60 digits on a side of the point
 * when written out.
 */
export function toBase(decimal: string, unit: Unit): number | undefined {
  if (decimal.length > 4 * MOST_WRITTEN) return undefined;
  const [match, sign = '', whole = '', part = '', power = '0'] = DECIMAL.exec(decimal) ?? [];
  if (match === undefined || whole + part === '') return undefined;
  const digits = (whole + part).replace(/^0+/, '').replace(/0+$/, '');
  if (digits === '') return 0;
  const ending = (whole + part).length - (whole + part).replace(/0+$/, '').length;
  const exponent = Number(power) - part.length + ending;
  if (digits.length + exponent > MOST_WRITTEN || -exponent > MOST_WRITTEN) return undefined;
  const over = Math.max(0, digits.length - digitsKept(unit));
  const kept =
    over === 0 ? BigInt(digits) : (BigInt(digits) + 5n * 10n ** BigInt(over - 1)) / 10n ** BigInt(over);
  return Number(`${sign}${kept * unit.factor}e${exponent + over + unit.power}`);
}

/**
 * A number of base units as a decimal in a unit, without exponent: exactly where it is a decimal in that
 * unit, as all are in metric units; else six digits (a metre in feet).
 */
export function fromBase(value: number, unit: Unit): string {
  if (value === 0) return '0';
  const [digits = '0', exponent = '0'] = Math.abs(value).toExponential().split('e');
  const [whole = '0', part = ''] = digits.split('.');
  const sign = value < 0 ? '-' : '';
  const power = Number(exponent) - part.length - unit.power;
  if (unit.factor === 1n) return sign + plainDecimal(whole + part, power);
  const wide = BigInt(whole + part) * 10n ** MORE_PLACES;
  if (wide % unit.factor === 0n)
    return sign + plainDecimal((wide / unit.factor).toString(), power - Number(MORE_PLACES));
  const scaled = Number(`${whole}${part}e${power}`) / Number(unit.factor);
  return sign + Number(scaled.toPrecision(6)).toString();
}

// Dividing by our units' factors (2^a 3^b 5^c 127^d) gives at most this many decimal places more, if it ends at all.
const MORE_PLACES = 8n;

/** The decimal `digits * 10^power` written out. */
function plainDecimal(digits: string, power: number): string {
  if (power >= 0) return (digits + '0'.repeat(power)).replace(/^0+(?=\d)/, '');
  const padded = digits.padStart(1 - power, '0');
  const cut = padded.length + power;
  const part = padded.slice(cut).replace(/0+$/, '');
  const whole = padded.slice(0, cut).replace(/^0+(?=\d)/, '');
  return part === '' ? whole : `${whole}.${part}`;
}
