/** Collections as rows of Darwin Core: an occurrence, and a measurement or fact for each thing seen on it. */

import { partsOf } from '../../text/parts.js';
import type { Character } from '../../traits/character.js';
import type { Collection, Observation } from '../../traits/collection.js';
import { findUnit, type Unit, unitNames } from '../../traits/units.js';
import { readValue, type Value } from '../../traits/value.js';
import { isSubdivision } from '../fields.js';
import { writtenValue } from '../written-value.js';
import { MEASUREMENT, OCCURRENCE, rowLine } from './terms.js';

/** What has no term of its own, and so stands in `dynamicProperties`, as JSON. */
interface DynamicProperties {
  /** The leads that a person chose. */
  readonly leadsChosen?: readonly { readonly couplet: string; readonly lead: string }[];
  /** For known finds: the ids of the taxa that it is known to be. */
  readonly expectedTaxa?: readonly string[];
  /** The ages, where `lifeStage` cannot keep them apart. */
  readonly lifeStages?: readonly string[];
}

/** A collection as an occurrence. `nameOf` gives the name of a taxon of the key. */
export function occurrenceLine(
  collection: Collection,
  nameOf: (taxon: string) => string | undefined,
): string {
  const { id, region, choices, expect, stages } = collection;
  const lifeStage = stages.join(' | ');
  const apart = partsOf(lifeStage);
  const dynamic: DynamicProperties = {
    ...(choices.length === 0
      ? {}
      : { leadsChosen: choices.map((c) => ({ couplet: c.couplet, lead: c.letter })) }),
    ...(expect.length === 0 ? {} : { expectedTaxa: expect }),
    ...(apart.length === stages.length && apart.every((s, i) => s === stages[i])
      ? {}
      : { lifeStages: stages }),
  };
  return rowLine(OCCURRENCE, id, {
    occurrenceID: id,
    basisOfRecord: 'HumanObservation',
    recordNumber: id,
    recordedBy: collection.by,
    individualCount: collection.count,
    lifeStage,
    eventDate: collection.date,
    habitat: collection.habitat,
    higherGeographyID: region,
    countryCode: region !== undefined && /^[A-Z]{2}(-|$)/.test(region) ? region.slice(0, 2) : undefined,
    stateProvince: region !== undefined && isSubdivision(region) ? region : undefined,
    locality: collection.place,
    previousIdentifications: expect.map((taxon) => nameOf(taxon) ?? taxon).join(' | '),
    occurrenceRemarks: collection.note,
    dynamicProperties: Object.keys(dynamic).length === 0 ? undefined : JSON.stringify(dynamic),
  });
}

/** Everything seen on a collection, a line each. `characters` are those of the key. */
export function measurementLines(
  { id, observations }: Collection,
  characters: ReadonlyMap<string, Character>,
): string {
  let lines = '';
  observations.forEach((observation, i) => {
    const character = characters.get(observation.character);
    if (character === undefined) return;
    const { specimen, stage } = observation;
    const { text, unit } = valueAndUnit(character, observation.value);
    const doubt = observation.doubted === true && observation.value !== undefined ? '?' : '';
    lines += rowLine(MEASUREMENT, id, {
      measurementID: `${id}/${i + 1}`,
      measurementType: character.id,
      measurementValue: text + doubt,
      measurementUnit: unit,
      materialEntityID: specimen === undefined ? undefined : specimenId(id, specimen),
      lifeStage: stage,
      measurementRemarks: observationInWords(character, observation),
    });
  });
  return lines;
}

/** The id of a specimen, unique beyond its collection. */
function specimenId(id: string, specimen: string): string {
  return `${id}/${specimen}`;
}

/** The specimen of a collection that such an id stands for. */
export function specimenOf(id: string, written: string): string {
  const prefix = specimenId(id, '');
  return written.startsWith(prefix) ? written.slice(prefix.length) : written;
}

/** For people who read the row alone. */
function observationInWords(character: Character, { value, specimen, stage, doubted }: Observation): string {
  return [
    character.name,
    ...(specimen === undefined ? [] : [`specimen ${specimen}`]),
    ...(stage === undefined ? [] : [stage]),
    ...(value === undefined ? ['looked at, cannot tell'] : []),
    ...(value?.kind === 'inapplicable' ? ['does not apply'] : []),
    ...(doubted === true ? ['not sure'] : []),
  ].join('; ');
}

/** The last text for each character and value: equal values of a table are the same object. */
const KNOWN = new WeakMap<
  Value,
  { readonly character: Character; readonly text: string; readonly unit: string }
>();

function valueAndUnit(character: Character, value: Value | undefined): { text: string; unit: string } {
  const known = value === undefined ? undefined : KNOWN.get(value);
  if (known !== undefined && known.character === character) return known;
  const made = apartFromUnit(character, value);
  if (value !== undefined) KNOWN.set(value, { character, ...made });
  return made;
}

/** A value as text, and its unit apart where the text has none. */
function apartFromUnit(character: Character, value: Value | undefined): { text: string; unit: string } {
  if (value?.kind !== 'numbers' || character.kind !== 'measure')
    return { text: writtenValue(character, value), unit: '' };
  const unit = unitFor(character, value);
  const text = writtenValue({ ...character, unit }, value);
  const end = ` ${unit.id}`;
  // `3 cm | -` keeps its unit: the number is not all there is.
  return { text: text.endsWith(end) ? text.slice(0, -end.length) : text, unit: unit.id };
}

/** The unit of the character, or where that cannot hold the number exactly (3 cm in inches), one that can. */
function unitFor(character: Character, value: Value): Unit {
  const exact = (unit: Unit) => {
    const read = readValue(character, writtenValue({ ...character, unit }, value));
    return read.ok && JSON.stringify(read.value) === JSON.stringify(value);
  };
  if (exact(character.unit)) return character.unit;
  const others = unitNames
    .flatMap((name) => findUnit(name) ?? [])
    .filter((u) => u.dimension === character.unit.dimension && u.factor === 1n);
  return others.find(exact) ?? character.unit;
}
