/** The lines of one lead, joined into running text. */
import { clipped, type EmphasisSpan, type LinePlace, unmarked } from './lines.js';

/** A stretch of one line that belongs to a lead. */
export interface LinePiece {
  readonly text: string;
  /** The column at which it begins. */
  readonly column: number;
  readonly marks: readonly EmphasisSpan[];
  /** The column at which its line stops, markup included. */
  readonly rawEnd: number;
  readonly line: LinePlace;
  /** Its line is nothing but the number to which the lead above goes. */
  readonly pointer?: boolean;
}

/** Running text with what was set apart in it. */
interface Running {
  readonly text: string;
  readonly marks: readonly EmphasisSpan[];
}

/** Joins pieces; a word broken at the end of a line is made whole again. `words` are those found in the whole text. */
export function joined(pieces: readonly LinePiece[], words: ReadonlySet<string>): Running {
  // Kept in parts, because only the end of the last one is ever changed.
  const parts: string[] = [];
  const marks: EmphasisSpan[] = [];
  let length = 0;
  const add = (text: string) => {
    parts.push(text);
    length += text.length;
  };
  for (const piece of pieces) {
    const { text: part, marks: partMarks } = tightened(piece);
    if (part === '') continue;
    const last = parts[parts.length - 1] ?? '';
    const broken = /(\p{L}+)([-¬=])$/u.exec(last.slice(-60));
    const next = /^\p{L}+/u.exec(part)?.[0];
    if (broken !== null && next !== undefined) {
      const keeps = keepsHyphen(broken[1] as string, next, words);
      if (/^(?:und|oder|bis|and|or|to|bzw)$/.test(next)) add(' ');
      else if (!keeps || broken[2] !== '-') {
        parts[parts.length - 1] = last.slice(0, -1);
        length--;
        if (keeps) add('-');
      }
    } else if (last !== '') add(/[\p{N}][-–]$/u.test(last.slice(-4)) && /^[\d(]/.test(part) ? '' : ' ');
    for (const [from, to] of partMarks) marks.push([from + length, to + length]);
    add(part);
  }
  return unmarked(parts.join(''), marks);
}

/** Whether a hyphen at a line's end belongs to the word: as the text spells it elsewhere, else by its form. */
function keepsHyphen(before: string, after: string, words: ReadonlySet<string>): boolean {
  const whole = `${before}${after}`.toLowerCase();
  const hyphened = `${before}-${after}`.toLowerCase();
  if (words.has(hyphened)) return true;
  if (words.has(whole)) return false;
  return (
    /^\p{Lu}/u.test(after) ||
    // `yellow-brown`: no word that is not joined of two ends in one of these.
    /^(?:black|white|yellow|brown|green|blue|gr[ae]y|orange|purple|violet|pink|schwarz|weiß|gelb|braun|grün|blau|grau)$/.test(
      after,
    ) ||
    /^(?:like|shaped|coloured|colored|sided|spored|lobed|angled|edged|tipped)/.test(after)
  );
}

/** A piece with single spaces, its marks moved along. */
function tightened(piece: LinePiece): Running {
  const lead = piece.text.length - piece.text.trimStart().length;
  const trimmed = piece.text.trim();
  const marks = clipped(piece.marks, lead, lead + trimmed.length);
  if (!/\s{2}|[^\S ]/.test(trimmed)) return { text: trimmed, marks };
  const places: number[] = [];
  let text = '';
  let gap = false;
  for (let i = 0; i < trimmed.length; i++) {
    const space = /\s/.test(trimmed[i] as string);
    places.push(text.length);
    if (space && gap) continue;
    text += space ? ' ' : trimmed[i];
    gap = space;
  }
  places.push(text.length);
  return { text, marks: marks.map(([a, b]) => [places[a] as number, places[b] as number] as const) };
}

/** The words of a text in lower case, hyphenated ones whole. */
export function wordsOf(lines: Iterable<string>): Set<string> {
  const words = new Set<string>();
  for (const line of lines)
    for (const [word] of line.toLowerCase().matchAll(/\p{L}+(?:-\p{L}+)*(?!\p{L}|-$)/gu)) words.add(word);
  return words;
}
