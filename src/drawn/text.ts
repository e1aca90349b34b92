import { eastAsianWidth } from 'get-east-asian-width';
import type { Span } from '../printed/names.js';

// The widths of Helvetica, in thousandths of the size of the type, from the space on. Fonts that stand in for it differ
// by a few per cent, for which lines are measured a little too long.
const WIDTHS = [
  278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
  556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
  500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
  556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
  278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];
const SAFETY = 1.07;
const BOLD = 1.08;

/** About how wide a text is, set in a plain typeface of that size; never less than it will be. */
export function textLength(text: string, size: number, bold = false): number {
  let thousandths = 0;
  for (const c of text) thousandths += WIDTHS[(c.codePointAt(0) ?? 0) - 32] ?? widthBesides(c);
  return (thousandths / 1000) * size * SAFETY * (bold ? BOLD : 1);
}

/** A character of an East Asian script is a square, a mark on a letter takes no room, any other is about as wide as a broad letter. */
function widthBesides(c: string): number {
  return /\p{Mark}/u.test(c) ? 0 : eastAsianWidth(c.codePointAt(0) ?? 0) * 610;
}

/** Spans in lines of at most that length; a word that is longer than a line is broken. */
export function spanLines(spans: readonly Span[], size: number, most: number, bold = false): Span[][] {
  const lines: Span[][] = [];
  let line: Span[] = [];
  let length = 0;
  const space = textLength(' ', size, bold);
  const put = (text: string, italic: boolean) => {
    const last = line.at(-1);
    if (last !== undefined && last.italic === italic)
      line[line.length - 1] = { text: last.text + text, italic };
    else line.push({ text, italic });
    length += textLength(text, size, bold);
  };
  const end = () => {
    lines.push(line);
    line = [];
    length = 0;
  };
  let gap = false;
  for (const { text, italic } of spans) {
    for (const piece of text.split(/(\s+)/)) {
      if (piece === '') continue;
      if (piece.trim() === '') {
        gap = true;
        continue;
      }
      const needed = textLength(piece, size, bold);
      if (line.length > 0 && length + (gap ? space : 0) + needed > most) end();
      else if (gap && line.length > 0) put(' ', italic);
      gap = false;
      if (needed <= most) put(piece, italic);
      else
        for (const c of piece) {
          if (line.length > 0 && length + textLength(c, size, bold) > most) end();
          put(c, italic);
        }
    }
  }
  if (line.length > 0 || lines.length === 0) end();
  return lines;
}

/** A text in lines of at most that length. */
export function textLines(text: string, size: number, most: number, bold = false): string[] {
  const lines = spanLines([{ text, italic: false }], size, most, bold);
  return lines.map((line) => line.map((s) => s.text).join(''));
}

/** A text cut to a length, whole words only, with dots where something was left out. */
export function textShortened(text: string, size: number, most: number): string {
  if (textLength(text, size) <= most) return text;
  const [line = ''] = textLines(text, size, most - textLength(' …', size));
  return `${line} …`;
}
