import { inPlainSigns, readNumbers, type Scale, withDecimalPoints } from './notation.js';

/** A number in words, in the notation of keys. */
interface PlainNumber {
  /** As it is written. */
  readonly exact: string;
  /** With what "about" adds; the same where nothing is said to be about. */
  readonly wide: string;
  readonly ways: readonly ('number-words' | 'number-about' | 'decimal-comma')[];
}

/**
 * A number that people write in words, in the notation of keys: `4 to 6`, `between 4 and 6`, `up to 5`, `over 3`, `5 or more`,
 * `2 inches`, `ca. 4`. Undefined when it is none of these.
 *
 * "About" is a range, never a point: the number less and more one in its last digit (zeros at the end of a whole number do not
 * count), or a tenth of it where that is more. `ca. 4` is 3-5, `ca. 40` is 30-50, `ca. 4.5` is 4.05-4.95. The rule is our own
 * (no source) and rather too wide than too narrow: what is wide rules less out.
 */
export function plainNumber(written: string, scale: Scale, decimalComma: boolean): PlainNumber | undefined {
  if (written.length > LONGEST) return undefined;
  const signs = inPlainSigns(written).trim();
  const points = decimalComma ? withDecimalPoints(signs) : signs;
  if (points === undefined) return undefined;
  const ways: PlainNumber['ways'][number][] = points === signs ? [] : ['decimal-comma'];
  if (readNumbers(points, scale).ok) return { exact: points, wide: points, ways };
  const parts = points
    .toLowerCase()
    .split(/\s+or\s+(?!more|less|so\b|fewer|over|above|under|below|up\b|larger|greater|smaller)/);
  const read = parts.map((part) => plainPart(part.trim(), scale.whole));
  if (!read.every((r) => r !== undefined)) return undefined;
  const exact = read.map((r) => r.exact).join(' or ');
  const wide = read.map((r) => r.wide).join(' or ');
  if (!readNumbers(exact, scale).ok || !readNumbers(wide, scale).ok) return undefined;
  const about = read.some((r) => r.about);
  return { exact, wide, ways: [...ways, about ? 'number-about' : 'number-words'] };
}

const LONGEST = 120;
const NUMBER = String.raw`[-+]?(?:\d+(?:\.\d*)?|\.\d+)`;

/** Words for units; those of one letter, and the ids themselves, are read in any capitals. */
const UNIT_WORDS: Readonly<Record<string, string>> = {
  um: 'um',
  micron: 'um',
  microns: 'um',
  mm: 'mm',
  cm: 'cm',
  dm: 'dm',
  m: 'm',
  in: 'in',
  inch: 'in',
  inches: 'in',
  '"': 'in',
  '″': 'in',
  '”': 'in',
  "''": 'in',
  ft: 'ft',
  foot: 'ft',
  feet: 'ft',
  g: 'g',
  kg: 'kg',
  mg: 'mg',
  s: 's',
  sec: 's',
  secs: 's',
  min: 'min',
  mins: 'min',
  h: 'h',
  hr: 'h',
  hrs: 'h',
  d: 'd',
  percent: '%',
  'per cent': '%',
  ml: 'mL',
  l: 'L',
  deg: 'deg',
  ...plurals({ micrometre: 'um', micrometer: 'um', millimetre: 'mm', millimeter: 'mm' }),
  ...plurals({
    centimetre: 'cm',
    centimeter: 'cm',
    decimetre: 'dm',
    decimeter: 'dm',
    metre: 'm',
    meter: 'm',
  }),
  ...plurals({ gram: 'g', gramme: 'g', kilogram: 'kg', milligram: 'mg', litre: 'L', liter: 'L' }),
  ...plurals({
    millilitre: 'mL',
    milliliter: 'mL',
    second: 's',
    minute: 'min',
    hour: 'h',
    day: 'd',
    degree: 'deg',
  }),
};

function plurals(words: Readonly<Record<string, string>>): Record<string, string> {
  return Object.fromEntries(
    Object.entries(words).flatMap(([word, unit]) => [
      [word, unit],
      [`${word}s`, unit],
    ]),
  );
}

const WITH_UNIT = new RegExp(
  `(?<=[\\d.])\\s*(${Object.keys(UNIT_WORDS)
    .sort((a, b) => b.length - a.length)
    .join('|')})(?![a-z])\\.?`,
  'g',
);

/** The id of the unit that a word stands for. */
export function unitNamed(word: string): string | undefined {
  const said = inPlainSigns(word)
    .trim()
    .toLowerCase()
    .replace(/\.$/, '')
    .replace(/^[µμ]m$/, 'um');
  return Object.hasOwn(UNIT_WORDS, said) ? UNIT_WORDS[said] : undefined;
}

const ABOUT = String.raw`(?:(?:ca\.?|c\.|c(?=\s)|circa|approx\.?|approximately|about|around|roughly|nearly|almost)\s*|[~≈]\s*)`;
const ABOUT_AFTER = /\s*(?:\(?(?:approx\.?|approximately|ca\.?|circa)\)?|or so|-?ish)$/;
const ONE = `(${ABOUT})?(${NUMBER})`;
const RANGE = new RegExp(`^(?:from\\s+)?${ONE}\\s*(?:-|(?:up\\s+)?to|till|until|through)\\s*${ONE}$`);
const BETWEEN = new RegExp(`^between\\s+${ONE}\\s+and\\s+${ONE}$`);
const SINGLE = new RegExp(`^${ONE}$`);

/** Words that compare, before a number and behind it; the sign of keys that stands for each. */
const COMPARED: readonly [RegExp, string][] = [
  [worded('up to|at most|no more than|not more than|max\\.?|maximum|maximal|<=|≤'), '<='],
  [worded('at least|no less than|not less than|min\\.?|minimum|minimal|>=|≥'), '>='],
  [worded('over|more than|greater than|larger than|bigger than|above|>'), '>'],
  [worded('under|less than|fewer than|smaller than|below|<'), '<'],
  [new RegExp(`^${ONE}\\s*(?:\\+|(?:or|and) (?:more|over|above|up|larger|greater))$`), '>='],
  [new RegExp(`^${ONE}\\s*(?:or|and) (?:less|fewer|under|below|smaller)$`), '<='],
];

function worded(words: string): RegExp {
  return new RegExp(`^(?:${words})\\s*${ONE}$`);
}

interface ReadPart {
  readonly exact: string;
  readonly wide: string;
  readonly about: boolean;
}

function plainPart(part: string, whole: boolean): ReadPart | undefined {
  const units = new Set<string>();
  let last = '';
  let bare = part.replace(WITH_UNIT, (_, word: string) => {
    last = UNIT_WORDS[word] ?? '';
    units.add(last);
    return '';
  });
  // Two units, or one that stands before the last number only, may mean anything.
  if (units.size > 1) return undefined;
  if (units.size === 1 && new RegExp(`${NUMBER}[^\\d]*$`).exec(part)?.[0].match(WITH_UNIT) === null)
    return undefined;
  bare = bare.replace(/\s+/g, ' ').trim();
  const after = bare.replace(ABOUT_AFTER, '');
  const all = after !== bare || new RegExp(`^${ABOUT}`).test(bare);
  const unit = last === '' ? '' : ` ${last}`;
  const shift = (about: string | undefined, digits: string, by: -1 | 1) =>
    all || about !== undefined ? shifted(digits, by, whole) : digits;
  const [, from, low = '', to, high = ''] = RANGE.exec(after) ?? BETWEEN.exec(after) ?? [];
  if (low !== '') {
    const about = all || from !== undefined || to !== undefined;
    return {
      exact: `${low}-${high}${unit}`,
      wide: `${shift(from, low, -1)}-${shift(to, high, 1)}${unit}`,
      about,
    };
  }
  for (const [pattern, sign] of COMPARED) {
    const [, said, digits = ''] = pattern.exec(after) ?? [];
    if (digits === '') continue;
    const end = shift(said, digits, sign.startsWith('<') ? 1 : -1);
    return {
      exact: `${sign} ${digits}${unit}`,
      wide: `${sign} ${end}${unit}`,
      about: all || said !== undefined,
    };
  }
  const [, said, digits = ''] = SINGLE.exec(after) ?? [];
  // What has other signs of the notation, such as extremes in brackets, is left to its reader.
  if (digits === '')
    return all ? undefined : { exact: `${after}${unit}`, wide: `${after}${unit}`, about: false };
  if (!all && said === undefined) return { exact: digits + unit, wide: digits + unit, about: false };
  return {
    exact: digits + unit,
    wide: `${shifted(digits, -1, whole)}-${shifted(digits, 1, whole)}${unit}`,
    about: true,
  };
}

/** A number moved by what "about" may hide, down or up; never below zero where it is not itself. */
function shifted(digits: string, by: -1 | 1, whole: boolean): string {
  const [, sign = '', before = '', behind = ''] = /^([-+]?)(\d*)\.?(\d*)$/.exec(digits) ?? [];
  const number = BigInt(before + behind) * (sign === '-' ? -1n : 1n);
  const size = number < 0n ? -number : number;
  const zeros = behind === '' ? (/[1-9](0+)$/.exec(before)?.[1]?.length ?? 0) : 0;
  const step = 10n ** BigInt(zeros);
  // In tenths of the last digit, of which a tenth of the number is a whole number.
  const more = size > step * 10n ? size : step * 10n;
  let tenths = number * 10n + BigInt(by) * more;
  if (number >= 0n && tenths < 0n) tenths = 0n;
  if (whole)
    tenths =
      by < 0
        ? tenths - (((tenths % 10n) + 10n) % 10n)
        : tenths + ((10n - (((tenths % 10n) + 10n) % 10n)) % 10n);
  const text = (tenths < 0n ? -tenths : tenths).toString().padStart(behind.length + 2, '0');
  const cut = text.length - behind.length - 1;
  const part = text.slice(cut).replace(/0+$/, '');
  return `${tenths < 0n ? '-' : ''}${text.slice(0, cut)}${part === '' ? '' : `.${part}`}`;
}
