import stringWidth from 'string-width';
import wrapAnsi from 'wrap-ansi';

/** The widest that running text is set, however wide the window: longer lines are hard to read. */
const WIDEST = 100;

/** The cells that text may fill in a window; undefined = not a window. */
export function textWidth(columns: number | undefined): number {
  return Math.min(columns ?? 80, WIDEST);
}

/** How many cells of a terminal a text takes; colours take none. */
export function cells(text: string): number {
  return stringWidth(text);
}

/**
 * Words filled into lines of at most `width` cells, the first line after `first`, the others after `rest`. A word is
 * broken only when it is longer than a whole line.
 */
export function filled(text: string, width: number, first = '', rest = ' '.repeat(cells(first))): string[] {
  // In a window too narrow for the indent, the indent gives way, never the text.
  const indented = width - Math.max(cells(first), cells(rest)) >= 8;
  if (!indented) return [...(first.trim() === '' ? [] : filled(first.trim(), width)), ...hard(text, width)];
  return hard(text, width - Math.max(cells(first), cells(rest))).map((line, i) =>
    `${i === 0 ? first : rest}${line}`.trimEnd(),
  );
}

function hard(text: string, width: number): string[] {
  return wrapAnsi(text, Math.max(1, width), { hard: true }).split('\n');
}

/**
 * Sets `end` to the right of a text, after dots that lead the eye to it: on the last line where it fits, else on a line
 * of its own. `rest` is the indent of further lines.
 */
export function ledTo(lines: readonly string[], end: string, width: number, rest: string): string[] {
  const last = lines[lines.length - 1] ?? '';
  const space = width - cells(last) - cells(end) - 2;
  if (space >= 3) return [...lines.slice(0, -1), `${last} ${'.'.repeat(space)} ${end}`];
  const own = width - cells(rest) - cells(end) - 1;
  if (own >= 3) return [...lines, `${rest}${'.'.repeat(own)} ${end}`];
  return [...lines, ...filled(end, width, `${rest}... `)];
}

/** A text on one line: what does not fit is left out at the end, whole words only, and dots say so. */
export function shortened(text: string, width: number): string {
  if (cells(text) <= width) return text;
  const [line = ''] = hard(text, Math.max(1, width - 4));
  return `${line} ...`;
}
