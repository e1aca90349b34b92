/** The rows of one table of an archive, wherever its files are kept. */
import type { Finding, Place } from '../../diagnostic/finding.js';
import type { RowMistake } from '../row-text.js';
import { RowCutter } from '../rows.js';
import type { ArchivePart, TermColumn } from './meta.js';

/** The texts of an archive, as whoever opened it gives them. */
export interface ArchiveTexts {
  /** The name of the archive in messages. */
  readonly shown: string;
  /** The names of its files. */
  readonly names: readonly string[];
  /** One of its files, piece by piece. */
  text(name: string, encoding: string): AsyncIterable<string>;
}

/** The current row: its cells, and where they stand. */
export interface DataRow {
  /** The cell of a column, or what an empty one means. */
  cell(column: TermColumn | undefined): string;
  /** The cell with the id of the occurrence. */
  readonly id: string;
  readonly line: number;
  readonly file: string;
  readonly cells: readonly string[];
  readonly mistakes: readonly RowMistake[];
  place(cell: number, length: number): Place;
  /** What is wrong with the quotes of the row, or with its length. */
  faults(): Finding[];
}

/** The name of a file of an archive for messages: `finds.zip/occurrence.txt`. */
export function shownFile(texts: ArchiveTexts, name: string): string {
  return `${texts.shown}/${name}`;
}

/** Text is cut into rows in pieces of this size; the fewer rows at a time, the less memory. */
const AT_ONCE = 32_768;

/**
 * The results of `take` for each row of a table, in batches. During the call, `take` can ask for the place of a cell.
 */
export async function* dataRows<T>(
  texts: ArchiveTexts,
  part: ArchivePart,
  take: (row: DataRow) => T,
): AsyncGenerator<T[], void> {
  for (const name of part.files) {
    let batch: T[] = [];
    const cutter = new RowCutter(
      part.delimiter,
      (cells, mistakes) => {
        if (cutter.line > part.headerLines) batch.push(take(rowOf(cells, mistakes)));
      },
      part.quote,
    );
    const row = new CutRow(shownFile(texts, name), part, cutter);
    const rowOf = (cells: readonly string[], mistakes: readonly RowMistake[]) => {
      row.cells = cells;
      row.mistakes = mistakes;
      return row;
    };
    for await (const piece of texts.text(name, part.encoding))
      for (let from = 0; from < piece.length; from += AT_ONCE) {
        cutter.read(piece.slice(from, from + AT_ONCE));
        if (batch.length > 0) yield batch;
        batch = [];
      }
    cutter.end();
    if (batch.length > 0) yield batch;
  }
}

const NO_CELLS: readonly string[] = [];
const NO_MISTAKES: readonly RowMistake[] = [];

/** The row that a cutter hands on. */
class CutRow implements DataRow {
  cells = NO_CELLS;
  mistakes = NO_MISTAKES;
  readonly #needed: number;

  constructor(
    readonly file: string,
    readonly part: ArchivePart,
    readonly cutter: RowCutter,
  ) {
    this.#needed = Math.max(part.id, ...part.columns.map((c) => c.index)) + 1;
  }

  get line(): number {
    return this.cutter.line;
  }

  get id(): string {
    return (this.cells[this.part.id] ?? '').trim();
  }

  cell(column: TermColumn | undefined): string {
    if (column === undefined) return '';
    const text = this.cells[column.index] ?? '';
    return text === '' ? column.fallback : text;
  }

  place(cell: number, length: number): Place {
    const start = this.cutter.place(Math.max(0, cell));
    const end = { ...start, column: start.column + length, offset: start.offset + length };
    return { file: this.file, path: [], start, end };
  }

  faults(): Finding[] {
    const form = this.mistakes.map(({ offset, message, found, expected }): Finding => {
      const start = this.cutter.at(offset);
      const place = { file: this.file, path: [], start, end: start };
      return { rule: 'row-form', level: 'error', message, place, found, expected };
    });
    if (form.length > 0 || this.cells.length >= this.#needed) return form;
    const [has, wanted] = [this.cells.length, this.#needed];
    return [
      {
        rule: 'row-length',
        level: 'error',
        message: `the row has only ${has} of the ${wanted} columns that meta.xml speaks of`,
        place: this.place(has, 1),
        found: String(has),
        expected: `${wanted} cells`,
      },
    ];
  }
}
