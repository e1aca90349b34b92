/**
 * Cuts the text of a CSV or TSV table into rows and cells, as it comes in. Its own, because it reads several times
 * faster than a general parser and knows the line and column of every cell (the tests hold it against csv-parse).
 */

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

/** No row of observations needs more letters; a longer one is a mistake, such as a quote that is never closed. */
export const LONGEST_ROW = 262_144;

interface Cut {
  readonly cells: string[];
  /** Where each cell begins. */
  readonly starts: readonly number[];
  /** The offset after the row and its line break. */
  readonly next: number;
  readonly mistakes: readonly RowMistake[];
}

/** Takes text in pieces and hands on each complete row. */
export class RowCutter {
  /** The line where the row being handed on begins. */
  line = 1;
  #text = '';
  /** Where the row being handed on begins in the text at hand, and where that text begins in the whole. */
  #start = 0;
  #before = 0;
  #onlyReturns: boolean | undefined;
  /** Whether the rest of an overlong line is being thrown away. */
  #skipping = false;

  /**
   * `row` gets the cells of each row that is not blank, and what is wrong with its quotes. While it runs, `line` and
   * `place` speak of that row.
   */
  constructor(
    readonly delimiter: string,
    readonly row: (cells: string[], mistakes: readonly RowMistake[]) => void,
  ) {}

  read(piece: string): void {
    this.#text = this.#start === this.#text.length ? piece : this.#text.slice(this.#start) + piece;
    this.#before += this.#start;
    this.#start = 0;
    // Old Macintosh texts break lines by a return alone. A return at the end may belong to a line feed not yet here.
    if (this.#onlyReturns === undefined) {
      if (this.#text.includes('\n')) this.#onlyReturns = false;
      else if (this.#text.slice(0, -1).includes('\r')) this.#onlyReturns = true;
    }
    if (this.#onlyReturns) this.#text = this.#text.replaceAll('\r', '\n');
    this.#cut(false);
  }

  end(): void {
    this.#cut(true);
  }

  /** Where a cell of the row being handed on begins; a cell past the last gives the end of the row. */
  place(cell: number): RowPosition {
    const cut = this.#carefully(this.#start, true);
    const last = cut?.starts.length ?? 0;
    return this.at(cell < last ? (cut?.starts[cell] ?? 0) - this.#start : this.#rowEnd(cut) - this.#start);
  }

  /** The place of an offset within the row being handed on. */
  at(offset: number): RowPosition {
    const at = this.#start + offset;
    const before = this.#text.slice(this.#start, at);
    const lines = before.split('\n').length - 1;
    const column = lines === 0 ? offset + 1 : offset - before.lastIndexOf('\n');
    return { line: this.line + lines, column, offset: this.#before + at };
  }

  #rowEnd(cut: Cut | undefined): number {
    let end = cut?.next ?? this.#text.length;
    while (end > this.#start && /[\r\n]/.test(this.#text.charAt(end - 1))) end--;
    return end;
  }

  #cut(ended: boolean): void {
    const text = this.#text;
    let quote = text.indexOf('"', this.#start);
    for (;;) {
      const start = this.#start;
      if (start >= text.length) return;
      let lineEnd = text.indexOf('\n', start);
      if (lineEnd < 0) {
        if (!ended && text.length - start <= LONGEST_ROW) return;
        lineEnd = text.length;
      }
      if (this.#skipping) {
        this.#skipping = lineEnd === text.length && !ended;
        this.#go(lineEnd + 1, lineEnd < text.length ? 1 : 0);
        continue;
      }
      if (quote >= 0 && quote < start) quote = text.indexOf('"', start);
      if (lineEnd - start > LONGEST_ROW) {
        this.#tooLong(lineEnd, ended);
      } else if (quote < 0 || quote >= lineEnd) {
        const end = text.charCodeAt(lineEnd - 1) === 13 && lineEnd > start ? lineEnd - 1 : lineEnd;
        if (end > start) this.row(text.slice(start, end).split(this.delimiter), NONE);
        this.#go(lineEnd + 1, 1);
      } else {
        const cut = this.#carefully(start, ended);
        if (cut === undefined) {
          if (!ended && text.length - start <= LONGEST_ROW) return;
          this.#unclosed(lineEnd);
          continue;
        }
        this.row(cut.cells, cut.mistakes);
        this.#go(cut.next, lineBreaks(text, start, cut.next));
      }
    }
  }

  #go(to: number, lines: number): void {
    this.#start = Math.min(to, this.#text.length);
    this.line += lines;
  }

  /** A line that is too long is handed on as far as it may go, so that its id is known, and marked as wrong. */
  #tooLong(lineEnd: number, ended: boolean): void {
    const cells = this.#text.slice(this.#start, this.#start + LONGEST_ROW).split(this.delimiter);
    this.row(cells, [
      {
        offset: 0,
        message: `the row is longer than ${LONGEST_ROW} characters`,
        found: 'a row without end',
        expected: 'a row of observations',
      },
    ]);
    this.#skipping = lineEnd === this.#text.length && !ended;
    this.#go(lineEnd + 1, lineEnd < this.#text.length ? 1 : 0);
  }

  /** A quote that is never closed would swallow every row after it: only its own line is given up. */
  #unclosed(lineEnd: number): void {
    const { delimiter } = this;
    const line = this.#text.slice(this.#start, lineEnd);
    const cells = line.split(delimiter).map((c) => c.replace(/^\s*"/, ''));
    const offset = line.search(new RegExp(`(?<=^|${delimiter === '|' ? '\\|' : delimiter})[ \\t]*"`));
    this.row(cells, [
      {
        offset: Math.max(0, offset),
        message: 'a quote (") opens here that is not closed',
        found: '"',
        expected: 'a closing quote before the next cell',
      },
    ]);
    this.#go(lineEnd + 1, 1);
  }

  /** Cuts a row that has quotes; undefined when its end is not in the text yet. */
  #carefully(start: number, ended: boolean): Cut | undefined {
    const text = this.#text;
    const { delimiter } = this;
    const cells: string[] = [];
    const starts: number[] = [];
    const mistakes: RowMistake[] = [];
    let at = start;
    for (;;) {
      let open = at;
      while (text.charCodeAt(open) === 32) open++;
      let cell: string;
      if (text.charCodeAt(open) === 34) {
        starts.push(open);
        const close = closingQuote(text, open);
        if (close < 0 || (close === text.length - 1 && !ended)) return undefined;
        cell = text.slice(open + 1, close).replaceAll('""', '"');
        at = close + 1;
        while (text.charCodeAt(at) === 32) at++;
        const rest = cellEnd(text, at, delimiter);
        if (rest === text.length && !ended) return undefined;
        const tail = text.slice(at, rest).replace(/\r$/, '');
        if (tail !== '') {
          cell += tail;
          mistakes.push({
            offset: at - start,
            message: 'text follows the closing quote of a cell; a quote within a cell is written twice ("")',
            found: tail.slice(0, 60),
            expected: 'the end of the cell',
          });
        }
        at = rest;
      } else {
        starts.push(at);
        const end = cellEnd(text, at, delimiter);
        if (end === text.length && !ended) return undefined;
        cell = text.slice(at, end);
        if (text.charCodeAt(end) !== delimiter.charCodeAt(0)) cell = cell.replace(/\r$/, '');
        const quote = cell.indexOf('"');
        // In a table with tabs a quote within a cell is usual and clear.
        if (quote >= 0 && delimiter !== '\t')
          mistakes.push({
            offset: at - start + quote,
            message:
              'a quote (") stands within a cell; put the whole cell in quotes and write the quote twice ("")',
            found: cell.slice(0, 60),
            expected: 'a cell in quotes',
          });
        at = end;
      }
      cells.push(cell);
      if (text.charCodeAt(at) !== delimiter.charCodeAt(0)) return { cells, starts, next: at + 1, mistakes };
      at++;
    }
  }
}

const NONE: readonly RowMistake[] = [];

/** The quote that closes the one at `open`; a quote written twice closes nothing. -1 when there is none. */
function closingQuote(text: string, open: number): number {
  for (let at = text.indexOf('"', open + 1); at >= 0; at = text.indexOf('"', at + 2))
    if (text.charCodeAt(at + 1) !== 34) return at;
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

function lineBreaks(text: string, from: number, to: number): number {
  let n = 0;
  for (let at = text.indexOf('\n', from); at >= 0 && at < to; at = text.indexOf('\n', at + 1)) n++;
  return n;
}
