import { CsvTable } from './csv.js';
import type { ReadOptions, TableReader } from './entry.js';
import type { TableFormat } from './format.js';
import { NdjsonTable } from './ndjson.js';
import { delimiterOf } from './rows.js';
import { YamlTable } from './yaml.js';

/** A reader for a table of that format. `start` is how its text begins, for telling commas from semicolons. */
export function openTable(format: TableFormat, start: string, options: ReadOptions): TableReader {
  if (format === 'yaml') return new YamlTable(options);
  if (format === 'ndjson') return new NdjsonTable(options);
  return new CsvTable(delimiterOf(format, start), options);
}
