/** Cuts the text of a CSV or TSV table into rows and cells with csv-parse, and says where each stands. */
import type { TransformOptions } from 'node:stream';
import { type Options, Parser } from 'csv-parse';
import {
  cutRow,
  placeInRow,
  placeOfCell,
  type RowInText,
  type RowMistake,
  type RowPlaces,
  type RowPosition,
} from './rowtext.js';

/** No row of observations needs more letters; a longer one is a mistake, such as a quote that is never closed. */
export const LONGEST_ROW = 262_144;

/** More than csv-parse looks ahead at the end of its input, so that it hands on the last row; blank lines are no rows. */
const LOOK_AHEAD = '\n\n\n\n';

/** More rows than a piece of text can hold, so that the parser never waits for a reader. */
const PIECE_ROWS = 1_000_000;

/**
 * Takes text in pieces and hands on each complete row. csv-parse cuts rows and cells; what it cannot do is done here:
 * where a cell stands (asked only for messages), and going on behind a row whose quotes are broken, which would
 * otherwise take good rows with it.
 */
export class RowCutter implements RowPlaces {
  /** The line where the row being handed on begins. */
  line = 1;
  #parser: Parser;
  /** What the parser was given since the last complete row, and more. */
  #text = '';
  /** Where the row being handed on begins in the text at hand, and where that text begins in the whole. */
  #start = 0;
  #before = 0;
  /** Where the rest of the text begins, and its line. */
  #rest = 0;
  #restLine = 1;
  #onlyReturns: boolean | undefined;
  #half = '';
  /** The next quote in the text at hand, or its end; before the start when not known. */
  #quote = -1;
  /** Whether the rest of an overlong line is being thrown away. */
  #skipping = false;

  /**
   * `row` gets the cells of each row that is not blank, and what is wrong with its quotes. While it runs, `line` and
   * `place` speak of that row.
   */
  constructor(
    readonly delimiter: string,
    readonly row: (cells: string[], mistakes: readonly RowMistake[]) => void,
    /** The sign that cells are put in; empty where a table has none. */
    readonly quote = '"',
  ) {
    this.#parser = this.#newParser();
  }

  read(piece: string): void {
    const whole = this.#half + piece;
    // A sign of two units that the pieces divide would become two wrong ones on its way to the parser, and so would a
    // line break of two signs.
    const split = /[\ud800-\udbff\r]$/.test(whole);
    this.#half = split ? whole.slice(-1) : '';
    this.#take(split ? whole.slice(0, -1) : whole);
  }

  #take(piece: string): void {
    // Line breaks of old Macintosh texts: a return alone.
    if (/[\r\n]/.test(piece)) this.#onlyReturns ??= !piece.includes('\n');
    const more = this.#onlyReturns ? piece.replaceAll('\r', '\n') : piece;
    this.#before += this.#rest;
    this.#text = this.#text.slice(this.#rest) + more;
    this.#rest = 0;
    this.#quote = -1;
    this.#feed(more);
  }

  end(): void {
    this.#take(this.#half);
    this.#half = '';
    this.#feed(LOOK_AHEAD);
    // What is left is a row whose quote is never closed: it is given up, and the rows after it are read again.
    while (
      !this.#skipping &&
      !this.#text
        .slice(this.#rest)
        .split('\n')
        .every((line) => this.#isBlank(line))
    ) {
      this.#recover(true);
      this.#feed(this.#text.slice(this.#rest) + LOOK_AHEAD);
    }
  }

  place(cell: number): RowPosition {
    return placeOfCell(this.#here(), cell);
  }

  at(offset: number): RowPosition {
    return placeInRow(this.#here(), offset);
  }

  /** The text at hand, which holds all rows that the last `read` or `end` handed on, and where it begins in the whole. */
  get text(): string {
    return this.#text;
  }

  get before(): number {
    return this.#before;
  }

  /** Where the row being handed on begins in the text at hand. */
  get start(): number {
    return this.#start;
  }

  #here(): RowInText {
    const { line, delimiter, quote } = this;
    return { text: this.#text, start: this.#start, line, before: this.#before, delimiter, quote };
  }

  #newParser(): Parser {
    const options: Options<string[]> & TransformOptions = {
      delimiter: this.delimiter,
      quote: this.quote === '' ? null : this.quote,
      escape: this.quote === '' ? null : this.quote,
      record_delimiter: ['\r\n', '\n'],
      max_record_size: LONGEST_ROW,
      relax_column_count: true,
      relax_quotes: true,
      skip_empty_lines: true,
      trim: true,
      // All rows of a piece wait to be read right after it was written.
      readableHighWaterMark: PIECE_ROWS,
    };
    const parser = new Parser(options);
    // An error is seen at `errored`, right after the write that met it.
    parser.on('error', () => undefined);
    return parser;
  }

  #feed(text: string): void {
    let more = text;
    for (;;) {
      if (this.#skipping) {
        const end = more.indexOf('\n');
        if (end < 0) return;
        this.#skipping = false;
        this.#rest = this.#text.length - (more.length - end - 1);
        this.#restLine++;
        more = more.slice(end + 1);
      }
      if (this.#parser.errored === null) this.#parser.write(more);
      for (let cells = this.#parser.read(); cells !== null; cells = this.#parser.read())
        this.#complete(cells);
      if (this.#parser.errored === null || !this.#recover(false)) return;
      more = this.#text.slice(this.#rest);
    }
  }

  /** A row that csv-parse has cut: where it stands, and what it did not mind. */
  #complete(cells: string[]): void {
    this.#toRow();
    const text = this.#text;
    const found = text.indexOf('\n', this.#start);
    const lineEnd = found < 0 ? text.length : found;
    // csv-parse tells neither columns nor, in pieces, lines for certain; a row without quotes is one line.
    if (this.#nextQuote() >= lineEnd) {
      this.row(cells, NONE);
      this.#go(lineEnd + 1, 1);
      return;
    }
    const cut = cutRow(this.#here(), true);
    const next = cut?.next ?? lineEnd + 1;
    this.row(cells, cut?.mistakes ?? NONE);
    this.#go(next, lineBreaks(text, this.#start, next));
  }

  /** Where the next quote stands at or behind the start of the row; looked for once and kept until it is passed. */
  #nextQuote(): number {
    if (this.#quote < this.#start) {
      const found = this.quote === '' ? -1 : this.#text.indexOf(this.quote, this.#start);
      this.#quote = found < 0 ? this.#text.length : found;
    }
    return this.#quote;
  }

  /** Sets the start of the row at hand: the rest of the text behind its blank lines. */
  #toRow(): void {
    let start = this.#rest;
    let line = this.#restLine;
    for (;;) {
      const end = this.#text.indexOf('\n', start);
      if (end < 0 || !this.#isBlank(this.#text.slice(start, end))) break;
      start = end + 1;
      line++;
    }
    this.#start = start;
    this.line = line;
  }

  /** Blank lines are no rows; a line of nothing but tabs is one where tabs part the cells. */
  #isBlank(line: string): boolean {
    return line.trim() === '' && !line.includes(this.delimiter);
  }

  /**
   * Hands on the row that stopped csv-parse as far as it can be told, and begins anew behind it. False when more of its
   * text is needed for that.
   */
  #recover(ended: boolean): boolean {
    this.#toRow();
    const text = this.#text;
    const found = text.indexOf('\n', this.#start);
    const lineEnd = found < 0 ? text.length : found;
    if (lineEnd - this.#start > LONGEST_ROW) this.#tooLong(lineEnd, ended);
    else {
      const cut = cutRow(this.#here(), ended);
      if (cut === undefined) {
        if (!ended && text.length - this.#start <= LONGEST_ROW) return false;
        this.#unclosed(lineEnd);
      } else {
        this.row(cut.cells, cut.mistakes);
        this.#go(cut.next, lineBreaks(text, this.#start, cut.next));
      }
    }
    this.#parser = this.#newParser();
    return true;
  }

  #go(to: number, lines: number): void {
    this.#rest = Math.min(to, this.#text.length);
    this.#restLine = this.line + lines;
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
    const opening = new RegExp(`^\\s*${literal(this.quote)}`);
    const cells = line.split(delimiter).map((c) => c.replace(opening, ''));
    const offset = line.search(new RegExp(`(?<=^|${literal(delimiter)})[ \\t]*${literal(this.quote)}`));
    this.row(cells, [
      {
        offset: Math.max(0, offset),
        message: `a quote (${this.quote}) opens here that is not closed`,
        found: this.quote,
        expected: 'a closing quote before the next cell',
      },
    ]);
    this.#go(lineEnd + 1, 1);
  }
}

const NONE: readonly RowMistake[] = [];

/** A sign as it is written in a pattern to mean itself. */
function literal(sign: string): string {
  return sign.replace(/[\\^$.*+?()[\]{}|/-]/g, '\\$&');
}

function lineBreaks(text: string, from: number, to: number): number {
  let n = 0;
  for (let at = text.indexOf('\n', from); at >= 0 && at < to; at = text.indexOf('\n', at + 1)) n++;
  return n;
}

/** The sign that parts the cells of a table, told by how its text begins. */
export function delimiterOf(format: 'csv' | 'tsv', start: string): string {
  if (format === 'tsv') return '\t';
  // Where the comma is the decimal sign, spreadsheets part cells by semicolons.
  const first = start.trimStart().split('\n', 1)[0] ?? '';
  return first.includes(';') && !first.includes(',') ? ';' : ',';
}
