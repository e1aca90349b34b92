import stringWidth from 'string-width';
import wrapAnsi from 'wrap-ansi';

/** The greatest width of running text, however wide the window: longer lines are hard to read. */
const WIDEST = 100;

/** The width of text in a window of so many columns; undefined = not a window. */
export function textWidth(columns: number | undefined): number {
  return Math.min(columns ?? 80, WIDEST);
}

/** How many cells of a terminal a text takes; colours take none. */
export function displayWidth(text: string): number {
  return stringWidth(text);
}

/**
 * Wraps text into lines of at most `width` cells, the first line after `first`, the others after `rest`. A word is
 * broken only when it is longer than a whole line.
 */
export function wrapLines(
  text: string,
  width: number,
  first = '',
  rest = ' '.repeat(displayWidth(first)),
): string[] {
  // In a window too narrow for the indent, the indent gives way, never the text.
  const indented = width - Math.max(displayWidth(first), displayWidth(rest)) >= 8;
  if (!indented)
    return [...(first.trim() === '' ? [] : wrapLines(first.trim(), width)), ...hardWrap(text, width)];
  return hardWrap(text, width - Math.max(displayWidth(first), displayWidth(rest))).map((line, i) =>
    `${i === 0 ? first : rest}${line}`.trimEnd(),
  );
}

function hardWrap(text: string, width: number): string[] {
  return wrapAnsi(text, Math.max(1, width), { hard: true }).split('\n');
}

/**
 * Sets `end` flush right after dot leaders: on the last line where it fits, else on a line of its own. `rest` is the
 * indent of further lines.
 */
export function withDotLeader(lines: readonly string[], end: string, width: number, rest: string): string[] {
  const last = lines[lines.length - 1] ?? '';
  const space = width - displayWidth(last) - displayWidth(end) - 2;
  if (space >= 3) return [...lines.slice(0, -1), `${last} ${'.'.repeat(space)} ${end}`];
  const own = width - displayWidth(rest) - displayWidth(end) - 1;
  if (own >= 3) return [...lines, `${rest}${'.'.repeat(own)} ${end}`];
  return [...lines, ...wrapLines(end, width, `${rest}... `)];
}

/** A text cut to one line, at whole words, with dots where something was left out. */
export function truncate(text: string, width: number): string {
  if (displayWidth(text) <= width) return text;
  const [line = ''] = hardWrap(text, Math.max(1, width - 4));
  return `${line} ...`;
}
