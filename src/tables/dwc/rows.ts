/** Collections as rows of Darwin Core: an occurrence, and a measurement or fact for each thing seen on it. */

import { defined, filled } from '../../text/optional.js';
import { partsOf } from '../../text/parts.js';
import type { Character } from '../../traits/character.js';
import type { Collection, Observation, Photograph } from '../../traits/collection.js';
import { findUnit, type Unit, unitNames } from '../../traits/units.js';
import { readValue, type Value } from '../../traits/value.js';
import { isSubdivision, photographsIn } from '../fields.js';
import { writtenValue } from '../written-value.js';
import { MEASUREMENT, OCCURRENCE, rowLine } from './terms.js';

/** What has no term of its own, and so stands in `dynamicProperties`, as JSON. */
interface DynamicProperties {
  /** The leads that a person chose. */
  readonly leadsChosen?: readonly ChosenLead[];
  /** For known finds: the ids of the taxa that it is known to be. */
  readonly expectedTaxa?: readonly string[];
  /** The ages, where `lifeStage` cannot keep them apart. */
  readonly lifeStages?: readonly string[];
  /** The photographs, where `associatedMedia` cannot keep them apart or say what is known of them. */
  readonly photographs?: readonly Photograph[];
}

/** A lead that a person chose, with what it was read from. */
interface ChosenLead {
  readonly couplet: string;
  readonly lead: string;
  readonly evidenceOnly?: boolean;
  readonly doubted?: boolean;
  readonly specimen?: string;
  readonly stage?: string;
}

/** Whether nothing else is known of a photograph than its file name. */
function hasOnlyFile({ specimen, caption, date }: Photograph): boolean {
  return specimen === undefined && caption === undefined && date === undefined;
}

/** A collection as an occurrence. `nameOf` gives the name of a taxon of the key. */
export function occurrenceLine(
  collection: Collection,
  nameOf: (taxon: string) => string | undefined,
): string {
  const { id, region, choices, expect, stages, photographs = [] } = collection;
  const lifeStage = stages.join(' | ');
  const apart = partsOf(lifeStage);
  const media = photographs.map((p) => p.file).join(' | ');
  const asMedia = photographsIn(media);
  const plainMedia = photographs.every((p, i) => hasOnlyFile(p) && p.file === asMedia[i]);
  const dynamic: DynamicProperties = {
    ...filled({
      leadsChosen: choices.map(({ letter, couplet, ...more }) => ({ couplet, lead: letter, ...more })),
      expectedTaxa: expect,
    }),
    ...defined({
      lifeStages:
        apart.length === stages.length && apart.every((s, i) => s === stages[i]) ? undefined : stages,
    }),
    ...(plainMedia && asMedia.length === photographs.length ? {} : { photographs }),
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
    associatedMedia: media,
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

/** Says in the remarks of a measurement that whoever saw it was not sure. */
const IN_DOUBT = 'in doubt';
const REMARK_SEPARATOR = '; ';

/** Whether the remarks of a measurement say that it is in doubt. */
export function isDoubted(remarks: string): boolean {
  return remarks.includes(IN_DOUBT) && remarks.split(REMARK_SEPARATOR).includes(IN_DOUBT);
}

/** For people who read the row alone. */
function observationInWords(character: Character, { value, specimen, stage, doubted }: Observation): string {
  return [
    character.name,
    ...(specimen === undefined ? [] : [`specimen ${specimen}`]),
    ...(stage === undefined ? [] : [stage]),
    ...(doubted === true ? [IN_DOUBT] : []),
    ...(value === undefined ? ['looked at, cannot tell'] : []),
    ...(value?.kind === 'inapplicable' ? ['does not apply'] : []),
    ...(doubted === true ? ['not sure'] : []),
  ].join(REMARK_SEPARATOR);
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
