/** Finds where the words of a lead stop and what it leads to begins: in a column, after dots, or among the words. */

import { FAR_RIGHT } from './draft.js';
import { letterPointer } from './letter-pointers.js';
import { type EmphasisSpan, shifted } from './lines.js';
import { readEpithet } from './names.js';
import { joined, type LinePiece } from './pieces.js';
import type { Columns, EndContext, How, SplitLead } from './split-lead.js';
import { type ImportedEnd, readEndText } from './targets.js';
import { byWords } from './word-ends.js';

/** The part of a line that is an end. */
interface EndInLine {
  readonly left: number;
  readonly end: ImportedEnd;
  readonly how: How;
  readonly right: string;
  readonly column: number;
}

/** The length of the tail of a line in which an end is looked for: no printed name is longer. */
const TAIL = 260;
const LEADERS =
  /(?:\s*\.){3,}|\s\.{2}(?=\s\d{1,4}$)|(?:\s\.){2}(?=\s)|\s*…+(?:\s*\.*)|\s*_{3,}|\s*-{4,}>?|\s*[–—]{3,}>?|\s*·(?:\s*·){2,}|\s+(?:→|⇒|=>|->|-->|—>|–>|»(?![^«]*«))|\s*[→⇒]/gu;

/** The end on one line, if there is one in a column or after dots. */
export function cutLine(piece: LinePiece, context: EndContext): EndInLine | undefined {
  const offset = Math.max(0, piece.text.length - TAIL);
  const tail = piece.text.slice(offset);
  const marks = piece.marks.map(([a, b]): EmphasisSpan => [Math.max(0, a - offset), Math.max(0, b - offset)]);
  return (
    afterDash(tail, offset, piece, context) ??
    afterDots(tail, marks, offset, piece, context) ??
    inColumn(tail, marks, offset, piece, context)
  );
}

/** Whether dots at a line's end lead on to the next line. */
function leadsOn(text: string): number | undefined {
  const at = /(?:(?:\s*\.){4,}|\s*…{2,}|\s*_{4,}|\s*-{5,}|\s*(?:→|⇒|=>|->|»))\s*$/.exec(text.slice(-TAIL));
  return at === null ? undefined : Math.max(0, text.length - TAIL) + at.index;
}

/** `--2.` at the end of a line: a dash that leads to the number of a couplet. */
function afterDash(
  tail: string,
  offset: number,
  piece: LinePiece,
  context: EndContext,
): EndInLine | undefined {
  const m = /(?:^|(?<=[\s.,;:)\]]))(?:--|[–—]|-(?=\s))\s?([A-Z]?\d{1,5})\.?$/.exec(tail);
  if (m === null || !context.labels.has(m[1] as string) || /\d\s*$/.test(tail.slice(0, m.index)))
    return undefined;
  const end = readEndText(m[1] as string);
  if (end === undefined) return undefined;
  return {
    left: offset + m.index,
    end,
    how: 'dots',
    right: m[1] as string,
    column: offset + m.index + piece.column,
  };
}

function afterDots(
  tail: string,
  marks: readonly EmphasisSpan[],
  offset: number,
  piece: LinePiece,
  context: EndContext,
): EndInLine | undefined {
  const runs = [...tail.matchAll(LEADERS)];
  const run = runs[runs.length - 1];
  if (run === undefined) return undefined;
  const from = run.index + run[0].length;
  const right = tail.slice(from);
  if (right.trim() === '') return undefined;
  const dots = run[0].replace(/\s/g, '').length;
  const arrow = /[→⇒»>]/.test(run[0]);
  // A few dots lead only to what has the form of an end (an epithet too, with an author), or to a few words with a
  // capital.
  const epithet = readEpithet(right.replace(/^\s*\d{1,4}\s*[.)]\s*/, '')) !== undefined;
  const few =
    dots === 3 &&
    /^\s+\p{Lu}[\p{L}'’-]+(?:\s[\p{L}'’-]+){0,3}(?:,?\s\(?(?:p|S)\.\s*\d+\)?)?\.?$/u.test(right);
  const free = dots >= 4 || arrow || epithet || few;
  const end = letterPointer(right, context) ?? readEndText(right, shifted(marks, from), free);
  if (end === undefined || (dots < 4 && !arrow && !few && end.form < 1)) return undefined;
  return {
    left: offset + run.index,
    end,
    how: 'dots',
    right: right.trim(),
    column: offset + from + piece.column,
  };
}

function inColumn(
  tail: string,
  marks: readonly EmphasisSpan[],
  offset: number,
  piece: LinePiece,
  context: EndContext,
): EndInLine | undefined {
  const gaps = [...tail.matchAll(/\s{2,}/g)];
  const least = context.justified ? 4 : 2;
  const cut = (from: number, left: number, end: ImportedEnd): EndInLine => ({
    left: offset + left,
    end,
    how: 'column',
    right: tail.slice(from),
    column: piece.column + offset + from,
  });
  const wide: (readonly [number, number])[] = [];
  for (const gap of gaps) {
    const width = gap[0].length;
    if (width < least) continue;
    const from = gap.index + width;
    const right = tail.slice(from);
    const aligned = isAligned(piece, right, context.columns);
    const end = letterPointer(right, context) ?? readEndText(right, shifted(marks, from));
    if (end !== undefined) {
      const known = end.pointer === undefined || context.labels.has(end.pointer);
      if (end.form === 2 && (width >= 3 || aligned || known)) return cut(from, gap.index, end);
      const two = end.names.length > 0 && end.names.every((n) => n.name.includes(' '));
      if (end.form === 1 && (aligned || width >= (two ? 3 : 4))) return cut(from, gap.index, end);
    }
    if (width >= 8 || (aligned && width >= 3)) wide.push([gap.index, from]);
  }
  for (const [left, from] of wide) {
    const right = tail.slice(from);
    const epithet = readEpithet(right) !== undefined;
    if (right.length > 70 || (!epithet && !/^["“([]?[\p{Lu}\d×]/u.test(right))) continue;
    const end = readEndText(right, shifted(marks, from), true);
    if (end !== undefined) return cut(from, left, end);
  }
  // The words fill the line up to the column of the ends.
  const tight = /(?<=\S) (\d{1,4})$/.exec(tail);
  if (tight !== null && context.labels.has(tight[1] as string)) {
    const stop = piece.column + piece.text.length;
    const raw = rawEdge(piece, tight[1] as string);
    if ((context.columns.starts.get(raw[0]) ?? 0) >= 3 || (context.columns.stops.get(raw[1]) ?? 0) >= 4) {
      const end = readEndText(tight[1] as string);
      if (end !== undefined && stop > 20) return cut(tight.index + 1, tight.index, end);
    }
  }
  return undefined;
}

/** The columns at which a text at the end of a line begins and stops, counted in the line as printed. */
function rawEdge(piece: LinePiece, right: string): [number, number] {
  const stop = piece.rawEnd;
  return [stop - right.length, stop];
}

function isAligned(piece: LinePiece, right: string, columns: Columns): boolean {
  const [start, stop] = rawEdge(piece, right);
  for (const shift of [0, -1, 1, -2]) if ((columns.starts.get(start + shift) ?? 0) >= 2) return true;
  return (columns.stops.get(stop) ?? 0) >= 2;
}

/** Counts the columns of the ends that are sure by their form. */
export function countColumns(pieces: Iterable<LinePiece>, context: EndContext): Columns {
  const starts = new Map<number, number>();
  const stops = new Map<number, number>();
  for (const piece of pieces) {
    const cut = cutLine(piece, context);
    if (cut === undefined || cut.how !== 'column') continue;
    const [start, stop] = rawEdge(piece, cut.right);
    starts.set(start, (starts.get(start) ?? 0) + 1);
    stops.set(stop, (stops.get(stop) ?? 0) + 1);
  }
  return { starts, stops };
}

/** Splits a lead into its words and its end. */
export function partLead(pieces: readonly LinePiece[], context: EndContext): SplitLead {
  return byColumn(pieces, context) ?? byWords(pieces, context);
}

function byColumn(pieces: readonly LinePiece[], context: EndContext): SplitLead | undefined {
  const last = pieces.length - 1;
  for (let i = last; i >= 0; i--) {
    const piece = pieces[i] as LinePiece;
    const cut = cutLine(piece, context);
    if (cut !== undefined) return withCut(pieces, i, cut, context);
    const led = i > 0 && i < last ? /^(?:\.\s?){3,}\s*(?=\S)/.exec(piece.text) : null;
    if (led !== null) {
      // Dots at the beginning of a line lead to all that follows them.
      const own = { ...piece, text: piece.text.slice(led[0].length), marks: [] };
      const rest = joined([own, ...pieces.slice(i + 1)], context.words);
      const end = readEndText(rest.text, rest.marks, true);
      if (end !== undefined) return { words: wordsUpTo(pieces, i, 0, [], context), end, how: 'dots' };
    }
    const open = i < last ? leadsOn(piece.text) : undefined;
    if (open !== undefined) {
      const rest = joined(pieces.slice(i + 1), context.words);
      const end = readEndText(rest.text, rest.marks, true);
      if (end !== undefined) return { words: wordsUpTo(pieces, i, open, [], context), end, how: 'dots' };
    }
  }
  const alone = pieces[last];
  if (last > 0 && alone?.pointer === true && /\d/.test(alone.text)) {
    const end = readEndText(alone.text);
    if (end?.pointer !== undefined)
      return { words: wordsUpTo(pieces, last, 0, [], context), end, how: 'line' };
  }
  // A line is far to the right, where only an end can be; what is below it is more of the words.
  for (let i = last; i > 0; i--) {
    const piece = pieces[i] as LinePiece;
    const base = pieces.slice(0, i).reduce((least, p) => Math.min(least, p.column), Number.POSITIVE_INFINITY);
    if (piece.column < base + 12) continue;
    const free = piece.column >= base + FAR_RIGHT;
    const end = letterPointer(piece.text, context) ?? readEndText(piece.text, piece.marks, free);
    if (end !== undefined && (end.form > 0 || free))
      return { words: wordsUpTo(pieces, i, 0, pieces.slice(i + 1), context), end, how: 'line' };
  }
  return undefined;
}

/** The end is on line `i`; what follows continues the end when it is under it, else the words. */
function withCut(pieces: readonly LinePiece[], i: number, cut: EndInLine, context: EndContext): SplitLead {
  const all = pieces.slice(i + 1);
  const noted = bracketNote(all, context);
  if (noted !== undefined)
    return { ...withCut(pieces.slice(0, i + 1 + noted.from), i, cut, context), note: noted.text };
  const below = all;
  if (below.length > 0 && cut.end.pointer === undefined) {
    const under = below.every((p) => p.column >= cut.column - 3);
    const loose =
      below.length === 1 && /^[([]|^(?:in|see|siehe|p\.|S\.)\s/.test((below[0] as LinePiece).text);
    const unfinished =
      /(?:[,&(]|\b(?:and|or|und|oder|see|in|var\.|subsp\.|ssp\.|ex))$/.test(cut.right) ||
      /\([^)]*$|^[_=][^_=]*$|\p{L}[-¬]$/u.test(cut.right);
    if (under || loose || unfinished || wrapsName(cut, below)) {
      const whole = joined(
        [
          { ...(pieces[i] as LinePiece), text: cut.right, marks: marksOf(pieces[i] as LinePiece, cut.right) },
          ...below,
        ],
        context.words,
      );
      const end = readEndText(whole.text, whole.marks, true);
      if (end !== undefined) return { words: wordsUpTo(pieces, i, cut.left, [], context), end, how: cut.how };
    }
  }
  return {
    words: wordsUpTo(pieces, i, cut.left, below, context),
    end: cut.end,
    how: cut.how,
    ...(below.length > 0 && cut.how === 'column' ? { above: true } : {}),
    ...doubtBelow(cut, below),
  };
}

/** Words below an end may be more of it; where dots lead to the end, no more words are expected. */
function doubtBelow(cut: EndInLine, below: readonly LinePiece[]): { doubt?: string } {
  const [first] = below;
  if (first === undefined) return {};
  const [name] = cut.end.names;
  if (name !== undefined && !name.name.includes(' ') && /^[\p{Ll}(]/u.test(first.text))
    return { doubt: `the line below ${name.name} may belong to the name` };
  const more = readEndText(`${cut.right} ${first.text}`)?.names;
  const longer = name !== undefined && more?.length === 1 && saysMore(more[0]?.authority, name.authority);
  return cut.how === 'dots' || longer ? { doubt: `line ${first.line.number} stands below the end` } : {};
}

/** Lines below an end that are one remark in square brackets; a name in them is that of a taxon outside the area. */
function bracketNote(
  below: readonly LinePiece[],
  context: EndContext,
): { from: number; text: string } | undefined {
  const from = below.findIndex((p) => p.text.startsWith('['));
  if (from < 0 || !(below[below.length - 1] as LinePiece).text.endsWith(']')) return undefined;
  const text = joined(below.slice(from), context.words).text.slice(1, -1).trim();
  const end = readEndText(text);
  return text === '' || (end !== undefined && end.form > 0) ? undefined : { from, text };
}

/**
 * `Tarnia` at the end of a line and `alba (p. 12)` on the next: a name broken between its words, or before its authors or
 * what is said of it.
 */
function wrapsName(cut: EndInLine, below: readonly LinePiece[]): boolean {
  const [name] = cut.end.names;
  if (below.length > 2 || cut.end.names.length !== 1 || name === undefined) return false;
  const rest = below.map((p) => p.text.trim()).join(' ');
  const whole = readEndText(`${cut.right} ${rest}`);
  const [longer] = whole?.names ?? [];
  if (whole?.names.length !== 1 || longer === undefined || whole.form < 1) return false;
  // `Tarnia alba sp.` is no name by its form, and `Tarnia alba sp. n.` is.
  if (longer.name === name.name || cut.end.form === 0)
    return (
      whole.form >= cut.end.form &&
      (whole.remarks.length > cut.end.remarks.length ||
        // In a column, only a year shows that it is not a short line of more words.
        (saysMore(longer.authority, name.authority) &&
          (cut.how === 'dots' || /\d{4}[a-z]?\)?\.?$/.test(rest))))
    );
  return (
    !name.name.includes(' ') &&
    longer.name.includes(' ') &&
    longer.name.startsWith(name.name) &&
    /^[\p{Ll}(]/u.test(rest)
  );
}

function saysMore(longer: string | undefined, shorter: string | undefined): boolean {
  return (longer?.length ?? 0) > (shorter?.length ?? 0);
}

function marksOf(piece: LinePiece, right: string): EmphasisSpan[] {
  return shifted(piece.marks, piece.text.length - right.length);
}

function wordsUpTo(
  pieces: readonly LinePiece[],
  i: number,
  left: number,
  below: readonly LinePiece[],
  context: EndContext,
): string {
  const cut = pieces[i] as LinePiece;
  const whole = [...pieces.slice(0, i), { ...cut, text: cut.text.slice(0, left) }, ...below];
  return joined(whole, context.words).text.replace(/(?:\s\.+)+$|\s?\.{4,}$/, '');
}
