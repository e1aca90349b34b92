import type { Lines } from '../diagnostic/lines.js';
import type { Stretch } from './edits.js';

/**
 * The stretches of text that belong to the parts of a block of YAML, each part given by the offsets of its name and of
 * its end: from the comment lines right above its name to the end of its last line. undefined when the parts do not
 * each begin a line of the same indentation, as in `{a: 1, b: 2}`.
 */
export function blocksOf(lines: Lines, parts: readonly Stretch[]): Stretch[] | undefined {
  const { text } = lines;
  const columns = new Set(parts.map((p) => lines.at(p.start).column));
  if (parts.length === 0 || columns.size > 1) return undefined;
  const starts: number[] = [];
  for (const part of parts) {
    const { line, column } = lines.at(part.start);
    if (text.slice(part.start - column + 1, part.start).trim() !== '') return undefined;
    let top = line;
    while (top > 1 && /^\s*#/.test(lines.line(top - 1))) top--;
    starts.push(lines.start(top));
  }
  return parts.map((part, i) => {
    const start = starts[i] as number;
    const next = starts[i + 1];
    const content = text.slice(0, next ?? part.end).trimEnd().length;
    // A comment after the last word belongs to its line.
    const lineEnd = /\r?\n|$/.exec(text.slice(content))?.index ?? 0;
    return { start, end: content + lineEnd };
  });
}
