import { CsvTable } from './csv.js';
import type { ReadOptions, TableReader } from './entry.js';
import { columnNamed, isIdName } from './fields.js';
import type { TableFormat } from './format.js';
import { NdjsonTable } from './ndjson.js';
import { delimiterOf } from './rows.js';
import type { Vocabulary } from './vocabulary.js';
import { YamlTable } from './yaml.js';

/** A reader for a table of that format. `start` is how its text begins, for telling commas from semicolons. */
export function openTable(format: TableFormat, start: string, options: ReadOptions): TableReader {
  if (format === 'yaml') return new YamlTable(options);
  if (format === 'ndjson') return new NdjsonTable(options);
  return new CsvTable(delimiterFor(format, start, options.vocabulary), options);
}

/** Lines that may hold the names of the columns. */
const FIRST_LINES = 14;
const DELIMITERS = [',', ';', '\t'] as const;

/** What parts the cells: what a line `sep=` says, else the sign by which a line names most known columns, ids among them. */
function delimiterFor(format: 'csv' | 'tsv', start: string, { characters }: Vocabulary): string {
  if (format === 'tsv') return '\t';
  const text = start.replace(/^\ufeff/, '');
  const [, stated] = /^\s*"?sep=([,;\t|])/i.exec(text) ?? [];
  if (stated !== undefined) return stated;
  const usual = delimiterOf(format, text);
  const [line = ''] = text.split(/[\r\n]/, 1);
  if (line.split(usual).some((c) => isIdName(c.trim()))) return usual;
  let best: string | undefined;
  let most = 1;
  for (const line of text.split(/\r\n?|\n/, FIRST_LINES))
    for (const delimiter of DELIMITERS) {
      if (!line.includes(delimiter)) continue;
      const columns = line
        .split(delimiter)
        .map((c) => columnNamed(c.replace(/^\s*"|"\s*$/g, '').trim(), characters));
      const known = columns.filter((c) => c.kind !== 'unknown').length;
      if (known <= most || !columns.some((c) => c.kind === 'field' && /^(id|number)$/.test(c.field)))
        continue;
      best = delimiter;
      most = known;
    }
  return best ?? usual;
}
