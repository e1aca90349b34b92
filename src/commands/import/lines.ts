/** From a printed text to clean lines: markup of plain-text e-books, ligatures, tabs, soft hyphens. Nothing is lost: the raw line is kept. */
import { bracesNumbered } from './braces.js';

/** A stretch of text that was set apart in the print (bold, italic): from, up to. */
export type EmphasisSpan = readonly [number, number];

/** Where a line stands. `row` and `from` tell it from all others, and `row` says what is above, below and beside it. */
export interface LinePlace {
  /** In the file, from 1, as editors count: for people. In marked-up text, many lines may have the same. */
  readonly number: number;
  /** In the text that is read, from 1. */
  readonly row: number;
  /** The column of that row at which it begins, from 0, where a row was cut into several. */
  readonly from: number;
}

/** One line of the text that has something on it. */
export interface Line extends LinePlace {
  /** As it is in the text. */
  readonly raw: string;
  /** The column at which its words begin, from 0. */
  readonly indent: number;
  /** Without indent and markup; the gaps between columns are kept. */
  readonly text: string;
  readonly marks: readonly EmphasisSpan[];
  /** Empty lines directly before it. */
  readonly blank: number;
  /** Whether a page ended before it, so that an empty line or a broken sentence means nothing. */
  readonly afterPage: boolean;
  /** Nothing but the number of the couplet to which the lead above goes. */
  readonly pointer?: boolean;
}

const TAB = 8;
/** In a line longer than any book has, markup is not looked for. */
const LONGEST_MARKED = 10_000;
/** A tab between words stands for a column, which is never narrower than this. */
const TAB_GAP = 3;

/** The lines of a text, without the empty ones. `numbers` are those that they have in the file, where the text was made from one. */
export function readLines(text: string, numbers?: readonly number[]): Line[] {
  const raws = text.split('\n');
  const { lines: numbered, taken } = bracesNumbered(raws);
  const stripped = withoutMarkup(numbered.map(plainSigns));
  const lines: Line[] = [];
  let blank = 0;
  let afterPage = false;
  raws.forEach((raw, i) => {
    if (raw.includes('\f')) afterPage = true;
    const { text: all, marks } = stripped[i] as Stripped;
    const body = all.trimStart();
    const indent = all.length - body.length;
    const trimmed = body.trimEnd();
    if (trimmed === '') {
      // This line held the number of a braced couplet, which is now at the first lead.
      if (!taken.has(i)) blank++;
      return;
    }
    lines.push({
      number: numbers?.[i] ?? i + 1,
      row: i + 1,
      from: 0,
      raw,
      indent,
      text: trimmed,
      marks: clipped(marks, indent, indent + trimmed.length),
      blank,
      afterPage,
    });
    blank = 0;
    afterPage = false;
  });
  return doubleSpaced(lines) ? lines.map((l) => ({ ...l, blank: Math.max(0, l.blank - 1) })) : lines;
}

/** Tells a line from all others of its text. */
export function lineId({ row, from }: LinePlace): string {
  return `${row}.${from}`;
}

/** The place of what is a line of its file and nothing else. */
export function onLine(number: number): LinePlace {
  return { number, row: number, from: 0 };
}

/** The lines of each page, where the text says by form feeds where pages end. */
export function pagesOf(lines: readonly Line[]): Line[][] {
  const pages: Line[][] = [];
  for (const line of lines) {
    const last = pages.at(-1);
    if (last === undefined || line.afterPage) pages.push([line]);
    else last.push(line);
  }
  return pages;
}

/** A part of a line as a line of its own; undefined when there is nothing in it. */
export function partOfLine(line: Line, from: number, to: number): Line | undefined {
  const part = line.text.slice(from, to);
  const text = part.trim();
  if (text === '') return undefined;
  const start = from + part.length - part.trimStart().length;
  return {
    ...line,
    from: line.from + start,
    raw: `${' '.repeat(line.indent + start)}${text}`,
    indent: line.indent + start,
    text,
    marks: clipped(line.marks, start, start + text.length),
  };
}

/** The part of marks that lies between two offsets, moved so that the first is 0. */
export function clipped(marks: readonly EmphasisSpan[], from: number, to: number): EmphasisSpan[] {
  const inside: EmphasisSpan[] = [];
  for (const [start, end] of marks) {
    const a = Math.max(start, from);
    const b = Math.min(end, to);
    if (a < b) inside.push([a - from, b - from]);
  }
  return inside;
}

/** Marks as they are in a text whose first characters are cut off. */
export function shifted(marks: readonly EmphasisSpan[], by: number): EmphasisSpan[] {
  return marks.flatMap(([a, b]): EmphasisSpan[] => (b <= by ? [] : [[Math.max(0, a - by), b - by]]));
}

/** Whether a text was typed with an empty line after every line, so that an empty line means nothing. */
function doubleSpaced(lines: readonly Line[]): boolean {
  if (lines.length < 20) return false;
  const spaced = lines.filter((l) => l.blank > 0).length;
  const lower = lines.filter((l) => l.blank > 0 && /^\p{Ll}(?!\p{L}?[.):])/u.test(l.text)).length;
  return spaced >= lines.length * 0.9 && lower >= lines.length * 0.1;
}

const LIGATURES: Record<string, string> = {
  ﬀ: 'ff',
  ﬁ: 'fi',
  ﬂ: 'fl',
  ﬃ: 'ffi',
  ﬄ: 'ffl',
  ﬅ: 'st',
  ﬆ: 'st',
};

/** Turns printers' ligatures into letters (æ and œ are letters and stay), odd spaces into spaces, tabs into columns. */
function plainSigns(raw: string): string {
  let text = raw;
  if (/[^\t -~]/.test(text)) {
    text = text
      .replace(/[ﬀﬁﬂﬃﬄﬅﬆ]/g, (c) => LIGATURES[c] ?? c)
      .replace(/\u00ad(?=\s*$)/, '-')
      .replace(/[\u00ad\u200b-\u200f\u2060\ufeff]/g, '')
      .replace(/[\u00a0\u2000-\u200a\u202f\u205f\u3000]/g, ' ')
      // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters mean nothing in a printed key
      .replace(/[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u2028\u2029\u202a-\u202e\u2066-\u2069]/g, '');
  }
  // Dollar signs around small print; before a digit one is an amount.
  if (text.includes('$')) text = text.replace(/\$(?!\d)/g, '');
  // Braces that hold the leads of a couplet together add nothing to the lines.
  if (/^\s*(?:\d{1,4}[.)]?\s*)?[{⎧⎨⎩⎪|](?=\s)/.test(text)) text = text.replace(/[{⎧⎨⎩⎪|]/, ' ');
  return text.includes('\t') ? withoutTabs(text) : text;
}

function withoutTabs(text: string): string {
  let out = '';
  for (const part of text.split('\t')) {
    if (out !== '' || text.startsWith('\t')) {
      const next = Math.ceil((out.length + 1) / TAB) * TAB;
      const least = out.trim() === '' ? next : Math.max(next, out.length + TAB_GAP);
      out = out.padEnd(least);
    }
    out += part;
  }
  return out;
}

interface Stripped {
  readonly text: string;
  readonly marks: readonly EmphasisSpan[];
}

// =bold=, _italic_, *italic*, **bold**, +spaced+, ~spaced~; an opening sign is before a letter, a closing one after something.
const PAIRED =
  /(?<![\p{L}\p{N}=])=(?=[^\s=])([^=]*[^\s=])=(?![\p{N}=])|(?<![\p{L}\p{N}_])_(?=[^\s_])([^_]*[^\s_])_(?![\p{L}\p{N}_])|(?<![\p{L}\p{N}*])\*\*(?=[^\s*])([^*]*[^\s*])\*\*(?![\p{L}\p{N}*])|(?<![\p{L}\p{N}*])\*(?=[^\s*])([^*]*[^\s*])\*(?![\p{L}\p{N}*])|(?<![\p{L}\p{N}+~])([+~])(?=[\p{L}\p{N}(])([^+~]*[^\s+~])\5(?![\p{L}\p{N}+~])|(?<![\p{L}\p{N}|])\|(?=[\p{L}(])([^|]*[^\s|])\|(?![\p{L}\p{N}|])/gu;
const TAG = /<(\/?)(?:i|b|em|strong|sc|u|cite)>/gi;
const OPEN_AT_END = /(?<![\p{L}\p{N}=_])([=_])(?=[^\s=_])[^=_]*$/u;

/** Removes the markup from every line and notes what it marked. Marked text may run over two line breaks. */
function withoutMarkup(raws: readonly string[]): Stripped[] {
  const lines = [...raws];
  for (let i = 0; i < lines.length - 1; i++) {
    const line = lines[i] as string;
    if (!line.includes('=') && !line.includes('_')) continue;
    const rest = line.replace(PAIRED, (m) => ' '.repeat(m.length));
    const sign = OPEN_AT_END.exec(rest)?.[1];
    if (sign === undefined) continue;
    const last = closingLine(lines, i, sign);
    if (last === undefined) continue;
    lines[i] = `${line.trimEnd()}${sign}`;
    for (let j = i + 1; j < last; j++) lines[j] = wrappedIn(lines[j] as string, sign);
    lines[last] = (lines[last] as string).replace(/^(\s*)/, `$1${sign}`);
  }
  return lines.map(strippedLine);
}

/** The line below on which a sign that was left open is closed, if it is. */
function closingLine(lines: readonly string[], from: number, sign: string): number | undefined {
  for (let j = from + 1; j <= Math.min(from + 2, lines.length - 1); j++) {
    const line = lines[j] as string;
    if (line.trim() === '') return undefined;
    const at = line.indexOf(sign);
    if (at > 0)
      return /[^\s]/.test(line[at - 1] ?? ' ') && !/[\p{L}\p{N}]/u.test(line[at + 1] ?? ' ') ? j : undefined;
    if (at === 0) return undefined;
  }
  return undefined;
}

function wrappedIn(line: string, sign: string): string {
  const body = line.trim();
  return `${line.slice(0, line.length - line.trimStart().length)}${sign}${body}${sign}`;
}

function strippedLine(line: string): Stripped {
  if (line.length > LONGEST_MARKED || !/[=_*<+~|]/.test(line)) return { text: line, marks: [] };
  let text = '';
  const marks: EmphasisSpan[] = [];
  let from = 0;
  for (const m of line.matchAll(PAIRED)) {
    const inner = m[1] ?? m[2] ?? m[3] ?? m[4] ?? m[6] ?? m[7] ?? '';
    text += line.slice(from, m.index);
    marks.push([text.length, text.length + inner.length]);
    text += inner;
    from = m.index + m[0].length;
  }
  text += line.slice(from);
  return text.includes('<') ? withoutTags({ text, marks }) : { text, marks };
}

/** Removes markup that only shows once lines are joined, such as around a name divided by a page break. */
export function unmarked(
  text: string,
  marks: readonly EmphasisSpan[],
): { text: string; marks: EmphasisSpan[] } {
  if (!/[=_]/.test(text)) return { text, marks: [...marks] };
  const again = strippedLine(text);
  const gone: number[] = [];
  for (const m of text.matchAll(PAIRED)) {
    const sign = m[3] === undefined ? 1 : 2;
    for (let k = 0; k < sign; k++) gone.push(m.index + k, m.index + m[0].length - 1 - k);
  }
  const moved = (at: number) => at - gone.filter((g) => g < at).length;
  const all: EmphasisSpan[] = [...marks.map(([a, b]): EmphasisSpan => [moved(a), moved(b)]), ...again.marks];
  return { text: again.text, marks: all.sort((a, b) => a[0] - b[0]) };
}

function withoutTags(line: Stripped): Stripped {
  if (line.marks.length > 0) return line;
  let text = '';
  const marks: EmphasisSpan[] = [];
  let from = 0;
  let open: number | undefined;
  for (const m of line.text.matchAll(TAG)) {
    text += line.text.slice(from, m.index);
    from = m.index + m[0].length;
    if (m[1] === '') open ??= text.length;
    else if (open !== undefined) {
      marks.push([open, text.length]);
      open = undefined;
    }
  }
  text += line.text.slice(from);
  if (open !== undefined) marks.push([open, text.length]);
  return { text, marks };
}
