import type { Path } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import type { Character } from '../traits/character.js';
import { joinAll, readNumberNotes, readStateNames } from './conditions.js';
import type { Data, DataMap } from './document.js';
import {
  asEntries,
  asList,
  asMap,
  asNumber,
  asNumbers,
  asText,
  asTexts,
  type Reporter,
  textsAt,
} from './fields.js';
import { readFigures } from './figures.js';
import { type Concern, type ConcernLevel, concernLevels, type Duty, type Taxon, type Trait } from './key.js';

/** Reads the `taxa` of a key; unknown characters, states and taxa are reported at their own place. */
export function readTaxa(
  data: Data | undefined,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Map<string, Taxon> {
  const taxa = new Map<string, Taxon>();
  for (const [id, fields] of asEntries(data)) taxa.set(id, readTaxon(id, asMap(fields), characters, report));
  if (!report.checked) for (const taxon of taxa.values()) checkNamedTaxa(taxon, taxa, report);
  return taxa;
}

function readTaxon(
  id: string,
  fields: DataMap,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Taxon {
  const read = () => soundTraits(fields.traits, ['taxa', id, 'traits'], characters, report);
  const taxon: Taxon = defined({
    id,
    name: asText(fields.name) ?? id,
    authority: asText(fields.authority),
    rank: asText(fields.rank),
    common: asTexts(fields.common),
    within: asText(fields.within),
    concern: readConcern(asMap(fields.concern)),
    concernStated: asText(asMap(fields.concern).level) !== undefined,
    alike: asTexts(fields.alike),
    traits: report.checked ? NO_TRAITS : read(),
    unread: report.touched(['taxa', id]) ? true : undefined,
    synonyms: asTexts(fields.synonyms),
    duties: asList(fields.duties).flatMap((duty) => readDuty(asMap(duty))),
    frequency: asNumber(fields.frequency),
    habitat: asText(fields.habitat),
    months: asNumbers(fields.months),
    repeats: fields.repeats === 'meant',
    sources: asTexts(fields.sources),
    figures: readFigures(fields.figures),
    note: asText(fields.note),
  });
  return report.checked ? withTraits(taxon, read) : taxon;
}

const NO_TRAITS: ReadonlyMap<string, Trait> = new Map();

/** The taxon with its description, which is read when it is asked for. */
function withTraits(taxon: Taxon, read: () => ReadonlyMap<string, Trait>): Taxon {
  let traits: ReadonlyMap<string, Trait> | undefined;
  const get = () => (traits ??= read());
  return Object.defineProperty(taxon, 'traits', { get, enumerable: true });
}

function readConcern(fields: DataMap): Concern {
  const level = concernLevels.find((l) => l === fields.level) ?? ('unknown' satisfies ConcernLevel);
  return defined({
    level,
    effect: asText(fields.effect),
    onset: asText(fields.onset),
    source: asText(fields.source),
  });
}

function readDuty(fields: DataMap): Duty[] {
  const kind = fields.kind;
  if (kind !== 'protected' && kind !== 'notifiable' && kind !== 'invasive') return [];
  return [defined({ kind, note: asText(fields.note) })];
}

/** A description as a whole; nothing of one in which something is wrong, but what it says of characters that cannot be read. */
function soundTraits(
  data: Data | undefined,
  path: Path,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Map<string, Trait> {
  const traits = readTraits(data, path, characters, report);
  return report.touched(path) ? new Map() : traits;
}

/** Reads described traits: character to state(s), number notation or `-`. */
function readTraits(
  data: Data | undefined,
  path: Path,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Map<string, Trait> {
  const traits = new Map<string, Trait>();
  for (const [id, written] of asEntries(data)) {
    const at = [...path, id];
    const character = characters.get(id);
    if (character === undefined) {
      report.unknown(
        'character-known',
        `${quoted(id)} is not a character of this key`,
        id,
        [...characters.keys()],
        at,
        'name',
      );
      continue;
    }
    if (character.unread) continue;
    const trait = readTrait(character, written, at, report);
    if (trait !== undefined) traits.set(id, trait);
  }
  return traits;
}

function readTrait(character: Character, written: Data, path: Path, report: Reporter): Trait | undefined {
  const words = textsAt(written, path);
  const shown = words.filter(([word]) => word !== '-');
  const partly = shown.length < words.length;
  if (partly && shown.length === 0) return { kind: 'inapplicable' };
  if (character.kind === 'choice') {
    const states = readStateNames(character, shown, report);
    if (states.length === 0) return undefined;
    return { kind: 'value', allowed: { kind: 'states', states, except: false }, partly };
  }
  const read = readNumberNotes(character, shown, report);
  if (read.length === 0) return undefined;
  const join = (part: 'possible' | 'usual') =>
    joinAll(
      read.map((r) => r[part]),
      character,
    );
  return { kind: 'value', allowed: { kind: 'numbers', set: join('possible') }, usual: join('usual'), partly };
}

function checkNamedTaxa(taxon: Taxon, taxa: ReadonlyMap<string, Taxon>, report: Reporter): void {
  const path = ['taxa', taxon.id];
  if (taxon.within !== undefined && !taxa.has(taxon.within)) {
    report.unknown(
      'taxon-known',
      `${quoted(taxon.within)} is not a taxon of this key`,
      taxon.within,
      [...taxa.keys()],
      [...path, 'within'],
    );
  }
  taxon.alike.forEach((other, i) => {
    if (!taxa.has(other))
      report.unknown(
        'taxon-known',
        `${quoted(other)} is not a taxon of this key`,
        other,
        [...taxa.keys()],
        [...path, 'alike', i],
      );
  });
  const seen = new Set([taxon.id]);
  for (let up = taxon.within; up !== undefined; up = taxa.get(up)?.within) {
    if (up === taxon.id) {
      report.add('taxon-within', `${taxon.id} lies within itself`, [...path, 'within'], {
        found: taxon.within ?? '',
        expected: 'a taxon above it',
      });
      return;
    }
    if (seen.has(up)) return;
    seen.add(up);
  }
}
