import type { Key } from '../key/key.js';
import { listed } from '../text/words.js';
import type { Collection } from '../traits/collection.js';
import type { Warning } from './outcome.js';
import { liesWithin } from './region.js';

const MONTHS = [
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

/**
 * Whether a find lies outside what a key is made for: its regions, months and stages. What the collection does not say is not held against it.
 */
export function scopeWarnings(key: Key, collection: Collection): Warning[] {
  const warnings: Warning[] = [];
  const { regions, months, stages } = key.scope;
  const warn = (message: string) =>
    warnings.push({ kind: 'out-of-scope', message: `${message}: the find may not be in this key` });
  const { region, date } = collection;
  if (region !== undefined && regions.length > 0) {
    const lies = new Set(regions.map((r) => liesWithin(region, r)));
    const of = `the regions of ${key.id} (${listed(regions)})`;
    if (!lies.has('within') && lies.has('not known'))
      warn(`whether ${region} lies within ${of} cannot be told from the codes`);
    else if (!lies.has('within')) warn(`${region} lies outside ${of}`);
  }
  const month = months.length === 0 ? undefined : monthOf(date);
  if (month !== undefined && !months.includes(month)) {
    warn(
      `${MONTHS[month - 1]} lies outside the months of ${key.id} (${listed(months.map((m) => MONTHS[m - 1] ?? String(m)))})`,
    );
  }
  if (
    stages.length > 0 &&
    collection.stages.length > 0 &&
    !collection.stages.some((s) => stages.includes(s))
  ) {
    warn(
      `${key.id} is for ${listed(stages, 'or')} specimens, and these are ${listed([...new Set(collection.stages)])}`,
    );
  }
  return warnings;
}

function monthOf(date: string | undefined): number | undefined {
  const month = Number(/^\d{4}-(\d{2})/.exec(date ?? '')?.[1]);
  return month >= 1 && month <= 12 ? month : undefined;
}
