import { stringify as csv } from 'csv-stringify/sync';
import { stringify as yaml } from 'yaml';
import type { CompiledKey } from '../engine/compile.js';
import { harmlessLines } from '../text/harmless.js';
import { type Identified, mistakesOf, resultOf, toCheck, verdictOf } from './results.js';

/** The forms in which results are written. */
export const resultFormats = ['table', 'csv', 'yaml', 'ndjson'] as const;
export type ResultFormat = (typeof resultFormats)[number];

/** Writes results as they come; the pieces put together are the whole. */
export interface ResultWriter {
  /** What stands before the first result. */
  head(): string;
  results(batch: readonly Identified[]): string;
  /** What stands after the last result. */
  foot(): string;
}

/** One JSON object a line. */
export function ndjsonWriter(key: CompiledKey): ResultWriter {
  return {
    head: () => '',
    results: (batch) => batch.map((r) => `${visibleJson(JSON.stringify(resultOf(r, key)))}\n`).join(''),
    foot: () => '',
  };
}

/** A YAML list of the same objects. */
export function yamlWriter(key: CompiledKey): ResultWriter {
  let any = false;
  return {
    head: () => '',
    results: (batch) => {
      if (batch.length === 0) return '';
      any = true;
      return harmlessLines(
        yaml(
          batch.map((r) => resultOf(r, key)),
          { lineWidth: 0, aliasDuplicateObjects: false },
        ),
      );
    },
    foot: () => (any ? '' : '[]\n'),
  };
}

const HEADINGS = [
  'id',
  'name',
  'qualifier',
  'candidates',
  'concern',
  'verdict',
  'settled',
  'check',
  'warnings',
] as const;

/** A table for spreadsheets and statistics: one row a collection, several things in a cell joined by ` | `. */
export function csvWriter(): ResultWriter {
  const rows = (records: readonly (readonly string[])[]) =>
    records.length === 0
      ? ''
      : // A spreadsheet would run a cell that begins with = as a formula.
        harmlessLines(csv(records as string[][], { escape_formulas: true, record_delimiter: '\n' }));
  return {
    head: () => rows([HEADINGS]),
    results: (batch) => rows(batch.map(csvRow)),
    foot: () => '',
  };
}

function csvRow(identified: Identified): readonly string[] {
  const { word, settled } = verdictOf(identified);
  if (identified.kind === 'failed') {
    const { entry } = identified;
    return [entry.collection.id, '', '', '', '', word, 'no', '', mistakesOf(entry).join(' | ')];
  }
  const { found } = identified;
  const { characters, couplets } = toCheck(found);
  return [
    found.collection.id,
    found.name ?? '',
    found.qualifier ?? '',
    found.possible.map((t) => t.name).join(' | '),
    found.possible.map((t) => t.concern.level).join(' | '),
    word,
    settled ? 'yes' : 'no',
    [...characters, ...couplets.map((c) => `couplet ${c}`)].join(' | '),
    found.warnings.map((w) => w.message).join(' | '),
  ];
}

/** JSON leaves some characters as they are that could steer a terminal; written as \uXXXX they mean the same. */
function visibleJson(text: string): string {
  return text.replace(
    /[\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]/g,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}
