import type { DataMap } from '../key/document.js';
import { asMap } from '../key/fields.js';
import type { ReadOptions } from './entry.js';
import { columnNamed, traitNamed } from './fields.js';

/** The properties of a collection in a document; `specimen` stands in lines of JSON only. */
const PROPERTIES = new Set([
  'id',
  'date',
  'place',
  'region',
  'by',
  'habitat',
  'stage',
  'count',
  'note',
  'traits',
  'specimens',
  'leads',
  'expect',
  'specimen',
]);

/** A collection of a document under the names that are known, and what of it means nothing to the key. */
export interface Arranged {
  readonly data: DataMap;
  readonly others: readonly (readonly [name: string, text: string])[];
  /** Names that were spelled in another way. */
  readonly spelled: readonly (readonly [name: string, as: string])[];
}

/**
 * Brings the properties of a collection and its traits under the names that are known, and takes out what means nothing to
 * the key. What may be mistyped stays where it is, to be refused. A collection that has only known names is given back as
 * it is.
 */
export function arranged(
  data: DataMap,
  options: Pick<ReadOptions, 'vocabulary' | 'passOver' | 'strictColumns'>,
): Arranged {
  const others: (readonly [string, string])[] = [];
  const spelled: (readonly [string, string])[] = [];
  const names = Object.keys(data);
  const { characters } = options.vocabulary;
  const strangeTraits = (map: DataMap) => Object.keys(map).some((n) => !characters.has(n));
  const specimens = Array.isArray(data.specimens) ? data.specimens : [];
  if (
    names.every((n) => PROPERTIES.has(n)) &&
    !strangeTraits(asMap(data.traits)) &&
    !specimens.some((s) => strangeTraits(asMap(asMap(s).traits)))
  )
    return { data, others, spelled };
  /** Whether a value can be passed on as text; what holds more than that is refused. */
  const passOn = (name: string, value: unknown): boolean => {
    const text = textOf(value);
    if (text === undefined || options.strictColumns === true) return false;
    if (text !== '') others.push([name, text]);
    return true;
  };
  const traitsOf = (map: DataMap): DataMap => {
    const kept = emptyMap();
    for (const [name, value] of Object.entries(map)) {
      if (characters.has(name) || options.passOver?.has(name)) {
        kept[name] = value;
        continue;
      }
      const meant = traitNamed(name, characters);
      if (meant.kind === 'character' && !Object.hasOwn(map, meant.character.id)) {
        spelled.push([name, meant.character.id]);
        kept[meant.character.id] = value;
      } else if (meant.kind === 'character' || meant.mistyped || !passOn(name, value)) kept[name] = value;
    }
    return kept;
  };
  const out = emptyMap();
  const loose = emptyMap();
  for (const name of names) {
    const value = data[name] ?? null;
    if (PROPERTIES.has(name)) out[name] = value;
    else {
      const column = columnNamed(name, characters);
      const as =
        column.kind === 'character' ? column.character.id : column.kind === 'field' ? column.as : undefined;
      if (column.kind === 'character' && column.unit === undefined) {
        spelled.push([name, `the trait ${as}`]);
        loose[column.character.id] = value;
      } else if (as !== undefined && PROPERTIES.has(as) && !Object.hasOwn(data, as)) {
        spelled.push([name, as]);
        out[as] = value;
      } else if (column.kind !== 'unknown' || column.mistyped || !passOn(name, value)) out[name] = value;
    }
  }
  const traits = asMap(data.traits);
  const clash = Object.keys(loose).some((n) => Object.hasOwn(traits, n));
  if (data.traits !== undefined || Object.keys(loose).length > 0)
    out.traits =
      clash || !isMap(data.traits ?? {}) ? (data.traits ?? null) : { ...traitsOf(traits), ...loose };
  if (Array.isArray(data.specimens))
    out.specimens = data.specimens.map((s) => {
      const own = asMap(s);
      return isMap(s) && isMap(own.traits) ? { ...own, traits: traitsOf(asMap(own.traits)) } : s;
    });
  if (clash) for (const [name, value] of Object.entries(loose)) out[name] = value;
  return { data: out, others, spelled };
}

function emptyMap(): Record<string, DataMap[string]> {
  return Object.create(null) as Record<string, DataMap[string]>;
}

function isMap(value: unknown): boolean {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function textOf(value: unknown): string | undefined {
  if (value === null) return '';
  if (['string', 'number', 'boolean'].includes(typeof value)) return String(value).trim();
  if (!Array.isArray(value)) return undefined;
  const parts = value.map(textOf);
  return parts.every((p) => p !== undefined) ? parts.filter((p) => p !== '').join(' | ') : undefined;
}
