import { CsvTable } from './csv.js';
import type { ReadOptions, TableReader } from './entry.js';
import { NdjsonTable } from './ndjson.js';
import { delimiterOf } from './rows.js';
import { YamlTable } from './yaml.js';

/** The formats in which a table of collections may be written. */
const tableFormats = ['csv', 'tsv', 'ndjson', 'yaml'] as const;
export type TableFormat = (typeof tableFormats)[number];

const ENDINGS: Readonly<Record<string, TableFormat>> = {
  csv: 'csv',
  tsv: 'tsv',
  tab: 'tsv',
  ndjson: 'ndjson',
  jsonl: 'ndjson',
  yaml: 'yaml',
  yml: 'yaml',
  // JSON is YAML.
  json: 'yaml',
};

/** The format of a table by the ending of its file's name, or undefined when that says nothing. */
export function formatByName(file: string): TableFormat | undefined {
  const ending = /\.([a-z]+)$/i.exec(file)?.[1]?.toLowerCase() ?? '';
  return Object.hasOwn(ENDINGS, ending) ? ENDINGS[ending] : undefined;
}

/** The format of a table by how its text begins. */
export function formatByText(start: string): TableFormat {
  const text = start.replace(/^\ufeff/, '').trimStart();
  if (text.startsWith('{')) {
    const line = text.split('\n', 1)[0] ?? '';
    return /\}\s*$/.test(line) ? 'ndjson' : 'yaml';
  }
  if (/^(#|%YAML|---|keywright-collections\s*:|collections\s*:)/.test(text)) return 'yaml';
  return (text.split('\n', 1)[0] ?? '').includes('\t') ? 'tsv' : 'csv';
}

/** A reader for a table of that format. `start` is how its text begins, for telling commas from semicolons. */
export function openTable(format: TableFormat, start: string, options: ReadOptions): TableReader {
  if (format === 'yaml') return new YamlTable(options);
  if (format === 'ndjson') return new NdjsonTable(options);
  return new CsvTable(delimiterOf(format, start), options);
}
