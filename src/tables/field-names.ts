import type { Character } from '../traits/character.js';
import type { Unit } from '../traits/units.js';

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
export const FIXED: Readonly<Record<string, Field>> = {
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
export const OVERRIDABLE: Readonly<Record<string, Field>> = {
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
export type Column =
  | { readonly kind: 'field'; readonly field: Field; readonly as?: string }
  | {
      readonly kind: 'character';
      readonly character: Character;
      /** What it is read as, where it is spelled in another way. */
      readonly as?: string;
      /** The unit of its numbers, where the name of the column states one. */
      readonly unit?: Unit;
    }
  | {
      readonly kind: 'unknown';
      readonly nearest: string | undefined;
      /** Whether it is so near to a known name that it is rather a mistake than a column of another use. */
      readonly mistyped: boolean;
    };
