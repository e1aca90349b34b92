import { compareFindings, type Finding, hasErrors } from '../diagnostic/finding.js';
import { type DetermineOptions, determine } from '../engine/determine.js';
import { openFinds } from '../record/table.js';
import type { ArchiveTexts } from '../tables/dwc/data-rows.js';
import { ArchiveTable } from '../tables/dwc/table.js';
import type { Entry, TableReader } from '../tables/entry.js';
import { formatOf, type TextFormat } from '../tables/format.js';
import { SeenIds } from '../tables/ids.js';
import { TableNotes } from '../tables/notes.js';
import { openTable } from '../tables/reader.js';
import { vocabularyOf } from '../tables/vocabulary.js';
import { defined } from '../text/optional.js';
import { type Determination, determinationOf } from './determination.js';
import { compiledOf, type Key } from './key.js';

/** What a find or a specimen shows, by the id of a character: a state, a number, a text such as `45 mm`, or several. */
export type TraitData = Readonly<Record<string, string | number | readonly (string | number)[]>>;

/** One specimen of a find. What is left out is not known. */
export interface FindSpecimen {
  /** What it is called in results. */
  readonly id: string;
  /** Its age: `young`, `mature` or as the key says. */
  readonly stage?: string;
  /** What it shows. */
  readonly traits?: TraitData;
  /** In words. */
  readonly note?: string;
  /** Names of files. */
  readonly photographs?: readonly string[];
}

/** A find as plain data, written as in a collections file. What is left out is not known. */
export interface FindData {
  /** What it is called in results. */
  readonly id: string;
  /** The day it was found: `2026-10-18`, or as much of it as is known. */
  readonly date?: string;
  /** In words. */
  readonly place?: string;
  /** A code such as `GB-CMA`, held against the scope of the key. */
  readonly region?: string;
  /** Who found it. */
  readonly by?: string;
  /** In words. */
  readonly habitat?: string;
  /** The age of all specimens: `young`, `mature` or as the key says. */
  readonly stage?: string;
  /** In words. */
  readonly note?: string;
  /** The file names of photographs of the whole find. */
  readonly photographs?: readonly string[];
  /** What all specimens show. */
  readonly traits?: TraitData;
  /** What single specimens show. */
  readonly specimens?: readonly FindSpecimen[];
  /** A person's own choices: couplet (`7`, or `key-id/7` in a chained key) to letter. */
  readonly leads?: Readonly<Record<string, string>>;
}

/** What became of one find: a determination, or what is wrong with it. */
export interface Identified {
  /** The id of the find; undefined for findings about a table as a whole. */
  readonly id: string | undefined;
  /** undefined where anything in `findings` is an error. */
  readonly found: Determination | undefined;
  /** What is wrong, in the order of the text, and notes on what was taken though it is not written so in keys. */
  readonly findings: readonly Finding[];
}

/** How finds are determined. */
export interface IdentifyOptions extends DetermineOptions {
  /** The name of the finds in findings. Default `finds`. */
  readonly file?: string;
  /** Whether a column or trait that means nothing to the key is a mistake; else it is named in a note. Default false. */
  readonly strictColumns?: boolean;
}

/** How the finds of a table are determined. */
export interface TableOptions extends IdentifyOptions {
  /** Default: by the ending of `file`, or else by how the text begins. */
  readonly format?: TextFormat;
}

/**
 * Determines finds with a key: one result for each find, in their order. A find that names an unknown character or state,
 * or a number that cannot be read, gives findings (the line is its number, from 1), and the others are determined all the
 * same.
 */
export function* identify(
  key: Key,
  finds: Iterable<FindData>,
  options: IdentifyOptions = {},
): Generator<Identified, void> {
  const vocabulary = vocabularyOf(compiledOf(key).chain);
  let number = 0;
  for (const find of finds) {
    number++;
    const notes = new TableNotes();
    const reader = openTable('ndjson', '', {
      file: options.file ?? 'finds',
      vocabulary,
      seen: new SeenIds(),
      notes,
      strictColumns: options.strictColumns === true,
    });
    const [entry] = [...reader.read(`${JSON.stringify(find)}\n`), ...reader.end()];
    const one = identified(key, entry, [...reader.findings, ...notes.findings()], options);
    yield { ...one, findings: one.findings.map((f) => atLine(f, number)) };
  }
}

function atLine(finding: Finding, line: number): Finding {
  const { place } = finding;
  return {
    ...finding,
    place: { ...place, start: { ...place.start, line }, end: { ...place.end, line } },
  };
}

/** Letters of a table that are read together, so that results come before all of it is read. */
const AT_ONCE = 8192;

/**
 * Determines the collections of a table given as text: one result for each, in their order. What is wrong with the table as
 * a whole comes as a result without `id`.
 */
export function* identifyTable(
  key: Key,
  text: string,
  options: TableOptions = {},
): Generator<Identified, void> {
  const { reader, notes } = tableReader(key, text, options);
  for (const entries of entriesOf(reader, text))
    for (const entry of entries) yield identified(key, entry, [], options);
  const findings = [...reader.findings, ...notes.findings()];
  if (findings.length > 0) yield identified(key, undefined, findings, options);
}

/** A reader for the text of a table, and what the table is called in findings. */
export function tableReader(
  key: Key,
  text: string,
  { file = 'finds', format, strictColumns = false }: TableOptions,
  taxa?: ReturnType<typeof vocabularyOf>['taxa'],
): { readonly file: string; readonly reader: TableReader; readonly notes: TableNotes } {
  const vocabulary = { ...vocabularyOf(compiledOf(key).chain), ...defined({ taxa }) };
  const as = format ?? formatOf(file, text);
  const notes = new TableNotes();
  const options = { file, vocabulary, seen: new SeenIds(), keepGoing: true, notes, strictColumns };
  return { file, notes, reader: openFinds(as, text.slice(0, AT_ONCE), options) };
}

/** The entries of a table, part by part. */
export function* entriesOf(reader: TableReader, text: string): Generator<readonly Entry[], void> {
  for (let at = 0; at < text.length && !reader.stopped; at += AT_ONCE)
    yield reader.read(text.slice(at, at + AT_ONCE));
  yield reader.end();
}

/** A Darwin Core archive as texts by the names of its files, `meta.xml` among them. */
export type ArchiveFiles = Readonly<Record<string, string>>;

/**
 * Determines the occurrences of a Darwin Core archive: one result for each, in their order; what is wrong with the archive
 * as a whole comes as a result without `id`. It may be given by the texts of its files, or as `readArchive` of
 * `keywright/node` opens it, piece by piece.
 */
export async function* identifyArchive(
  key: Key,
  archive: ArchiveFiles | ArchiveTexts,
  options: IdentifyOptions = {},
): AsyncGenerator<Identified, void> {
  const file = options.file ?? 'archive';
  const texts = isTexts(archive) ? archive : textsOf(archive, file);
  const vocabulary = vocabularyOf(compiledOf(key).chain);
  const notes = new TableNotes();
  const strictColumns = options.strictColumns === true;
  const reading = { file, vocabulary, seen: new SeenIds(), keepGoing: true, notes, strictColumns };
  const table = new ArchiveTable(texts, [reading]);
  for await (const [entries = []] of table.entries())
    for (const entry of entries) yield identified(key, entry, [], options);
  const findings = [...(table.states[0]?.findings ?? []), ...notes.findings()];
  if (findings.length > 0) yield identified(key, undefined, findings, options);
}

function isTexts(archive: ArchiveFiles | ArchiveTexts): archive is ArchiveTexts {
  return typeof archive.text === 'function';
}

function textsOf(files: ArchiveFiles, shown: string): ArchiveTexts {
  return {
    shown,
    names: Object.keys(files),
    async *text(name) {
      yield files[name] ?? '';
    },
  };
}

function identified(
  key: Key,
  entry: Entry | undefined,
  others: readonly Finding[],
  options: DetermineOptions,
): Identified {
  const findings = [...others, ...(entry?.findings ?? [])].sort(compareFindings);
  const found =
    entry === undefined || hasErrors(findings)
      ? undefined
      : determinationOf(determine(compiledOf(key), entry.collection, options));
  return { id: entry?.collection.id, found, findings };
}
