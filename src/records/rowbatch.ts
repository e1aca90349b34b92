/**
 * Rows that one thread cuts and another reads. Cutting takes nearly as long as everything else that is done with a large
 * table, so that both together take little more than half the time.
 */
import { RowCutter } from './rows.js';
import { placeInRow, placeOfCell, type RowInText, type RowMistake, type RowPlaces } from './rowtext.js';

/**
 * Some rows of a table, as plain data that threads can hand over. The few texts that a column of states has are handed
 * over once and numbered: numbers go faster than texts, and a text that stays the same is found faster by the reader.
 */
export interface RowBatch {
  readonly delimiter: string;
  /** A piece of the table that holds these rows, and where it begins in the whole. */
  readonly text: string;
  readonly before: number;
  /** By row: its line in the table, where it begins in the piece, and how many cells it has. */
  readonly lines: Uint32Array;
  readonly starts: Uint32Array;
  readonly widths: Uint32Array;
  /** Of each cell, row by row, the number of its text in its column; -1: its text is the next of `others`. */
  readonly codes: Int32Array;
  readonly others: readonly string[];
  /** The texts that have their numbers from this batch on, and the columns in which they come next. */
  readonly fresh: readonly string[];
  readonly freshColumns: readonly number[];
  /** By row, what is wrong with its form; most have no entry. */
  readonly mistakes: ReadonlyMap<number, readonly RowMistake[]>;
}

// A column with more different texts, or longer ones, gains little from numbers.
const MOST_TEXTS = 10_000;
const LONGEST_TEXT = 80;
/** After so many different texts it is seen whether most cells of a column differ, as ids do. */
const TELLING = 500;

/** The texts of one column that have numbers. */
class ColumnTexts {
  readonly #numbers = new Map<string, number>();
  #cells = 0;
  #given = 0;

  /** How many texts have numbers. */
  get count(): number {
    return this.#numbers.size;
  }

  /** The number of a text; -1 when it gets none. A text that has none yet may get the next one. */
  number(text: string): number {
    this.#cells++;
    const known = this.#numbers.get(text);
    if (known !== undefined) return known;
    if (this.#given >= MOST_TEXTS || text.length > LONGEST_TEXT) return -1;
    if (this.#given === TELLING && this.#cells < 2 * TELLING) {
      this.#given = MOST_TEXTS;
      this.#numbers.clear();
      return -1;
    }
    this.#numbers.set(text, this.#given);
    return this.#given++;
  }
}

/** Cuts a table into batches of rows. */
export class BatchCutter {
  readonly #cutter: RowCutter;
  readonly #columns: ColumnTexts[] = [];
  #lines: number[] = [];
  #starts: number[] = [];
  #widths: number[] = [];
  #codes: number[] = [];
  #others: string[] = [];
  #fresh: string[] = [];
  #freshColumns: number[] = [];
  #mistakes = new Map<number, readonly RowMistake[]>();

  constructor(readonly delimiter: string) {
    this.#cutter = new RowCutter(delimiter, (cells, mistakes) => this.#row(cells, mistakes));
  }

  /** The rows that are complete with the next piece of the table; undefined when there are none. */
  read(piece: string): RowBatch | undefined {
    this.#cutter.read(piece);
    return this.#batch();
  }

  /** The rows that were left when the table ended. */
  end(): RowBatch | undefined {
    this.#cutter.end();
    return this.#batch();
  }

  #row(cells: readonly string[], mistakes: readonly RowMistake[]): void {
    if (mistakes.length > 0) this.#mistakes.set(this.#lines.length, mistakes);
    this.#lines.push(this.#cutter.line);
    this.#starts.push(this.#cutter.start);
    this.#widths.push(cells.length);
    for (let column = 0; column < cells.length; column++) {
      const text = cells[column] as string;
      let texts = this.#columns[column];
      if (texts === undefined) {
        texts = new ColumnTexts();
        this.#columns[column] = texts;
      }
      const before = texts.count;
      const code = texts.number(text);
      this.#codes.push(code);
      if (code < 0) this.#others.push(text);
      else if (code === before) {
        this.#fresh.push(text);
        this.#freshColumns.push(column);
      }
    }
  }

  #batch(): RowBatch | undefined {
    if (this.#lines.length === 0) return undefined;
    const { text, before } = this.#cutter;
    const batch: RowBatch = {
      delimiter: this.delimiter,
      text,
      before,
      lines: Uint32Array.from(this.#lines),
      starts: Uint32Array.from(this.#starts),
      widths: Uint32Array.from(this.#widths),
      codes: Int32Array.from(this.#codes),
      others: this.#others,
      fresh: this.#fresh,
      freshColumns: this.#freshColumns,
      mistakes: this.#mistakes,
    };
    this.#lines = [];
    this.#starts = [];
    this.#widths = [];
    this.#codes = [];
    this.#others = [];
    this.#fresh = [];
    this.#freshColumns = [];
    this.#mistakes = new Map();
    return batch;
  }
}

const NONE: readonly RowMistake[] = [];

/** Hands on the rows of the batches of one table, in their order. */
export class BatchReader implements RowPlaces {
  /** By column, the texts that have numbers. */
  readonly #texts: string[][] = [];
  #batch: RowBatch | undefined;
  #row = 0;

  /** Hands on each row of the next batch; while `take` runs, `line` and the places are those of that row. */
  each(batch: RowBatch, take: (cells: readonly string[], mistakes: readonly RowMistake[]) => void): void {
    const { fresh, freshColumns, widths, codes, others, mistakes } = batch;
    const columns = this.#texts;
    freshColumns.forEach((column, i) => {
      while (columns.length <= column) columns.push([]);
      columns[column]?.push(fresh[i] as string);
    });
    this.#batch = batch;
    let cell = 0;
    let other = 0;
    for (let row = 0; row < widths.length; row++) {
      this.#row = row;
      const width = widths[row] as number;
      const cells = new Array<string>(width);
      for (let column = 0; column < width; column++) {
        const code = codes[cell++] as number;
        cells[column] = (code < 0 ? others[other++] : columns[column]?.[code]) as string;
      }
      take(cells, mistakes.get(row) ?? NONE);
    }
  }

  get line(): number {
    return this.#batch?.lines[this.#row] ?? 0;
  }

  place(cell: number): ReturnType<RowPlaces['place']> {
    return placeOfCell(this.#here(), cell);
  }

  at(offset: number): ReturnType<RowPlaces['at']> {
    return placeInRow(this.#here(), offset);
  }

  #here(): RowInText {
    const { text = '', before = 0, delimiter = ',', starts } = this.#batch ?? {};
    return { text, before, delimiter, quote: '"', start: starts?.[this.#row] ?? 0, line: this.line };
  }
}
