import type { Character } from '../traits/character.js';
import { detached } from './cell-reader.js';
import { columnLoosely } from './column-words.js';
import { type Column, FIXED, type Field, OVERRIDABLE } from './field-names.js';

/** Whether a name is just that of a column of ids. */
export function isIdName(name: string): boolean {
  return Object.hasOwn(FIXED, name) && /^(id|number)$/.test(FIXED[name] as Field);
}

/** What the name at the head of a column means. */
export function columnNamed(name: string, characters: ReadonlyMap<string, Character>): Column {
  if (Object.hasOwn(FIXED, name)) return { kind: 'field', field: FIXED[name] as Field };
  const character = characters.get(name);
  if (character !== undefined) return { kind: 'character', character };
  if (Object.hasOwn(OVERRIDABLE, name)) return { kind: 'field', field: OVERRIDABLE[name] as Field };
  return columnLoosely(name, characters, { fixed: FIXED, overridable: OVERRIDABLE });
}

/** What a name of a trait means where only characters can stand. */
export function traitNamed(
  name: string,
  characters: ReadonlyMap<string, Character>,
): Exclude<Column, { kind: 'field' }> {
  const column = columnLoosely(name, characters, { fixed: {}, overridable: {} });
  // A unit in the name of a trait has nowhere to go.
  return column.kind === 'field' || (column.kind === 'character' && column.unit !== undefined)
    ? { kind: 'unknown', nearest: undefined, mistyped: true }
    : column;
}

/** Fields that hold one text of the whole collection: its rows must not differ in them. */
export const COLLECTION_FIELDS = ['date', 'place', 'region', 'by', 'habitat'] as const;
export type CollectionField = (typeof COLLECTION_FIELDS)[number];

const DATE =
  /^\d{4}(-(0[1-9]|1[0-2])(-(0[1-9]|[12]\d|3[01]))?)?(\/\d{4}(-(0[1-9]|1[0-2])(-(0[1-9]|[12]\d|3[01]))?)?)?$/;
const TIME_OF_DAY = /T\d{2}[0-9:.]*(Z|[+-]\d{2}:?\d{2})?(?=\/|$)/g;
const REGION = /^([A-Z]{2}(-[A-Z0-9]{1,3})?|[1-9]\d?|[A-Z]{3}(-[A-Z]{2})?)$/;

/** A date without the time of day, to be compared with the months of a key; undefined when the text is not a date. */
export function readDate(written: string): string | undefined {
  const known = DAYS.get(written);
  if (known !== undefined) return known;
  const day = written.replace(TIME_OF_DAY, '');
  if (!DATE.test(day)) return undefined;
  if (DAYS.size < MOST_DAYS) DAYS.set(detached(written), detached(day));
  return day;
}

/** Dates that were read before: a table repeats the same ones. */
const DAYS = new Map<string, string>();
const MOST_DAYS = 1000;

/** Whether a text is a region code (ISO 3166 or WGSRPD). */
export function isRegion(written: string): boolean {
  return REGION.test(written);
}

/** Whether a text is the code of a part of a country, as `GB-CMA`. */
export function isSubdivision(written: string): boolean {
  return /^[A-Z]{2}-[A-Z0-9]{1,3}$/.test(written);
}

/**
 * The file names of photographs in one text, separated by | or, where there is none, by a semicolon. An address may hold
 * semicolons of its own.
 */
export function photographsIn(text: string): string[] {
  const separator = text.includes('|') || text.includes('://') ? '|' : ';';
  return text
    .split(separator)
    .map((part) => part.trim())
    .filter((part) => part !== '');
}
