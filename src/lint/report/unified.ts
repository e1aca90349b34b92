import { slashed } from './result.js';

const CONTEXT = 3;

/** The difference between two texts of a file as a unified diff, as read by `git apply` and `patch`. */
export function unifiedDiff(file: string, before: string, after: string): string {
  const a = linesOf(before);
  const b = linesOf(after);
  const steps = difference(a, b);
  const hunks = hunksOf(steps);
  if (hunks.length === 0) return '';
  const name = slashed(file);
  return `--- a/${name}\n+++ b/${name}\n${hunks.map((hunk) => hunkText(hunk, steps, a, b)).join('')}`;
}

/** Lines with their line ends; the last may lack one. */
function linesOf(text: string): string[] {
  return text.match(/[^\n]*\n|[^\n]+$/g) ?? [];
}

/** One step from the old text to the new: a line kept, removed or added, by its numbers in both. */
interface DiffStep {
  readonly sign: ' ' | '-' | '+';
  readonly a: number;
  readonly b: number;
}

/** The fewest lines to remove and add, by Myers 1986; what both texts share at either end is set aside first. */
function difference(a: readonly string[], b: readonly string[]): DiffStep[] {
  let head = 0;
  while (head < a.length && head < b.length && a[head] === b[head]) head++;
  let tail = 0;
  while (tail < a.length - head && tail < b.length - head && a.at(-1 - tail) === b.at(-1 - tail)) tail++;
  const steps: DiffStep[] = [];
  for (let i = 0; i < head; i++) steps.push({ sign: ' ', a: i, b: i });
  const middle = shortestEdit(a.slice(head, a.length - tail), b.slice(head, b.length - tail));
  for (const s of middle) steps.push({ sign: s.sign, a: s.a + head, b: s.b + head });
  for (let i = tail; i > 0; i--) steps.push({ sign: ' ', a: a.length - i, b: b.length - i });
  return steps;
}

// Comparing two texts that share little costs the square of what differs; past this limit, they are compared line by line.
const MOST_EDITS = 1000;

function shortestEdit(a: readonly string[], b: readonly string[]): DiffStep[] {
  const most = Math.min(a.length + b.length, MOST_EDITS);
  const furthest = new Map([[1, 0]]);
  const trace: Map<number, number>[] = [];
  for (let d = 0; d <= most; d++) {
    trace.push(new Map(furthest));
    for (let k = -d; k <= d; k += 2) {
      const down = k === -d || (k !== d && (furthest.get(k - 1) ?? -1) < (furthest.get(k + 1) ?? -1));
      let x = down ? (furthest.get(k + 1) ?? 0) : (furthest.get(k - 1) ?? 0) + 1;
      while (x < a.length && x - k < b.length && a[x] === b[x - k]) x++;
      furthest.set(k, x);
      if (x >= a.length && x - k >= b.length) return tracedBack(trace, a.length, b.length);
    }
  }
  return a.length === b.length ? lineByLine(a, b) : exchanged(0, a.length, 0, b.length);
}

/** Each run of differing lines removed and added again. */
function lineByLine(a: readonly string[], b: readonly string[]): DiffStep[] {
  const steps: DiffStep[] = [];
  for (let i = 0; i < a.length; ) {
    let end = i;
    while (end < a.length && a[end] !== b[end]) end++;
    steps.push(...exchanged(i, end, i, end));
    if (end < a.length) steps.push({ sign: ' ', a: end, b: end });
    i = end + 1;
  }
  return steps;
}

function exchanged(fromA: number, toA: number, fromB: number, toB: number): DiffStep[] {
  const steps: DiffStep[] = [];
  for (let i = fromA; i < toA; i++) steps.push({ sign: '-', a: i, b: fromB });
  for (let i = fromB; i < toB; i++) steps.push({ sign: '+', a: toA, b: i });
  return steps;
}

function tracedBack(
  trace: readonly ReadonlyMap<number, number>[],
  lengthA: number,
  lengthB: number,
): DiffStep[] {
  const steps: DiffStep[] = [];
  let x = lengthA;
  let y = lengthB;
  for (let d = trace.length - 1; d >= 0; d--) {
    const furthest = trace[d] as ReadonlyMap<number, number>;
    const k = x - y;
    const down = k === -d || (k !== d && (furthest.get(k - 1) ?? -1) < (furthest.get(k + 1) ?? -1));
    const fromK = down ? k + 1 : k - 1;
    const fromX = d === 0 ? 0 : (furthest.get(fromK) ?? 0);
    const fromY = d === 0 ? 0 : fromX - fromK;
    while (x > fromX && y > fromY) steps.push({ sign: ' ', a: --x, b: --y });
    if (d === 0) break;
    if (down) steps.push({ sign: '+', a: x, b: --y });
    else steps.push({ sign: '-', a: --x, b: y });
  }
  return steps.reverse();
}

/** Runs of steps around the changes, as the number of the first step and one past the last. */
function hunksOf(steps: readonly DiffStep[]): [number, number][] {
  const hunks: [number, number][] = [];
  steps.forEach(({ sign }, i) => {
    if (sign === ' ') return;
    const last = hunks.at(-1);
    const end = Math.min(steps.length, i + 1 + CONTEXT);
    if (last !== undefined && i - CONTEXT <= last[1]) last[1] = end;
    else hunks.push([Math.max(0, i - CONTEXT), end]);
  });
  return hunks;
}

function hunkText(
  [from, to]: readonly [number, number],
  steps: readonly DiffStep[],
  a: readonly string[],
  b: readonly string[],
): string {
  const own = steps.slice(from, to);
  const first = own[0] as DiffStep;
  const range = (start: number, length: number) =>
    `${length === 0 ? start : start + 1}${length === 1 ? '' : `,${length}`}`;
  const lengthA = own.filter((s) => s.sign !== '+').length;
  const lengthB = own.filter((s) => s.sign !== '-').length;
  const lines = own.map((s) => {
    const line = (s.sign === '+' ? b[s.b] : a[s.a]) ?? '';
    return `${s.sign}${line.endsWith('\n') ? line : `${line}\n\\ No newline at end of file\n`}`;
  });
  return `@@ -${range(first.a, lengthA)} +${range(first.b, lengthB)} @@\n${lines.join('')}`;
}
