import { quotedIfClearing } from '../text/clearing.js';

/** Properties that a record takes over from the key. */
const FROM_KEY: ReadonlySet<string> = new Set([
  ...['says', 'name', 'synonyms', 'common', 'effect', 'onset', 'title', 'means', 'shows', 'when'],
]);
/** By these, parts of records are matched with each other and with a key. */
const IDS: ReadonlySet<string> = new Set([
  ...['id', 'hash', 'taxon', 'couplet', 'mark', 'path', 'to', 'ends', 'possible', 'character', 'through'],
]);

/**
 * A record, or a part of one, as it may be shown: words that clear a find, of its key or of the people who
 * wrote it, stand as quotations. The record itself keeps them as they are.
 */
export function recordToShow<T>(record: T): T {
  return shown(record, '') as T;
}

function shown(value: unknown, property: string): unknown {
  if (typeof value === 'string') {
    if (IDS.has(property)) return value;
    const scientific = property === 'name' || property === 'synonyms';
    return quotedIfClearing(FROM_KEY.has(property) ? 'key' : 'record', value, { scientific });
  }
  if (Array.isArray(value)) return value.map((item) => shown(item, property));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([name, item]) => [name, shown(item, name)]));
}
