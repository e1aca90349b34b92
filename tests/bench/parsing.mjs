/** Parses a CSV table with csv-parse and does nothing with it: the yardstick for `identify`. */
import { createReadStream } from 'node:fs';
import { parse } from 'csv-parse';

const [, , file] = process.argv;
let rows = 0;
const parser = createReadStream(file).pipe(
  parse({ bom: true, relax_column_count: true, skip_empty_lines: true, record_delimiter: ['\r\n', '\n'] }),
);
for await (const row of parser) rows += row.length > 0 ? 1 : 0;
console.log(rows);
