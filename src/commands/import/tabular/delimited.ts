/** Reads tables whose cells are parted by tabs, semicolons or commas. */
import Papa from 'papaparse';
import { type KeyTable, plainCell, type TableRow } from './table.js';

/** The table that a text is, for each sign that may part its cells; the likeliest first. */
export function delimitedTables(text: string): KeyTable[] {
  return ['\t', ';', ','].flatMap((sign) => {
    const lines = text.split('\n', 400).filter((l) => l.trim() !== '');
    const parted = lines.filter((l) => l.includes(sign)).length;
    if (lines.length < 2 || parted < lines.length * 0.6) return [];
    return [tableOf(text, sign)];
  });
}

function tableOf(text: string, delimiter: string): KeyTable {
  const rows: TableRow[] = [];
  let line = 1;
  let done = 0;
  Papa.parse<string[]>(text, {
    delimiter,
    skipEmptyLines: false,
    step: ({ data, meta }) => {
      const from = line;
      for (let at = text.indexOf('\n', done); at >= 0 && at < meta.cursor; at = text.indexOf('\n', at + 1))
        line++;
      done = meta.cursor;
      const cells = data.slice(0, 200).map((c) => plainCell(c));
      if (cells.some((c) => c.text !== ''))
        rows.push({ cells, line: from, lastLine: Math.max(from, line - 1) });
    },
  });
  return { title: undefined, rows, line: 1, declared: false };
}
