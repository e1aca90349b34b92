import type { Edit, Finding, Place } from '../diagnostic/finding.js';
import { blocksOf } from './blocks.js';
import { reordered } from './edits.js';
import { asMap } from './fields.js';
import { forwardOrder } from './graph.js';
import type { Couplet, Key } from './key.js';
import { readingOrder } from './reading-order.js';

/**
 * The fix that numbers all couplets of a key in reading order: every lead then goes forward. Couplets that stand in
 * the wrong order in the file are moved, with the comments above them. undefined when there is nothing to fix, or when
 * the numbers cannot be changed safely: ids that are not plain numbers, leads that lead nowhere or in a circle,
 * couplets that nothing leads to, ids written through aliases, texts that refer to couplets by their numbers. `first` is
 * the number to begin with, where that is not the lowest there is.
 */
export function renumberFix(key: Key, first?: number): Finding['fix'] | undefined {
  const couplets = [...key.couplets.values()];
  const index = new Map(couplets.map((c, i) => [c.id, i]));
  if (couplets.length === 0 || !couplets.every((c) => /^(?:0|[1-9]\d*)$/.test(c.id))) return undefined;
  if (/\bcouplets?\s+\d/i.test(key.yaml.lines.text)) return undefined;
  const next = couplets.map((c) => targetsOf(c).map((t) => index.get(t) ?? -1));
  if (next.some((targets) => targets.includes(-1))) return undefined;
  if (forwardOrder(next.map((t) => [...new Set(t)])) === undefined) return undefined;
  const order = readingOrder(next, index.get(key.start) ?? 0);
  if (order.length < couplets.length) return undefined;
  const lowest = first ?? couplets.reduce((low, c) => Math.min(low, Number(c.id)), Number.POSITIVE_INFINITY);
  const renamed = new Map(order.map((from, i) => [(couplets[from] as Couplet).id, String(lowest + i)]));
  const places = idPlaces(key, couplets);
  if (places === undefined) return undefined;
  const edits = places.flatMap(({ place, id }): Edit[] => {
    const now = renamed.get(id) as string;
    if (now === id) return [];
    const written = key.yaml.lines.text.slice(place.start.offset, place.end.offset);
    const text = written.replace(id, now);
    return [{ start: place.start.offset, end: place.end.offset, text }];
  });
  const moved = order.some((from, i) => from !== i);
  if (!moved)
    return edits.length === 0 ? undefined : { title: 'number the couplets in reading order', edits };
  const whole = moveEdit(key, couplets, order, edits);
  if (whole === undefined) return undefined;
  const outside = edits.filter((e) => e.end <= whole.start || e.start >= whole.end);
  return { title: 'put the couplets in reading order and number them', edits: [...outside, whole] };
}

function targetsOf(couplet: Couplet): string[] {
  return couplet.leads.flatMap((l) => (l.end.kind === 'couplet' ? [l.end.couplet] : []));
}

interface IdPlace {
  readonly id: string;
  readonly place: Place;
}

/** Everywhere that a couplet of the key is named; undefined when something else stands there than its id. */
function idPlaces(key: Key, couplets: readonly Couplet[]): IdPlace[] | undefined {
  const { yaml } = key;
  const places: IdPlace[] = [];
  for (const couplet of couplets) {
    places.push({ id: couplet.id, place: yaml.place(['couplets', couplet.id], 'name') });
    for (const { end, path } of couplet.leads)
      if (end.kind === 'couplet') places.push({ id: end.couplet, place: yaml.place([...path, 'to']) });
  }
  if (asMap(yaml.data).start !== undefined) places.push({ id: key.start, place: yaml.place(['start']) });
  const offsets = new Set(places.map((p) => p.place.start.offset));
  const plain = places.every(({ id, place }) => {
    const written = yaml.lines.text.slice(place.start.offset, place.end.offset);
    return written === id || written === `"${id}"` || written === `'${id}'`;
  });
  return plain && offsets.size === places.length ? places : undefined;
}

function moveEdit(
  key: Key,
  couplets: readonly Couplet[],
  order: readonly number[],
  edits: readonly Edit[],
): Edit | undefined {
  const { yaml } = key;
  const parts = couplets.map((c) => ({
    start: yaml.place(['couplets', c.id], 'name').start.offset,
    end: yaml.place(['couplets', c.id]).end.offset,
  }));
  const blocks = blocksOf(yaml.lines, parts);
  // An anchor must stay above the aliases that repeat it.
  if (
    blocks === undefined ||
    blocks.some((b) => /(^|[\s,[{:])[&*]\w/m.test(yaml.lines.text.slice(b.start, b.end)))
  )
    return undefined;
  return reordered(yaml.lines.text, blocks, order, edits);
}
