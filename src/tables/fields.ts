import { nearest } from '../text/nearest.js';
import type { Character } from '../traits/character.js';
import { detached } from './cell-reader.js';

/** What a column of a table says of a collection or of a specimen, apart from its characters. */
export type Field =
  | 'id'
  | 'number'
  | 'specimen'
  | 'stage'
  | 'date'
  | 'place'
  | 'region'
  | 'province'
  | 'country'
  | 'by'
  | 'habitat'
  | 'note'
  | 'photographs'
  | 'expect'
  | 'leads'
  | 'character'
  | 'value'
  | 'unit'
  | 'unused';

/** Names that always mean a field, whatever characters a key has. */
const FIXED: Readonly<Record<string, Field>> = {
  id: 'id',
  collection: 'id',
  occurrenceID: 'id',
  recordNumber: 'number',
  specimen: 'specimen',
  stage: 'stage',
  lifeStage: 'stage',
  expect: 'expect',
  leads: 'leads',
  eventDate: 'date',
  locality: 'place',
  recordedBy: 'by',
  associatedMedia: 'photographs',
  countryCode: 'country',
  stateProvince: 'province',
  measurementType: 'character',
  measurementValue: 'value',
  measurementUnit: 'unit',
  // Other columns of a measurement row mean nothing to a key.
  measurementID: 'unused',
  measurementMethod: 'unused',
  measurementAccuracy: 'unused',
  measurementRemarks: 'unused',
  measurementDeterminedBy: 'unused',
  measurementDeterminedDate: 'unused',
};

/** Names that mean a field unless the key has a character of that name. */
const OVERRIDABLE: Readonly<Record<string, Field>> = {
  date: 'date',
  place: 'place',
  region: 'region',
  by: 'by',
  habitat: 'habitat',
  note: 'note',
  photographs: 'photographs',
  count: 'unused',
};

/** What a column is: a field, a character, or unknown. */
type Column =
  | { readonly kind: 'field'; readonly field: Field }
  | { readonly kind: 'character'; readonly character: Character }
  | { readonly kind: 'unknown'; readonly nearest: string | undefined };

/** What the name at the head of a column means. */
export function columnNamed(name: string, characters: ReadonlyMap<string, Character>): Column {
  if (Object.hasOwn(FIXED, name)) return { kind: 'field', field: FIXED[name] as Field };
  const character = characters.get(name);
  if (character !== undefined) return { kind: 'character', character };
  if (Object.hasOwn(OVERRIDABLE, name)) return { kind: 'field', field: OVERRIDABLE[name] as Field };
  const known = [...characters.keys(), ...Object.keys(FIXED), ...Object.keys(OVERRIDABLE)];
  return { kind: 'unknown', nearest: nearest(name, known) };
}

/** Fields that hold one text of the whole collection: its rows must not differ in them. */
export const COLLECTION_FIELDS = ['date', 'place', 'region', 'by', 'habitat'] as const;
export type CollectionField = (typeof COLLECTION_FIELDS)[number];

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
