import type { Finding, Path } from '../diagnostic/finding.js';
import type { Data, DataMap } from '../key/document.js';
import { asList, asMap, asText, asTexts, type Detail } from '../key/fields.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { partsOf } from '../text/parts.js';
import type { Character } from '../traits/character.js';
import { type LooseValue, readLoosely } from '../traits/loose-value.js';
import { readValue } from '../traits/value.js';
import type { CollectionDraft } from './collection-draft.js';
import { COLLECTION_FIELDS, type CollectionField, photographsIn } from './fields.js';
import { problemOfTaxon, type Vocabulary } from './vocabulary.js';

/** Reports mistakes in a collection, by their path in the document. */
export interface MistakeReporter {
  add(rule: string, message: string, path: Path, detail?: Detail): void;
  unknown(
    rule: string,
    what: string,
    word: string,
    known: readonly string[],
    path: Path,
    side?: 'name' | 'value',
  ): void;
}

/** What the reader of one collection needs to know besides the data. */
export interface DocumentContext {
  readonly vocabulary: Vocabulary;
  readonly passOver: ReadonlySet<string> | undefined;
  readonly teller: MistakeReporter;
  /** Hears of values that are not written as keys write them. */
  readonly noted?: (
    character: string,
    written: string,
    read: Extract<LooseValue, { ok: true }>,
    path: Path,
  ) => void;
}

/** Texts that describe the whole collection, as far as they are there. */
function describedIn(data: DataMap): [CollectionField, string][] {
  return COLLECTION_FIELDS.flatMap((field) => {
    const text = scalarText(data[field]);
    return text === undefined ? [] : [[field, text] as [CollectionField, string]];
  });
}

/**
 * Adds what a collection of a YAML or NDJSON document says to a draft. What has the wrong shape was reported by the
 * schema and is left out here. `specimen` names the specimen that traits of the whole collection belong to, where a
 * row stands for
 * one.
 */
export function addCollection(
  draft: CollectionDraft,
  data: DataMap,
  path: Path,
  context: DocumentContext,
  specimen?: string,
): void {
  const { teller } = context;
  for (const [field, text] of describedIn(data)) {
    const before = draft.describe(field, text);
    if (before === undefined) continue;
    teller.add(
      'rows-agree',
      `the lines of collection ${quoted(draft.id)} differ in their ${field}: ${quoted(before)} before, ${quoted(text)} here`,
      [...path, field],
      { found: text, expected: before },
    );
  }
  draft.count ??= scalarText(data.count);
  const note = asText(data.note);
  if (note !== undefined) draft.addNote(note);
  draft.addPhotographs(photographsOf(data), specimen);
  asTexts(data.expect).forEach((text, i) => {
    const at = Array.isArray(data.expect) ? [...path, 'expect', i] : [...path, 'expect'];
    for (const taxon of partsOf(text)) {
      draft.addExpected(taxon);
      const problem = problemOfTaxon(context.vocabulary, taxon);
      if (problem === undefined) continue;
      teller.add(problem.rule, `expect of ${quoted(draft.id)}: ${problem.message}`, at, {
        found: taxon,
        expected: problem.expected,
        nearest: problem.nearest,
      });
    }
  });
  const stage = asText(data.stage);
  addTraits(draft, data.traits, [...path, 'traits'], specimen, stage, context);
  asList(data.specimens).forEach((item, i) => {
    const own = asMap(item);
    const at = [...path, 'specimens', i];
    const [id, note] = [asText(own.id), asText(own.note)];
    if (note !== undefined) draft.addNote(id === undefined ? note : `specimen ${id}: ${note}`);
    draft.addPhotographs(photographsOf(own), id);
    addTraits(draft, own.traits, [...at, 'traits'], id, asText(own.stage) ?? stage, context);
  });
  for (const [couplet, letter] of Object.entries(asMap(data.leads))) {
    if (typeof letter !== 'string') continue;
    const read = context.vocabulary.findLead(couplet, letter);
    if (!read.ok) {
      const hint =
        read.nearest === undefined ? `; expected ${read.expected}` : `; did you mean ${read.nearest}?`;
      teller.add('lead-known', `${read.problem}${hint}`, [...path, 'leads', couplet], {
        found: `${couplet}${letter}`,
        expected: read.expected,
        nearest: read.nearest,
      });
    } else if (!draft.choose(read.choice))
      teller.add(
        'lead-known',
        `another lead was chosen at couplet ${couplet} before`,
        [...path, 'leads', couplet],
        { found: `${couplet}${letter}`, expected: 'one lead of a couplet' },
      );
  }
}

/** File names: a list of them, or one text. */
function photographsOf({ photographs }: DataMap): readonly string[] {
  return Array.isArray(photographs) ? asTexts(photographs) : photographsIn(asText(photographs) ?? '');
}

function addTraits(
  draft: CollectionDraft,
  traits: Data | undefined,
  path: Path,
  specimen: string | undefined,
  stage: string | undefined,
  context: DocumentContext,
): void {
  if (stage !== undefined) draft.addStage(stage);
  const { characters } = context.vocabulary;
  for (const [name, data] of Object.entries(asMap(traits))) {
    const character = characters.get(name);
    if (character === undefined) {
      if (context.passOver?.has(name)) continue;
      context.teller.unknown(
        'character-known',
        `${quoted(name)} is not a character of ${context.vocabulary.keyId}`,
        name,
        [...characters.keys()],
        [...path, name],
        'name',
      );
      continue;
    }
    const written = textsOf(data);
    if (written === undefined) continue;
    const exact = readValue(character, written);
    const loose = exact.ok ? undefined : readLoosely(character, written);
    const read = loose ?? exact;
    if (!read.ok) {
      reportValue(character, data, written, [...path, name], context.teller);
      continue;
    }
    if (loose?.ok === true) context.noted?.(name, [written].flat().join(' | '), loose, [...path, name]);
    draft.observations.push({
      character: name,
      value: read.value,
      ...(loose?.ok === true && loose.doubted ? { doubted: true } : {}),
      ...defined({ specimen, stage }),
    });
  }
}

/** What was written for a trait: JSON may have numbers where an author writes text. */
function textsOf(data: Data): string | string[] | undefined {
  if (Array.isArray(data)) return data.flatMap((d) => scalarText(d) ?? []);
  return scalarText(data);
}

function scalarText(data: Data | undefined): string | undefined {
  return typeof data === 'string' ? data : typeof data === 'number' ? String(data) : undefined;
}

/** Reports what is wrong with a value, at the item of the list that is wrong. */
function reportValue(
  character: Character,
  data: Data,
  written: string | string[],
  path: Path,
  teller: MistakeReporter,
): void {
  const items = typeof written === 'string' ? [written] : written;
  const bad = items.findIndex((item) => !readsAs(character, item));
  const text = items[bad] ?? '';
  const read = readLoosely(character, text);
  if (read.ok) return;
  const hint = read.nearest === undefined ? `; expected ${read.expected}` : `; did you mean ${read.nearest}?`;
  teller.add(
    character.kind === 'choice' ? 'state-known' : 'number-form',
    `${character.id}: ${read.problem}${hint}`,
    Array.isArray(data) ? [...path, bad] : path,
    { found: text, expected: read.expected, nearest: read.nearest },
  );
}

function readsAs(character: Character, item: string): boolean {
  return readValue(character, item).ok || readLoosely(character, item).ok;
}

/** The findings that belong to the collection with that number in the document. */
export function findingsOf(findings: readonly Finding[], index: number): Finding[] {
  return findings.filter(
    ({ place }) =>
      place.path[0] === 'collections' && place.path.length > 1 && Number(place.path[1]) === index,
  );
}
