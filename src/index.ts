/**
 * keywright as a library: keys from text, determinations of finds. Nothing here touches files, terminal or clock;
 * chained keys and shared terms come from a `Shelf` that the caller gives.
 *
 * ```ts
 * import { identify, loadKey } from 'keywright';
 *
 * const { key, findings } = loadKey(await readFile('my.key.yaml', 'utf8'));
 * if (key === undefined) throw new Error(findings.map((f) => f.message).join('\n'));
 * for (const found of identify(key, [{ id: 'A1', traits: { ring: 'present' } }])) {
 *   console.log(found.name, found.qualifier, found.verdict.word);
 *   for (const look of analyse(found).next.looks) console.log('look at', look.character.name);
 * }
 * ```
 *
 * `examples/library.mjs` is a whole program. Nothing here says that a find may be eaten; show the cautions of
 * README wherever you show a verdict.
 */

import { type Agreement, agreementOf, SameTaxa } from './analysis/agreement.js';
import type { Analysis } from './analysis/analysis.js';
import { compareFindings, type Finding, hasErrors } from './diagnostic/finding.js';
import { type CompiledKey, compile } from './engine/compile.js';
import { type Determination, type DetermineOptions, determine } from './engine/determine.js';
import { Walk } from './engine/walk.js';
import { loadChain } from './key/chain.js';
import { emptyShelf, type Shelf } from './key/load.js';
import type { Entry } from './tables/entry.js';
import type { TableFormat } from './tables/format.js';
import { SeenIds } from './tables/ids.js';
import { openTable } from './tables/reader.js';
import { vocabularyOf } from './tables/vocabulary.js';
import { type Result, resultOf } from './words/results.js';

export type { Agreement, KeyParting, Lacking, OtherName } from './analysis/agreement.js';
export { type Analysis, type AnalysisOptions, analyse } from './analysis/analysis.js';
export type { Finding, Level, Place, Related } from './diagnostic/finding.js';
export type { CompiledKey } from './engine/compile.js';
export type { Determination, DetermineOptions } from './engine/determine.js';
export type { Candidate, EndPoint, Outcome, Verdict, Warning } from './engine/outcome.js';
export type { Concern, ConcernLevel, Taxon } from './key/key.js';
export type { Found, Shelf } from './key/load.js';
export { type LintOptions, type LintReport, lintKey } from './lint/lint.js';
export type { TableFormat } from './tables/format.js';
export type { Collection } from './traits/collection.js';
export type { Result, ResultCandidate, ResultNear } from './words/results.js';

/** A key ready to be used, and everything that was found wrong; `key` is missing when anything is an error. */
export interface Loaded {
  readonly key: CompiledKey | undefined;
  readonly findings: readonly Finding[];
}

export interface LoadOptions {
  /** The name of the text in findings, and what relative paths in it start from. Default `key.yaml`. */
  readonly file?: string;
  /** Where chained keys and shared terms are looked up. Default: nowhere, the key stands alone. */
  readonly shelf?: Shelf;
}

/**
 * Reads a key from its YAML text, with every key it goes on in. Never throws for what the text contains: what is wrong
 * comes back as findings, each with line and column.
 */
export function loadKey(text: string, options: LoadOptions = {}): Loaded {
  const { chain, findings } = loadChain(text, options.file ?? 'key.yaml', options.shelf ?? emptyShelf);
  return { key: chain === undefined || hasErrors(findings) ? undefined : compile(chain), findings };
}

/** A find as plain data, written as in a collections file: states and numbers as text. */
export interface FindData {
  readonly id: string;
  readonly date?: string;
  readonly place?: string;
  readonly region?: string;
  readonly by?: string;
  readonly habitat?: string;
  readonly stage?: string;
  readonly note?: string;
  readonly traits?: Readonly<Record<string, string | number | readonly (string | number)[]>>;
  readonly specimens?: readonly {
    readonly id: string;
    readonly stage?: string;
    readonly traits?: Readonly<Record<string, string | number | readonly (string | number)[]>>;
    readonly note?: string;
  }[];
  /** A person's own choices: couplet (`7`, or `key-id/7` in a chained key) to letter. */
  readonly leads?: Readonly<Record<string, string>>;
}

/** What is wrong with finds that were to be identified. */
export class FindError extends Error {
  override readonly name = 'FindError';

  constructor(readonly findings: readonly Finding[]) {
    super(findings.map((f) => f.message).join('\n'));
  }
}

/**
 * Determines finds one after the other with a key. Throws a `FindError` at the first find that names an unknown
 * character or state, or a number that cannot be read.
 */
export function* identify(
  key: CompiledKey,
  finds: Iterable<FindData>,
  options: DetermineOptions = {},
): Generator<Determination> {
  const walk = new Walk(key);
  for (const find of finds) {
    const text = `${JSON.stringify(find)}\n`;
    for (const entry of readTable(key, text, 'ndjson')) yield determineEntry(key, entry, options, walk);
  }
}

/** Determines every collection of a table given as text. Throws a `FindError` at the first that cannot be read. */
export function* identifyTable(
  key: CompiledKey,
  text: string,
  format: TableFormat,
  options: DetermineOptions = {},
): Generator<Determination> {
  const walk = new Walk(key);
  for (const entry of readTable(key, text, format)) yield determineEntry(key, entry, options, walk);
}

/**
 * Compares what several keys make of one find: the determinations of that find, one of each key. Taxa of different keys
 * are one by id, name or synonym.
 */
export function compare(determinations: readonly Determination[]): Agreement {
  return agreementOf(determinations, new SameTaxa(determinations.map((d) => d.key)));
}

/** A determination as the plain object that `keywright identify --format ndjson` writes. */
export function asResult(determination: Determination): Result {
  return resultOf({ kind: 'found', found: determination }, determination.key);
}

/** An analysis with its determination as the plain object that `keywright identify --full --format ndjson` writes. */
export function asFullResult(analysis: Analysis): Result {
  const { found } = analysis;
  return resultOf({ kind: 'found', found, analysis }, found.key);
}

function* readTable(key: CompiledKey, text: string, format: TableFormat): Generator<Entry> {
  const options = { file: 'finds', vocabulary: vocabularyOf(key.chain), seen: new SeenIds() };
  const reader = openTable(format, text.slice(0, 4096), options);
  yield* reader.read(text);
  yield* reader.end();
  if (hasErrors(reader.findings)) throw new FindError([...reader.findings].sort(compareFindings));
}

function determineEntry(
  key: CompiledKey,
  entry: Entry,
  options: DetermineOptions,
  walk?: Walk,
): Determination {
  if (hasErrors(entry.findings)) throw new FindError([...entry.findings].sort(compareFindings));
  return determine(key, entry.collection, options, walk);
}
