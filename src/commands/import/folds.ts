/** Lines that hold more than one lead: two columns side by side, and leads set one after the other. */
import { readLabel } from './labels.js';
import { type Line, pagesOf, partOfLine } from './lines.js';
import { readEndText } from './targets.js';

/** Lines that each hold one lead or part of one, and the numbers of those that were split. */
interface Unfolded {
  readonly lines: readonly Line[];
  readonly columns: readonly number[];
  readonly runIn: readonly number[];
}

/** Splits the lines of a text that hold several leads. */
export function unfolded(lines: readonly Line[]): Unfolded {
  const columns: number[] = [];
  const out: Line[] = [];
  for (const block of pagesOf(lines)) {
    const column = secondColumn(block);
    for (const line of column === undefined ? block : sideBySide(block, column, columns)) out.push(line);
  }
  const runIn: number[] = [];
  return { lines: splitRunIn(out, runIn), columns, runIn };
}

const IN_THE_MIDDLE = /\s{3,}(?=\d{1,4}[a-d'*]{0,2}[.)]?\s+["“„(]?\p{Lu})/gu;
const FEWEST = 3;

/** The column at which a second column of leads begins; undefined when the lines have one column. */
function secondColumn(lines: readonly Line[]): number | undefined {
  const starts = new Map<number, { times: number; numbers: Map<string, number> }>();
  for (const line of lines) {
    if (line.text.length > 240) continue;
    for (const gap of line.text.matchAll(IN_THE_MIDDLE)) {
      const from = gap.index + gap[0].length;
      const right = line.text.slice(from);
      const label = readLabel(right);
      const words = label === undefined ? '' : right.slice(label.end);
      // `3. Tarnia alba` after the words is an end with its number.
      if (gap.index < 8 || label === undefined || (readEndText(words)?.form ?? 0) > 0) continue;
      const at = starts.get(line.indent + from) ?? { times: 0, numbers: new Map<string, number>() };
      at.times++;
      at.numbers.set(label.value, (at.numbers.get(label.value) ?? 0) + 1);
      starts.set(line.indent + from, at);
    }
  }
  const likely = [...starts].sort((a, b) => b[1].times - a[1].times)[0];
  if (likely === undefined) return undefined;
  const [column, { times, numbers }] = likely;
  const twice = [...numbers.values()].filter((n) => n > 1).length;
  return times >= FEWEST && twice >= 1 && times * 4 >= lines.length ? column : undefined;
}

/** The left column and then the right one, for each stretch of lines that has both; whole lines stay where they are. */
function sideBySide(lines: readonly Line[], column: number, split: number[]): Line[] {
  const out: Line[] = [];
  let left: Line[] = [];
  let right: Line[] = [];
  const flush = () => {
    for (const line of left) out.push(line);
    for (const line of right) out.push(line);
    left = [];
    right = [];
  };
  for (const line of lines) {
    const at = column - line.indent;
    if (at > 0 && line.text.length > at && !/\s$/.test(line.text.slice(0, at))) {
      // Words run across: a heading, or a line over the whole page.
      flush();
      out.push(line);
      continue;
    }
    const before = partOfLine(line, 0, Math.max(0, at));
    const after = partOfLine(line, Math.max(0, at), line.text.length);
    if (before !== undefined) left.push(before);
    if (after !== undefined) {
      const moved = { ...after, indent: Math.max(0, after.indent - column) };
      right.push(right.length === 0 ? { ...moved, blank: 0 } : moved);
    }
    if (before !== undefined && after !== undefined) split.push(line.number);
  }
  flush();
  return out;
}

const RUN_IN = /(?<=[.:;,\d)\p{L}])\s?[—–]\s?(?=(\d{1,4})[a-d'*]{0,2}[.)]\s+["“„(]?\p{Lu})/gu;

/** Splits `1. Words, 2.—1. Words, 3.`, when the numbers continue like this throughout. */
function splitRunIn(lines: readonly Line[], split: number[]): readonly Line[] {
  let times = 0;
  for (const { text } of lines) if (text.includes('—') || text.includes('–')) times += matches(text).length;
  if (times < FEWEST) return lines;
  const out: Line[] = [];
  let last = 0;
  for (const line of lines) {
    let from = 0;
    last = numberOf(line.text) ?? last;
    for (const m of matches(line.text)) {
      const number = Number(m[1]);
      if (number !== last && number !== last + 1) continue;
      last = number;
      const part = partOfLine(line, from, m.index);
      if (part !== undefined) out.push(from === 0 ? part : under(part, line));
      from = m.index + m[0].length;
    }
    if (from === 0) out.push(line);
    else {
      const rest = partOfLine(line, from, line.text.length);
      if (rest !== undefined) out.push(under(rest, line));
      split.push(line.number);
    }
  }
  return out;
}

function matches(text: string): RegExpExecArray[] {
  return text.length > 10_000 ? [] : [...text.matchAll(RUN_IN)];
}

/** A part from further right is put where its line began. */
function under(part: Line, line: Line): Line {
  return { ...part, indent: line.indent, blank: 0, afterPage: false };
}

function numberOf(text: string): number | undefined {
  const label = readLabel(text);
  return label?.readings[0]?.system === 'number' && label.firm ? label.readings[0].ordinal : undefined;
}
