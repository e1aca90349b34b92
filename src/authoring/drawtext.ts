import { cells } from '../text/layout.js';

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
  let other = '';
  for (const c of text) {
    const width = WIDTHS[(c.codePointAt(0) ?? 0) - 32];
    if (width === undefined) other += c;
    else thousandths += width;
  }
  // A wide character of a terminal is a square here, any other about as wide as a broad letter.
  if (other !== '') thousandths += cells(other) * 610;
  return (thousandths / 1000) * size * SAFETY * (bold ? BOLD : 1);
}

/** A text in lines of at most that length; a word that is longer than a line is broken. */
export function textLines(text: string, size: number, most: number, bold = false): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/)) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (textLength(longer, size, bold) <= most) {
      line = longer;
      continue;
    }
    if (line !== '') lines.push(line);
    line = '';
    for (const c of word) {
      if (line !== '' && textLength(line + c, size, bold) > most) {
        lines.push(line);
        line = '';
      }
      line += c;
    }
  }
  if (line !== '' || lines.length === 0) lines.push(line);
  return lines;
}

/** A text cut to a length, whole words only, with dots where something was left out. */
export function textShortened(text: string, size: number, most: number): string {
  if (textLength(text, size) <= most) return text;
  const [line = ''] = textLines(text, size, most - textLength(' …', size));
  return `${line} …`;
}
