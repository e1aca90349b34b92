/** Letters by which couplets are called: `A. ... (B.)`, up to `DD.` where a book has more couplets than letters, or `(IV.)`. */
import type { Label } from './labels.js';
import type { Line } from './lines.js';
import type { EndContext } from './split-lead.js';
import type { ImportedEnd } from './targets.js';

const LETTER_POINTER =
  /^\s*[([]?\s*(([A-Za-z])\2{0,3}|[IVX]{2,6})\.?\s*[)\]]?\.?(?:,?\s*(?:p|pp|[Pp]age|S|Seite)\.?\s*(\d{1,4}))?\.?\s*$/;

/** A letter that couplets of this key have as a name. */
export function letterPointer(text: string, { labels }: EndContext): ImportedEnd | undefined {
  const m = LETTER_POINTER.exec(text);
  const letter = m?.[1];
  if (letter === undefined || !labels.has(letter)) return undefined;
  const page = m?.[3] === undefined ? {} : { page: m[3] };
  return { pointer: letter, names: [], outside: false, inPart: false, remarks: [], ...page, form: 2 };
}

const POINTED =
  /(?:\s|^)\(\s*(([A-Za-z])\2{0,3}|[IVX]{2,6})\.?\s*\)\.?(?:,?\s*(?:p|pp|[Pp]age|S|Seite)\.?\s*\d{1,4})?\.?$/;

/**
 * Labels that are names of couplets, as numbers are: where letters in brackets stand behind the words of many leads and the
 * same letters before others. A sign before all of them opens the key.
 */
export function namedByLetters(
  lines: readonly Line[],
  labels: readonly (Label | undefined)[],
): (Label | undefined)[] {
  const before = new Map<string, number>();
  for (const label of labels) {
    const value = letterOf(label);
    if (value !== undefined) before.set(value, (before.get(value) ?? 0) + 1);
  }
  const pointed = new Set<string>();
  for (const { text } of lines) {
    const letter = POINTED.exec(text.slice(-60))?.[1];
    if (letter !== undefined && before.has(letter)) pointed.add(letter);
  }
  // Few letters are enough when leads point to every one of them.
  const all = pointed.size >= 2 && pointed.size >= before.size - 1 && lines.length >= pointed.size * 2;
  if (!all && (pointed.size < 4 || pointed.size * 2 < before.size)) return [...labels];
  const order = new Map([...before.keys()].map((value, n) => [value, n + 1]));
  const first = labels.findIndex((l) => letterOf(l) !== undefined);
  const opening = labels.slice(0, first).filter((l) => l?.readings[0]?.system === 'sign').length >= 2;
  return labels.map((label, i) => {
    if (label === undefined) return undefined;
    if (opening && i < first && label.readings[0]?.system === 'sign') return asNumber(label, '0', 0);
    const value = letterOf(label);
    // What is no letter is no label here: numbers count the taxa.
    return value === undefined ? undefined : asNumber(label, value, order.get(value) as number);
  });
}

function asNumber(label: Label, value: string, ordinal: number): Label {
  return {
    ...label,
    readings: [{ system: 'number', ordinal }],
    times: 1,
    value,
    mark: undefined,
    firm: true,
  };
}

function letterOf(label: Label | undefined): string | undefined {
  return label?.firm && /^(?:([A-Za-z])\1{0,3}|[IVX]{2,6})$/.test(label.value) ? label.value : undefined;
}
