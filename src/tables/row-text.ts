/** One row of a CSV or TSV text: its cells, where each begins, and what is wrong with its quotes. */

/** Something wrong with the form of a row, at an offset from the start of the row. */
export interface RowMistake {
  readonly offset: number;
  readonly message: string;
  readonly found: string;
  readonly expected: string;
}

/** Line and column (from 1), and the offset in the whole text (from 0). */
export interface RowPosition {
  readonly line: number;
  readonly column: number;
  readonly offset: number;
}

/** A row that was cut. */
interface CutRow {
  readonly cells: string[];
  /** Where each cell begins. */
  readonly starts: readonly number[];
  /** The offset after the row and its line break. */
  readonly next: number;
  readonly mistakes: readonly RowMistake[];
}

/** Where the row that is being handed on stands. */
export interface RowPlaces {
  readonly line: number;
  /** Where a cell of it begins; a cell past the last gives the end of the row. */
  place(cell: number): RowPosition;
  /** The place of an offset within the row. */
  at(offset: number): RowPosition;
}

/** A row within a text, with the delimiter and quote of its table. */
interface RowToCut {
  readonly text: string;
  /** Where the row begins in the text. */
  readonly start: number;
  readonly delimiter: string;
  /** Empty where nothing is quoted. */
  readonly quote: string;
}

/** A row within a piece of a table. */
export interface RowInText extends RowToCut {
  readonly line: number;
  /** Where the text begins in the whole. */
  readonly before: number;
}

/** Where a cell of a row begins; a cell past the last gives the end of the row. */
export function placeOfCell(row: RowInText, cell: number): RowPosition {
  const { text, start } = row;
  const cut = cutRow(row, true);
  const last = cut?.starts.length ?? 0;
  return placeInRow(row, (cell < last ? (cut?.starts[cell] ?? 0) : rowEnd(text, start, cut)) - start);
}

/** The place of an offset within a row. */
export function placeInRow({ text, start, line, before }: RowInText, offset: number): RowPosition {
  const at = start + offset;
  const passed = text.slice(start, at);
  const lines = passed.split('\n').length - 1;
  const column = lines === 0 ? offset + 1 : offset - passed.lastIndexOf('\n');
  return { line: line + lines, column, offset: before + at };
}

function rowEnd(text: string, start: number, cut: CutRow | undefined): number {
  let end = cut?.next ?? text.length;
  while (end > start && /[\r\n]/.test(text.charAt(end - 1))) end--;
  return end;
}

/** Cuts a row that has quotes; undefined when its end is not in the text yet. */
export function cutRow({ text, start, delimiter, quote }: RowToCut, ended: boolean): CutRow | undefined {
  const quoteCode = quote.charCodeAt(0);
  const cells: string[] = [];
  const starts: number[] = [];
  const mistakes: RowMistake[] = [];
  let at = start;
  for (;;) {
    let open = at;
    while (text.charCodeAt(open) === 32 || (text.charCodeAt(open) === 9 && delimiter !== '\t')) open++;
    let cell: string;
    if (text.charCodeAt(open) === quoteCode) {
      starts.push(open);
      const close = closingQuote(text, open, quote);
      if (close < 0 || (close === text.length - 1 && !ended)) return undefined;
      cell = text.slice(open + 1, close).replaceAll(quote + quote, quote);
      at = close + 1;
      while (text.charCodeAt(at) === 32) at++;
      const rest = cellEnd(text, at, delimiter);
      if (rest === text.length && !ended) return undefined;
      const tail = text.slice(at, rest).replace(/\r$/, '');
      if (tail !== '') {
        cell += tail;
        mistakes.push({
          offset: at - start,
          message: `text follows the closing quote of a cell; a quote within a cell is written twice (${quote}${quote})`,
          found: tail.slice(0, 60),
          expected: 'the end of the cell',
        });
      }
      at = rest;
    } else {
      starts.push(open);
      const end = cellEnd(text, at, delimiter);
      if (end === text.length && !ended) return undefined;
      cell = text.slice(at, end);
      if (text.charCodeAt(end) !== delimiter.charCodeAt(0)) cell = cell.replace(/\r$/, '');
      const stray = quote === '' ? -1 : cell.indexOf(quote);
      // In a table with tabs a quote within a cell is usual and clear.
      if (stray >= 0 && delimiter !== '\t')
        mistakes.push({
          offset: at - start + stray,
          message: `a quote (${quote}) stands within a cell; put the whole cell in quotes and write the quote twice (${quote}${quote})`,
          found: cell.slice(0, 60),
          expected: 'a cell in quotes',
        });
      cell = cell.trim();
      at = end;
    }
    cells.push(cell);
    if (text.charCodeAt(at) !== delimiter.charCodeAt(0)) return { cells, starts, next: at + 1, mistakes };
    at++;
  }
}

/** The quote that closes the one at `open`; a quote written twice closes nothing. -1 when there is none. */
function closingQuote(text: string, open: number, quote: string): number {
  for (let at = text.indexOf(quote, open + 1); at >= 0; at = text.indexOf(quote, at + 2))
    if (text[at + 1] !== quote) return at;
  return -1;
}

/** The next delimiter or line break, or the end of the text. */
function cellEnd(text: string, from: number, delimiter: string): number {
  const stop = delimiter.charCodeAt(0);
  let at = from;
  for (; at < text.length; at++) {
    const c = text.charCodeAt(at);
    if (c === stop || c === 10) break;
  }
  return at;
}
