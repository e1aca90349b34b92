/** Finds where the words of a lead stop and what it leads to begins: in a column, behind dots, or among the words. */
import type { Mark } from './lines.js';
import { readEpithet } from './names.js';
import { joined, type Piece } from './pieces.js';
import { type End, readEndText } from './targets.js';

/** How the end was told from the words, the surest first. */
export type How = 'dots' | 'column' | 'line' | 'sign' | 'words' | 'number' | 'guess';

/** A lead taken apart. */
export interface Parted {
  /** The words of the lead. */
  readonly words: string;
  readonly end?: End;
  readonly how?: How;
  /** What stands in square brackets below the end. */
  readonly note?: string;
  /** What the last words would name, if the lead has no other end. */
  readonly guess?: { readonly words: string; readonly end: End };
}

/** What the section of the key as a whole tells about its ends. */
export interface EndContext {
  /** The numbers that couplets have here. */
  readonly labels: ReadonlySet<string>;
  /** Columns (counted in the raw line) at which several ends begin or stop. */
  readonly columns: Columns;
  /** Lines are filled by spaces between words, so that only a wide gap is a column. */
  readonly justified: boolean;
  /** Whether a number after a single space, at the end of a lead, is where it leads. */
  readonly bare: boolean;
  readonly words: ReadonlySet<string>;
}

/** How many ends begin and stop at each column. */
export interface Columns {
  readonly starts: ReadonlyMap<number, number>;
  readonly stops: ReadonlyMap<number, number>;
}

/** The part of a line that is an end. */
interface Cut {
  readonly left: number;
  readonly end: End;
  readonly how: How;
  readonly right: string;
  readonly column: number;
}

/** The tail of a line in which an end is looked for: longer names than this are not printed. */
const TAIL = 260;
const LEADERS =
  /(?:\s*\.){3,}|\s\.{2}(?=\s\d{1,4}$)|\s*…+(?:\s*\.*)|\s*_{3,}|\s*-{4,}>?|\s*[–—]{3,}>?|\s*·(?:\s*·){2,}|\s+(?:→|⇒|=>|->|-->|—>|–>|»)|\s*[→⇒]/gu;

/** The end on one line, if there is one in a column or behind dots. */
export function cutLine(piece: Piece, context: EndContext): Cut | undefined {
  const offset = Math.max(0, piece.text.length - TAIL);
  const tail = piece.text.slice(offset);
  const marks = piece.marks.map(([a, b]): Mark => [Math.max(0, a - offset), Math.max(0, b - offset)]);
  return behindDots(tail, marks, offset, piece, context) ?? inColumn(tail, marks, offset, piece, context);
}

/** Whether dots at a line's end lead on to the next line. */
export function leadsOn(text: string): number | undefined {
  const at = /(?:(?:\s*\.){4,}|\s*…{2,}|\s*_{4,}|\s*-{5,}|\s*(?:→|⇒|=>|->|»))\s*$/.exec(text.slice(-TAIL));
  return at === null ? undefined : Math.max(0, text.length - TAIL) + at.index;
}

function behindDots(
  tail: string,
  marks: readonly Mark[],
  offset: number,
  piece: Piece,
  context: EndContext,
): Cut | undefined {
  const runs = [...tail.matchAll(LEADERS)];
  const run = runs[runs.length - 1];
  if (run === undefined) return undefined;
  const from = run.index + run[0].length;
  const right = tail.slice(from);
  if (right.trim() === '') return undefined;
  const dots = run[0].replace(/\s/g, '').length;
  const arrow = /[→⇒»>]/.test(run[0]);
  const end = letterPointer(right, context) ?? readEndText(right, shifted(marks, from), dots >= 4 || arrow);
  if (end === undefined || (dots < 4 && !arrow && end.form < 1)) return undefined;
  return {
    left: offset + run.index,
    end,
    how: 'dots',
    right: right.trim(),
    column: offset + from + piece.column,
  };
}

/** A letter that couplets of this key have. */
function letterPointer(text: string, { labels }: EndContext): End | undefined {
  const letter = /^\s*\(?([A-Za-z])\)?\.?\s*$/.exec(text)?.[1];
  if (letter === undefined || !labels.has(letter)) return undefined;
  return { pointer: letter, names: [], outside: false, inPart: false, remarks: [], form: 2 };
}

function shifted(marks: readonly Mark[], by: number): Mark[] {
  return marks.flatMap(([a, b]): Mark[] => (b <= by ? [] : [[Math.max(0, a - by), b - by]]));
}

function inColumn(
  tail: string,
  marks: readonly Mark[],
  offset: number,
  piece: Piece,
  context: EndContext,
): Cut | undefined {
  const gaps = [...tail.matchAll(/\s{2,}/g)];
  const least = context.justified ? 4 : 2;
  const cut = (from: number, left: number, end: End): Cut => ({
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
      if (end.form === 1 && (aligned || width >= 4)) return cut(from, gap.index, end);
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

/** Where a text at the end of a line begins and stops, counted in the line as printed. */
function rawEdge(piece: Piece, right: string): [number, number] {
  const stop = piece.rawEnd;
  return [stop - right.length, stop];
}

function isAligned(piece: Piece, right: string, columns: Columns): boolean {
  const [start, stop] = rawEdge(piece, right);
  for (const shift of [0, -1, 1, -2]) if ((columns.starts.get(start + shift) ?? 0) >= 2) return true;
  return (columns.stops.get(stop) ?? 0) >= 2;
}

/** Counts the columns of the ends that are sure by their form. */
export function countColumns(pieces: Iterable<Piece>, context: EndContext): Columns {
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

/** Takes a lead apart. */
export function partLead(pieces: readonly Piece[], context: EndContext): Parted {
  return byColumn(pieces, context) ?? byWords(pieces, context);
}

function byColumn(pieces: readonly Piece[], context: EndContext): Parted | undefined {
  const last = pieces.length - 1;
  for (let i = last; i >= 0; i--) {
    const piece = pieces[i] as Piece;
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
  // The last lines stand far to the right, where only an end does.
  const base = pieces.slice(0, -1).reduce((least, p) => Math.min(least, p.column), Number.POSITIVE_INFINITY);
  const piece = pieces[last];
  if (last > 0 && piece !== undefined && piece.column >= base + 12) {
    const free = piece.column >= base + 20;
    const end = readEndText(piece.text, piece.marks, free);
    if (end !== undefined && (end.form > 0 || free))
      return { words: wordsUpTo(pieces, last, 0, [], context), end, how: 'line' };
  }
  return undefined;
}

/** The end stands on line `i`; what follows goes on with the end when it stands under it, else with the words. */
function withCut(pieces: readonly Piece[], i: number, cut: Cut, context: EndContext): Parted {
  const all = pieces.slice(i + 1);
  const noted = bracketNote(all, context);
  if (noted !== undefined)
    return { ...withCut(pieces.slice(0, i + 1 + noted.from), i, cut, context), note: noted.text };
  const below = all;
  if (below.length > 0 && cut.end.pointer === undefined) {
    const under = below.every((p) => p.column >= cut.column - 3);
    const loose = below.length === 1 && /^[([]|^(?:in|see|siehe|p\.|S\.)\s/.test((below[0] as Piece).text);
    const unfinished =
      /(?:[,&(]|\b(?:and|or|und|oder|see|in|var\.|subsp\.|ssp\.|ex))$/.test(cut.right) ||
      /\([^)]*$|^[_=][^_=]*$/.test(cut.right);
    if (under || loose || unfinished || wrapsName(cut, below)) {
      const whole = joined(
        [
          { ...(pieces[i] as Piece), text: cut.right, marks: marksOf(pieces[i] as Piece, cut.right) },
          ...below,
        ],
        context.words,
      );
      const end = readEndText(whole.text, whole.marks, true);
      if (end !== undefined) return { words: wordsUpTo(pieces, i, cut.left, [], context), end, how: cut.how };
    }
  }
  return { words: wordsUpTo(pieces, i, cut.left, below, context), end: cut.end, how: cut.how };
}

/** Lines below an end that are one remark in square brackets; a name in them is of a taxon outside the area. */
function bracketNote(
  below: readonly Piece[],
  context: EndContext,
): { from: number; text: string } | undefined {
  const from = below.findIndex((p) => p.text.startsWith('['));
  if (from < 0 || !(below[below.length - 1] as Piece).text.endsWith(']')) return undefined;
  const text = joined(below.slice(from), context.words).text.slice(1, -1).trim();
  const end = readEndText(text);
  return text === '' || (end !== undefined && end.form > 0) ? undefined : { from, text };
}

/** `Tarnia` at the end of a line and `alba (p. 12)` alone on the next: a name broken between its words. */
function wrapsName(cut: Cut, below: readonly Piece[]): boolean {
  const [name] = cut.end.names;
  if (below.length !== 1 || cut.end.names.length !== 1 || name === undefined || name.name.includes(' '))
    return false;
  const rest = (below[0] as Piece).text;
  if (!/^\p{Ll}[\p{Ll}-]+(?:$|[.,;]?\s*(?:\p{Lu}|[([]|p\.|S\.|\d))/u.test(rest)) return false;
  const whole = readEndText(`${cut.right} ${rest}`);
  return whole?.names.length === 1 && whole.names[0]?.name.includes(' ') === true && whole.form >= 1;
}

function marksOf(piece: Piece, right: string): Mark[] {
  return shifted(piece.marks, piece.text.length - right.length);
}

function wordsUpTo(
  pieces: readonly Piece[],
  i: number,
  left: number,
  below: readonly Piece[],
  context: EndContext,
): string {
  const cut = pieces[i] as Piece;
  return joined([...pieces.slice(0, i), { ...cut, text: cut.text.slice(0, left) }, ...below], context.words)
    .text;
}

const GO_AT_END =
  /[\s.;,:(–—-]+\(?((?:go\s*(?:on\s*)?to|goto|turn to|proceed to|continue (?:at|with)|see|siehe|weiter(?: mit| bei| unter| zu| nach)?|gehe zu|→|->|=>)\s*(?:couplet|step|no\.?|nr\.?|number|nummer)?\s*[A-Z]?\d{1,5}[a-d]?)\)?\.?$/i;
const KEY_AT_END =
  /[\s.;,:–—-]+\(?((?:(?:go\s*to|see|siehe|→|->|weiter mit)\s*)(?:the\s+)?(?:key|group|section|table|schlüssel|gruppe|tabelle|teil|part)\s+.{1,60})$/i;
const SEE_AT_END =
  /[.;:–—]\s+((?:see(?: also)?(?: under)?|siehe(?: unter)?|s\. unter|vgl\.)\s+\p{Lu}.{2,80})$/u;
const IN_BRACKETS = /\s*[([]\s*([A-Z]?\d{1,5})\s*[)\]]\.?$/;
const BARE = /(?:\s*[.,;:–—-]|\s)\s*([A-Z]?\d{1,5})\.?$/;
const SEPARATOR = /[.;:]\s+|\s[-–—]{1,2}\s+|[–—]\s*|,\s+|\s(?=\[)/gu;

/** Looks for the end among the words themselves. */
function byWords(pieces: readonly Piece[], context: EndContext): Parted {
  const { text, marks } = joined(pieces, context.words);
  const upTo = (at: number) =>
    text
      .slice(0, at)
      .replace(/[\s–—-]+$/, '')
      .trim();
  const spoken =
    GO_AT_END.exec(text.slice(-80)) ?? KEY_AT_END.exec(text.slice(-120)) ?? SEE_AT_END.exec(text.slice(-120));
  if (spoken !== null) {
    const end = readEndText(spoken[1] as string, [], true);
    if (end !== undefined)
      return { words: upTo(text.length - spoken[0].length + stopLength(spoken[0])), end, how: 'sign' };
  }
  const sent =
    /\s*[([]((?:see(?: also)?(?: under)?|siehe(?: unter)?)\s+(?:\d{1,4}\.\s*)?\p{Lu}[^()]{2,80})[)\]]\.?$/u.exec(
      text.slice(-120),
    );
  if (sent !== null) {
    const end = readEndText(sent[1] as string, [], true);
    if (end !== undefined) return { words: upTo(text.length - sent[0].length), end, how: 'sign' };
  }
  const bracketed = IN_BRACKETS.exec(text.slice(-20));
  if (bracketed !== null && context.labels.has((bracketed[1] as string).toUpperCase())) {
    const end = readEndText(bracketed[1] as string);
    if (end !== undefined) return { words: upTo(text.length - bracketed[0].length), end, how: 'sign' };
  }
  const named = markedEnd(text, marks) ?? sentenceEnd(text, marks) ?? trailingBinomial(text);
  if (named !== undefined) return { words: upTo(named.at), end: named.end, how: 'words' };
  const bare = BARE.exec(text.slice(-20));
  if (
    bare !== null &&
    (context.bare || /^\s*[.;–—]/.test(bare[0])) &&
    context.labels.has(bare[1] as string)
  ) {
    const end = readEndText(bare[1] as string);
    const at = text.length - bare[0].length + (/^[.;]/.test(bare[0]) ? 1 : 0);
    if (end !== undefined && at > 0) return { words: upTo(at), end, how: 'number' };
  }
  const guess = guessedEnd(text);
  return {
    words: text.replace(/(?:\s*\.){3,}$|\s*…+$|\s*_{3,}$/, ''),
    ...(guess === undefined ? {} : { guess: { words: upTo(guess.at), end: guess.end } }),
  };
}

/** The full stop before a spoken end belongs to the words. */
function stopLength(match: string): number {
  return /^[.;]/.test(match) ? 1 : 0;
}

interface Named {
  readonly at: number;
  readonly end: End;
}

/** A name set apart in the print at the end of the words. */
function markedEnd(text: string, marks: readonly Mark[]): Named | undefined {
  let best: Named | undefined;
  for (let i = marks.length - 1; i >= 0; i--) {
    const [start, stop] = marks[i] as Mark;
    if (text.length - start > 160 || start === 0) break;
    const later = marks[i + 1];
    if (later !== undefined && later[0] - stop > 12) break;
    const before =
      /(?:\[\s*|\b\d{1,4}[.)]?\s*|\((?=[^)]*$)|\b(?:see(?: under)?|siehe(?: unter)?|s\. unter)\s+)+$/.exec(
        text.slice(0, start),
      );
    const at = before === null ? start : before.index;
    if (text.slice(0, at).trim() === '') break;
    const end = readEndText(text.slice(at), shifted(marks, at));
    if (end !== undefined && end.form === 2 && end.pointer === undefined) best = { at, end };
    else if (best !== undefined) break;
  }
  return best;
}

/** The last sentence, or what follows a colon or dash, is a name. */
function sentenceEnd(text: string, marks: readonly Mark[]): Named | undefined {
  const from = Math.max(0, text.length - 160);
  const places = [...text.slice(from).matchAll(SEPARATOR)];
  let best: Named | undefined;
  for (const place of places.reverse()) {
    const at = from + place.index + place[0].length;
    const comma = place[0].startsWith(',');
    const rest = text.slice(at);
    if (at === 0 || !/^[[(]?(?:\d{1,4}[.)]?\s*)?[[]?[×]?\p{Lu}|^(?:see|siehe)\s/u.test(rest)) continue;
    const end = readEndText(rest, shifted(marks, at));
    if (
      end !== undefined &&
      end.pointer === undefined &&
      end.key === undefined &&
      nameStands(end, place[0])
    ) {
      best = { at: from + place.index + (/^[.;]/.test(place[0]) ? 1 : 0), end };
    } else if (best !== undefined && !comma && !/^[.]/.test(place[0])) break;
  }
  return best;
}

function nameStands(end: End, separator: string): boolean {
  if (end.names.length === 0 && end.see === undefined) return false;
  const binomial = end.names.every((n) => n.name.includes(' '));
  const backed =
    /[:–—-]/.test(separator) || end.page !== undefined || end.names.every((n) => n.authority !== undefined);
  if (end.form < 2 && !(end.form === 1 && binomial && backed)) return false;
  return !separator.startsWith(',') || binomial;
}

/** `... hairy Viola hirta L.`: a binomial that no stop parts from the words. */
function trailingBinomial(text: string): Named | undefined {
  const from = Math.max(0, text.length - 110);
  for (const m of text.slice(from).matchAll(/(?<=[\s([])(?:\d{1,4}[.)]\s*)?[[]?[×]?\p{Lu}/gu)) {
    const at = from + m.index;
    if (at === 0) continue;
    const end = readEndText(text.slice(at));
    if (end === undefined || end.form < 2 || end.pointer !== undefined || end.key !== undefined) continue;
    if (end.names.length > 0 && end.names.every((n) => n.name.includes(' ') || n.rank === 'family'))
      return { at, end };
  }
  return undefined;
}

/** The last few words after a stop, colon or dash, which may be a name that nobody could know by its form. */
function guessedEnd(text: string): Named | undefined {
  const m =
    /([.;:]\s+|\s[-–—]{1,2}\s+|[–—]\s*)((?:\d{1,4}\.\s+)?\p{L}[^.;:–—]{2,50}(?:\((?:p|S)\.\s*\d+\))?)\.?$/u.exec(
      text.slice(-90),
    );
  if (m === null) return undefined;
  const words = m[2] as string;
  const strict = /^[.;]/.test(m[1] as string);
  if (words.split(' ').length > 5 || (strict && !/^\p{Lu}/u.test(words))) return undefined;
  const end = readEndText(words, [], true);
  if (end === undefined || end.pointer !== undefined) return undefined;
  const at = text.length - m[0].length + (strict ? 1 : 0);
  return at <= 0 ? undefined : { at, end };
}
