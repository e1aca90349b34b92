import type { Key } from '../key/key.js';
import { listed } from '../text/words.js';
import type { Collection } from '../traits/collection.js';
import type { Warning } from './outcome.js';
import { regionRelation } from './region.js';

/** The months by name, January first. */
export const MONTHS: readonly string[] = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

const NONE: readonly Warning[] = [];

/**
 * Warnings where a find lies outside the scope of a key: its regions, months and stages. What the collection
 * does not state raises no warning.
 */
export function scopeWarnings(key: Key, collection: Collection): readonly Warning[] {
  const { months, stages } = key.scope;
  const { region, date } = collection;
  const messages: string[] = [];
  const abroad = region === undefined ? undefined : regionMessage(key, region);
  if (abroad !== undefined) messages.push(abroad);
  const month = months.length === 0 ? undefined : monthOf(date);
  if (month !== undefined && !months.includes(month))
    messages.push(
      `${MONTHS[month - 1]} lies outside the months of ${key.id} (${listed(months.map((m) => MONTHS[m - 1] ?? String(m)))})`,
    );
  if (stages.length > 0 && collection.stages.length > 0 && !collection.stages.some((s) => stages.includes(s)))
    messages.push(
      `${key.id} is for ${listed(stages, 'or')} specimens, and these are ${listed([...new Set(collection.stages)])}`,
    );
  return messages.length === 0
    ? NONE
    : messages.map((m) => ({ kind: 'out-of-scope', message: `${m}: the find may not be in this key` }));
}

/** Remembered messages, by key and region: a table has the same few regions in all its rows. */
const REGIONS = new WeakMap<Key, Map<string, string | undefined>>();
const MOST_REGIONS = 1000;

function regionMessage(key: Key, region: string): string | undefined {
  let known = REGIONS.get(key);
  if (known === undefined) {
    known = new Map();
    REGIONS.set(key, known);
  }
  if (known.has(region)) return known.get(region);
  const message = compareRegions(key, region);
  if (known.size < MOST_REGIONS) known.set(region, message);
  return message;
}

function compareRegions({ id, scope }: Key, region: string): string | undefined {
  const { regions } = scope;
  if (regions.length === 0) return undefined;
  const lies = new Set(regions.map((r) => regionRelation(region, r)));
  if (lies.has('within')) return undefined;
  const of = `the regions of ${id} (${listed(regions)})`;
  return lies.has('not known')
    ? `whether ${region} lies within ${of} cannot be told from the codes`
    : `${region} lies outside ${of}`;
}

/** The month of a date, 1 to 12; undefined when it does not say. */
export function monthOf(date: string | undefined): number | undefined {
  const month = Number(/^\d{4}-(\d{2})/.exec(date ?? '')?.[1]);
  return month >= 1 && month <= 12 ? month : undefined;
}
