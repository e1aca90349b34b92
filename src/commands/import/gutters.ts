/** Pages set in two columns, whose lines stand side by side in the text: the left column is read before the right one. */
import { type Line, pagesOf, partOfLine } from './lines.js';
import { readEndText } from './targets.js';

/** Lines in the order in which they are read, and the numbers of those that were parted. */
interface Parted {
  readonly lines: readonly Line[];
  readonly columns: readonly number[];
}

/** Fewer lines side by side are no columns. */
const FEWEST = 6;
/** Columns of text are no narrower. */
const NARROWEST = 18;
const LONGEST = 400;

/** Reads the columns of every page one after the other. */
export function withoutGutters(lines: readonly Line[]): Parted {
  const columns: number[] = [];
  const out: Line[] = [];
  for (const page of pagesOf(lines)) {
    const gutter = gutterOf(page);
    if (gutter === undefined) for (const line of page) out.push(line);
    else for (const line of parted(page, gutter, columns)) out.push(line);
  }
  return { lines: out, columns };
}

/** The column at which the right one of two columns of running text begins; undefined where there is one only. */
function gutterOf(page: readonly Line[]): number | undefined {
  const starts = new Map<number, number>();
  const gaps = page.map((line) => gapsOf(line));
  for (const own of gaps) for (const [, to] of own) starts.set(to, (starts.get(to) ?? 0) + 1);
  // First lines of leads or the others are set in: the column begins with those that reach further left.
  const most = [...starts].sort((a, b) => b[1] - a[1]).slice(0, 4);
  const likely = [...starts.keys()].filter((s) => most.some(([m]) => s <= m && s >= m - 8));
  let best: { start: number; both: number } | undefined;
  for (const start of likely) {
    let [both, across, onlyLeft, onlyRight, words] = [0, 0, 0, 0, 0];
    const left: number[] = [];
    const right: number[] = [];
    page.forEach((line, i) => {
      const end = line.indent + line.text.length;
      if (end <= start || line.indent >= start) {
        if (end <= start) onlyLeft++;
        else onlyRight++;
        return;
      }
      // Lines of the right column may be indented.
      const gap = gaps[i]?.find(([a, b]) => a < start && b >= start && b <= start + 8);
      if (gap === undefined) {
        across++;
        return;
      }
      both++;
      left.push(gap[0] - line.indent);
      right.push(end - gap[1]);
      if ((readEndText(line.text.slice(gap[1] - line.indent))?.form ?? 0) === 0) words++;
    });
    // Lines of the two columns may also stand in turn.
    const sides = both + 2 * Math.min(onlyLeft, onlyRight);
    if (both < FEWEST || across * 3 > both + onlyRight || sides * 5 < page.length * 2) continue;
    // What stands at the right is text, and not the ends of leads.
    if (words * 4 < both * 3 || middle(left) < NARROWEST || middle(right) < NARROWEST) continue;
    if (best === undefined || both > best.both) best = { start, both };
  }
  return best?.start;
}

/** The gaps of two spaces and more inside a line: from, up to, counted in the line as printed. */
function gapsOf({ text, indent }: Line): (readonly [number, number])[] {
  if (text.length > LONGEST) return [];
  return [...withFullLeaders(text).matchAll(/\s{2,}/g)].map(
    (m) => [indent + m.index, indent + m.index + m[0].length] as const,
  );
}

/** A line in which the spaces between the dots of a leader are filled: no column begins in it. */
function withFullLeaders(text: string): string {
  return text.replace(/\.(?:\s+\.)+/g, (dots) => '.'.repeat(dots.length));
}

function middle(numbers: readonly number[]): number {
  return [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)] ?? 0;
}

/** The left column and then the right one, for each stretch of lines that has both; what runs across parts the stretches. */
function parted(page: readonly Line[], start: number, split: number[]): Line[] {
  const out: Line[] = [];
  let left: Line[] = [];
  let right: Line[] = [];
  const flush = () => {
    for (const line of [...inColumn(left), ...inColumn(right)]) out.push(line);
    left = [];
    right = [];
  };
  const first = page[0];
  for (const line of page) {
    const at = placeOf(line, start);
    if (at === undefined) {
      flush();
      out.push(line);
      continue;
    }
    const before = partOfLine(line, 0, at);
    const after = partOfLine(line, at, line.text.length);
    if (before !== undefined) left.push(before);
    if (after !== undefined) right.push({ ...after, indent: Math.max(0, after.indent - start) });
    if (before !== undefined && after !== undefined) split.push(line.number);
  }
  flush();
  return out.map((line, i) => ({
    ...line,
    afterPage: i === 0 && first?.afterPage === true,
  }));
}

/** How many characters of a line belong to the left column; undefined when its words run across. */
function placeOf(line: Line, start: number): number | undefined {
  const at = start - line.indent;
  if (at <= 0) return 0;
  if (at >= line.text.length) return line.text.length;
  const gap = [...withFullLeaders(line.text).matchAll(/\s+/g)].find(
    (m) => m.index <= at && m.index + m[0].length >= at,
  );
  if (gap === undefined) return undefined;
  const to = gap.index + gap[0].length;
  // A full line of the left column may reach close to the right one.
  return gap[0].length >= 2 || to === at ? to : undefined;
}

/** Lines of one column: an empty line means something only where both columns have one, or where it is more than one. */
function inColumn(lines: readonly Line[]): Line[] {
  return lines.map((line, i) => {
    const above = lines[i - 1];
    if (above === undefined) return line;
    const between = line.row - above.row - 1;
    return {
      ...line,
      blank: line.blank > 0 || between > 2 ? Math.max(1, line.blank) : 0,
    };
  });
}
