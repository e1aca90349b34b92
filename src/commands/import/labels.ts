/** The labels that printed keys put before their leads: numbers, letters, Roman numerals, signs, dashes. */

/** The kinds of label. `decimal` is 1.1, 1.2.1; `sign` is an asterisk, a dagger and the like. */
export type System =
  | 'number'
  | 'decimal'
  | 'upper'
  | 'lower'
  | 'roman'
  | 'lower-roman'
  | 'greek'
  | 'sign'
  | 'dash';

/** One way to read a label: `i.` is the ninth letter or the first Roman numeral. */
export interface LabelReading {
  readonly system: System;
  readonly ordinal: number;
}

/** What is printed before a lead. */
export interface Label {
  /** As printed, without the spaces after it. */
  readonly printed: string;
  readonly readings: readonly LabelReading[];
  /** How often a letter or sign is repeated: `a` 1, `aa` 2. */
  readonly times: number;
  /** Which lead of its couplet the label says it is (from 0): `1a` 0, `1b` 1, `1'` 1. undefined when it does not say. */
  readonly mark: number | undefined;
  /** The letters of the mark are `a` or `A`, so that a later lead may be labelled `b` or `B` alone. */
  readonly markSystem: 'lower' | 'upper' | undefined;
  /** The couplet's name as printed: `12`, `A3`, `a`. */
  readonly value: string;
  /** Numbers in brackets after it. */
  readonly back: readonly string[];
  /** Whether a stop, bracket or dash shows that it is a label. */
  readonly firm: boolean;
  /** What surrounds it, to tell `1.` from `1)` and `(1)`. */
  readonly dress: string;
  /** Where the words of the lead begin in the line. */
  readonly end: number;
}

const BACK_PART = String.raw`[A-Z]?\d{1,5}\s?[a-h]{0,2}['’′*]{0,2}`;
const BACK = new RegExp(
  String.raw`^\s*[.:]?\s*[([]\s*(?:from |aus |von |vgl\. )?(${BACK_PART}(?:\s*[,;/&+.]\s*${BACK_PART}){0,9})\s*\.?\s*[)\]]`,
);
const PRIMES: Record<string, number> = {
  "'": 1,
  '’': 1,
  '′': 1,
  '´': 1,
  '`': 1,
  '*': 1,
  '"': 2,
  '″': 2,
  '”': 2,
};

/** The label at the beginning of a line's text, if one can be read there. The lines around it show whether it is one. */
export function readLabel(text: string): Label | undefined {
  const head = text.slice(0, 60);
  return (
    readNumber(head, text) ?? readLettered(head, text) ?? readLetters(head, text) ?? readSign(head, text)
  );
}

function readNumber(head: string, text: string): Label | undefined {
  const first = /^(?:couplet\s+|nr\.\s*|no\.\s*)?([*§]?)([([]?)\s*(?:([A-Z])[.-]?)?(\d{1,5})/i.exec(head);
  if (first === null) return undefined;
  const [whole, star = '', open = '', prefix = '', digits = ''] = first;
  if (prefix !== prefix.toUpperCase()) return undefined;
  let at = whole.length;
  const decimal = /^(?:\.\d{1,3})+/.exec(head.slice(at));
  if (decimal !== null) return readDecimal(head, text, digits + decimal[0], at + decimal[0].length);
  if (/^\s*[-–—x×/,]\s*\d|^\s*[%°]|^,\d/.test(head.slice(at)) && !/^\/\d+['a-d]/.test(head.slice(at)))
    return undefined;
  // `A2–A6`
  if (prefix !== '' && /^\s*[-–—]\s*[A-Z]\d/.test(head.slice(at))) return undefined;
  let mark = star === '*' ? 1 : undefined;
  let markSystem: Label['markSystem'];
  const take = (pattern: RegExp): RegExpExecArray | undefined => {
    const found = pattern.exec(head.slice(at));
    if (found === null) return undefined;
    at += found[0].length;
    return found;
  };
  let closed = open !== '' && take(/^\s*[)\]]/) !== undefined;
  const letter =
    take(/^([a-h])\1?(?![\p{L}\p{N}])/u) ??
    take(/^([A-H])(?![\p{L}\p{N}])/u) ??
    take(/^\s([a-h])(?=\s*[.):]|\s+[\p{Lu}"“„(])(?!\.\s?[a-z]\.)/u) ??
    take(/^\s([A-H])(?=\s*[.):])/u);
  if (letter !== undefined) {
    const found = letter[1] as string;
    const doubled = letter[0].trim().length === 2;
    mark = doubled ? 1 : found.toLowerCase().charCodeAt(0) - 97;
    markSystem = doubled ? undefined : found === found.toLowerCase() ? 'lower' : 'upper';
  } else {
    const prime = take(/^\s?(['’′´`*]{1,3}|["″”])(?!\p{L}\p{L})/u) ?? take(/^\.(['’′*]{1,2})(?=\s)/);
    if (prime !== undefined) {
      const signs = prime[1] as string;
      mark = signs.length > 1 ? signs.length : (PRIMES[signs] ?? 1);
    } else if (take(/^\s?bis\b/) !== undefined) mark = 1;
  }
  if (open !== '' && !closed) closed = take(/^\s*[)\]]/) !== undefined;
  if (open !== '' && !closed) return undefined;
  let back = take(BACK);
  const stop = take(
    /^\s*(?:\.\s?(?:--|[-–—])+|[.):\]]+(?:--|[–—])?|[-–—]{1,3}(?=\s|["“„(]?\p{Lu})|[-–—]{2,3}|[–—])/u,
  );
  back ??= take(BACK);
  if (back !== undefined) take(/^\s*[.:]|^\s*(?:--|[–—-])(?=\s|\p{Lu})/u);
  if (mark === undefined && stop !== undefined) {
    const after =
      take(/^\s*([a-h])(?=[.)])[.)]+/) ??
      take(/^\s*\(([a-h])\)/) ??
      take(/^\s*([a-h])(?=\s+\p{Lu})/u) ??
      take(/^\s*([A-H])(?=[.)])[.)]/);
    if (after !== undefined) {
      const found = after[1] as string;
      mark = found.toLowerCase().charCodeAt(0) - 97;
      markSystem = found === found.toLowerCase() ? 'lower' : 'upper';
      back ??= take(BACK);
    }
  }
  const firm =
    closed ||
    stop !== undefined ||
    back !== undefined ||
    letter !== undefined ||
    star !== '' ||
    mark !== undefined;
  const printed = head.slice(0, at).trim();
  const rest = text.slice(at);
  if (!beginsWords(rest, firm, stop?.[0] ?? '')) return undefined;
  const dress = `${prefix === '' ? '' : 'A'}${open}${closed ? ')' : ''}${stop?.[0].trim() ?? ''}`;
  return {
    printed,
    readings: [{ system: 'number', ordinal: Number(digits) }],
    times: 1,
    mark,
    markSystem,
    value: `${prefix}${Number(digits)}`,
    back: back === undefined ? [] : splitBack(back[1] as string),
    firm,
    dress,
    end: at + (rest.length - rest.trimStart().length),
  };
}

function splitBack(inner: string): string[] {
  return inner.split(/[,;/&+]|\.\s/).map((b) => b.replace(/\s|\.$/g, ''));
}

/** Whether what follows a label can be the words of a lead. */
function beginsWords(rest: string, firm: boolean, stop: string): boolean {
  if (rest.trim() === '') return true;
  if (!/^\s/.test(rest)) {
    // Words right after the label: only after a stop, a bracket or a dash.
    if (stop === '' || !/^["“„'‘(]?\p{L}/u.test(rest)) return false;
    return !/-$/.test(stop) || /--$/.test(stop) || /^["“„(]?\p{Lu}/u.test(rest);
  }
  const words = rest.trimStart();
  if (firm) return true;
  // A number without a stop: a capital must follow, or a gap as between columns.
  return /^["“„'‘([]?\p{Lu}/u.test(words) || (/^\s{2,}/.test(rest) && /^\p{L}/u.test(words));
}

function readDecimal(head: string, text: string, value: string, at: number): Label | undefined {
  const stop = /^[.):]?(?=\s+["“„(]?\p{Lu}|\s*$)/u.exec(head.slice(at));
  if (stop === null) return undefined;
  const end = at + stop[0].length;
  const parts = value.split('.');
  const rest = text.slice(end);
  return {
    printed: head.slice(0, end),
    readings: [{ system: 'decimal', ordinal: Number(parts[parts.length - 1]) }],
    times: 1,
    mark: undefined,
    markSystem: undefined,
    value,
    back: [],
    firm: true,
    dress: '1.1',
    end: end + (rest.length - rest.trimStart().length),
  };
}

/** `a1.`, `a^2`: the leads of couplet a. */
function readLettered(head: string, text: string): Label | undefined {
  const found = /^([([]?)([a-z])(?:\^\{?)?(\d)\}?([)\]]?)([.):]*)(?=\s|$)/.exec(head);
  if (found === null) return undefined;
  const [whole, open = '', letter = '', digit = '', close = '', stop = ''] = found;
  if ((open !== '' && close === '') || digit === '0') return undefined;
  const rest = text.slice(whole.length);
  if (!/^\s+["“„(]?\p{Lu}|^\s*$/u.test(rest) && stop === '' && close === '') return undefined;
  return lettered(letter, Number(digit), whole, rest, `${open}${close}${stop}`);
}

/** The label of a lead that has the letter of its couplet and a number of its own. */
function lettered(letter: string, digit: number, printed: string, rest: string, dress: string): Label {
  return {
    printed,
    readings: [
      {
        system: letter === letter.toLowerCase() ? 'lower' : 'upper',
        ordinal: letter.toLowerCase().charCodeAt(0) - 96,
      },
    ],
    times: 1,
    mark: digit - 1,
    markSystem: undefined,
    value: letter,
    back: [],
    firm: true,
    dress,
    end: printed.length + (rest.length - rest.trimStart().length),
  };
}

/** The same label, its capital and number read as a lead of couplet A: `A1`, `A2`. */
export function asLettered(label: Label, text: string): Label {
  const [, letter = '', digit = ''] = /^([A-Z])(\d)$/.exec(label.value) ?? [];
  return lettered(
    letter,
    Number(digit),
    text.slice(0, label.end).trimEnd(),
    text.slice(text.slice(0, label.end).trimEnd().length),
    label.dress,
  );
}

const GREEK = 'αβγδεζηθικλμ';

function readLetters(head: string, text: string): Label | undefined {
  const found =
    /^([([]?)([IVXLC]{1,7}|[ivxlc]{1,7}|([A-Za-zα-μ])\3{0,5})(?![\p{L}\d]|[-–]\p{L})(?:\s?(['’′´*¹²³]{1,2})(?=\s|[.):\]]))?(?:\s*([)\]]))?/u.exec(
      head,
    );
  if (found === null) return undefined;
  const [whole, open = '', letters = '', , prime = '', close = ''] = found;
  if (open !== '' && close === '') return undefined;
  const readings = letterReadings(letters);
  if (readings.length === 0) return undefined;
  let at = whole.length;
  const back = BACK.exec(head.slice(at));
  if (back !== null) at += back[0].length;
  const stop = /^(?:[.):]+(?:--|[–—])?|\s?(?:--|[–—])|\s-(?=\s))/.exec(head.slice(at));
  at += stop?.[0].length ?? 0;
  const rest = text.slice(at);
  const firm = close !== '' || stop !== null || prime !== '';
  if (rest.trim() === '') {
    if (!firm) return undefined;
  } else if (!/^\s/.test(rest)) {
    if (stop === null || !/^["“„(]?\p{Lu}\p{Ll}/u.test(rest)) return undefined;
  } else if (!firm && !/^\s{2,}\p{L}|^\s["“„(]?\p{Lu}/u.test(rest)) return undefined;
  const same = /^(.)\1*$/.test(letters);
  return {
    printed: head.slice(0, at).trim(),
    readings,
    times: same ? letters.length : 1,
    mark: prime === '' ? undefined : ({ '¹': 0, '²': 1, '³': 2 }[prime] ?? Math.max(prime.length, 1)),
    markSystem: undefined,
    value: letters,
    back: back === null ? [] : splitBack(back[1] as string),
    firm,
    dress: `${open}${close}${stop?.[0].trim() ?? ''}`,
    end: at + (rest.length - rest.trimStart().length),
  };
}

/** What a letter or a row of letters may count as. */
function letterReadings(letters: string): LabelReading[] {
  const readings: LabelReading[] = [];
  const first = letters[0] as string;
  const lower = letters === letters.toLowerCase();
  if (GREEK.includes(first)) return [{ system: 'greek', ordinal: GREEK.indexOf(first) + 1 }];
  if (/^(.)\1*$/.test(letters))
    readings.push({ system: lower ? 'lower' : 'upper', ordinal: first.toLowerCase().charCodeAt(0) - 96 });
  const roman = romanNumber(letters.toUpperCase());
  if (roman !== undefined) readings.push({ system: lower ? 'lower-roman' : 'roman', ordinal: roman });
  return readings;
}

const ROMAN = /^(?:XC|XL|L?X{0,3})(?:IX|IV|V?I{0,3})$/;
const ROMAN_VALUES: Record<string, number> = { I: 1, V: 5, X: 10, L: 50, C: 100 };

function romanNumber(letters: string): number | undefined {
  if (letters === '' || !ROMAN.test(letters)) return undefined;
  let sum = 0;
  for (let i = 0; i < letters.length; i++) {
    const here = ROMAN_VALUES[letters[i] as string] ?? 0;
    sum += here < (ROMAN_VALUES[letters[i + 1] ?? ''] ?? 0) ? -here : here;
  }
  return sum;
}

const SIGNS = '*†‡+§#●○•■□◦▪·';

function readSign(head: string, text: string): Label | undefined {
  // German prints set a full stop after the dash: `-. Stiel ohne Netz`.
  const dash = /^(?:--?|[–—―−])[.):]?(?:\s+|(?=["“„(]?\p{Lu}))/u.exec(head);
  if (dash !== null) {
    const rest = text.slice(dash[0].length);
    if (rest === '') return undefined;
    return { ...plain('dash', dash[0].trim(), dash[0].length), readings: [{ system: 'dash', ordinal: 0 }] };
  }
  if (/^(?:·\s*){2}/.test(head)) return undefined;
  const sign = /^([([]?)([*†‡+§#●○•■□◦▪·]|\+[-–])(?:\s?\2){0,5}([)\]]?)\.?(\s*)/u.exec(head);
  if (sign === null || sign[0].length === head.length) return undefined;
  const times = sign[0].split(sign[2] as string).length - 1;
  if (sign[4] === '' && !/^["“„(]?\p{Lu}/u.test(text.slice(sign[0].length))) return undefined;
  return {
    ...plain('sign', sign[0].trim(), sign[0].length),
    readings: [
      {
        system: 'sign',
        ordinal:
          SIGNS.indexOf((sign[2] as string)[0] as string) + 1 + ((sign[2] as string).length > 1 ? 50 : 0),
      },
    ],
    times,
  };
}

function plain(system: System, printed: string, end: number): Label {
  return {
    printed,
    readings: [{ system, ordinal: 0 }],
    times: 1,
    mark: undefined,
    markSystem: undefined,
    value: printed,
    back: [],
    firm: true,
    dress: printed.slice(0, 1),
    end,
  };
}
