import type { Edit } from '../diagnostic/finding.js';

/** A text after edits that do not overlap. */
export function edited(text: string, edits: readonly Edit[]): string {
  let out = '';
  let done = 0;
  for (const edit of [...edits].sort((a, b) => a.start - b.start || a.end - b.end)) {
    out += text.slice(done, edit.start) + edit.text;
    done = edit.end;
  }
  return out + text.slice(done);
}

/** Whether two edits touch the same text; two that insert at one point do. */
export function overlap(a: Edit, b: Edit): boolean {
  return (a.start < b.end && b.start < a.end) || a.start === b.start;
}

/** A stretch of a text. */
export interface Stretch {
  readonly start: number;
  readonly end: number;
}

/**
 * The edit that puts stretches of a text into another order, `order[i]` being the number of the one that comes to stand
 * in place i. What lies between them stays where it is. `edits` inside the stretches are made at the same time.
 */
export function reordered(
  text: string,
  stretches: readonly Stretch[],
  order: readonly number[],
  edits: readonly Edit[] = [],
): Edit {
  const bodies = editsWithin(stretches, edits).map((own, i) => {
    const { start, end } = stretches[i] as Stretch;
    const moved = own.map((e) => ({ ...e, start: e.start - start, end: e.end - start }));
    return edited(text.slice(start, end), moved);
  });
  const first = stretches[0] as Stretch;
  const last = stretches[stretches.length - 1] as Stretch;
  let out = '';
  order.forEach((from, i) => {
    out += bodies[from] ?? '';
    const next = stretches[i + 1];
    if (next !== undefined) out += text.slice(stretches[i]?.end, next.start);
  });
  return { start: first.start, end: last.end, text: out };
}

/** The edits inside each of some stretches, which do not overlap but may stand in any order. */
function editsWithin(stretches: readonly Stretch[], edits: readonly Edit[]): Edit[][] {
  const within = stretches.map((): Edit[] => []);
  const order = [...stretches.keys()].sort((a, b) => startOf(stretches, a) - startOf(stretches, b));
  let at = 0;
  for (const edit of [...edits].sort((a, b) => a.start - b.start)) {
    while (at + 1 < order.length && startOf(stretches, order[at + 1] as number) <= edit.start) at++;
    const i = order[at] as number;
    const stretch = stretches[i];
    if (stretch !== undefined && edit.start >= stretch.start && edit.end <= stretch.end)
      within[i]?.push(edit);
  }
  return within;
}

function startOf(stretches: readonly Stretch[], i: number): number {
  return stretches[i]?.start ?? 0;
}
