/** Cuts the text of a CSV or TSV table into rows and cells, and says where each stands. */
import { literal, PlainRows } from './plain-rows.js';
import {
  cutRow,
  placeInRow,
  placeOfCell,
  type RowInText,
  type RowMistake,
  type RowPlaces,
  type RowPosition,
} from './row-text.js';

/** No row of observations needs more characters; a longer one is a mistake, such as a quote that is never closed. */
export const LONGEST_ROW = 262_144;

const NONE: readonly RowMistake[] = [];

/**
 * Takes text in pieces and hands on each complete row. Papa Parse cuts lines that are certainly rows, many at a time;
 * every other row is cut by itself, with its mistakes, so
 * that a row with broken quotes takes no good rows with it.
 */
export class RowCutter implements RowPlaces {
  /** The line where the row being handed on begins. */
  line = 1;
  readonly #plain: PlainRows;
  /** The current row and what follows it. */
  #text = '';
  /** Where the text at hand begins in the whole. */
  #before = 0;
  /** Where the rest of the text begins, and its line. */
  #rest = 0;
  #restLine = 1;
  /** The line of a row is counted only when asked for, from here: where some line begins, at that row or before it. */
  #known = 0;
  #knownLine = 1;
  #onlyReturns: boolean | undefined;
  #half = '';
  /** Whether the rest of an overlong line is being thrown away. */
  #skipping = false;

  /**
   * `row` gets the cells of each row that is not blank, and what is wrong with its quotes. While it runs, `line` and
   * `place` are those of that row.
   */
  constructor(
    readonly delimiter: string,
    readonly row: (cells: string[], mistakes: readonly RowMistake[]) => void,
    /** The quote; empty where a table has none. */
    readonly quote = '"',
  ) {
    this.#plain = new PlainRows(delimiter, quote);
  }

  read(piece: string): void {
    const whole = this.#half + piece;
    // A CRLF split between two pieces counts once both characters are there.
    const split = whole.endsWith('\r');
    this.#half = split ? '\r' : '';
    this.#take(split ? whole.slice(0, -1) : whole, false);
  }

  end(): void {
    this.#take(this.#half, true);
    this.#half = '';
  }

  place(cell: number): RowPosition {
    return placeOfCell(this.#here(), cell);
  }

  at(offset: number): RowPosition {
    return placeInRow(this.#here(), offset);
  }

  #here(): RowInText {
    const { line, delimiter, quote } = this;
    return { text: this.#text, start: this.#startOf(line), line, before: this.#before, delimiter, quote };
  }

  /** Where a line begins in the text at hand. */
  #startOf(line: number): number {
    while (this.#knownLine < line) {
      this.#known = this.#text.indexOf('\n', this.#known) + 1;
      this.#knownLine++;
    }
    return this.#known;
  }

  #take(piece: string, ended: boolean): void {
    // Line breaks of old Macintosh texts: a return alone.
    if (/[\r\n]/.test(piece)) this.#onlyReturns ??= !piece.includes('\n');
    const more = this.#onlyReturns ? piece.replaceAll('\r', '\n') : piece;
    this.#before += this.#rest;
    this.#text = this.#text.slice(this.#rest) + more;
    this.#rest = 0;
    this.#cut(ended);
  }

  #cut(ended: boolean): void {
    for (;;) {
      if (this.#skipping && !this.#skip()) return;
      const start = this.#rest;
      if (start === this.#text.length) return;
      const end = this.#linesEnd(ended);
      // A line that has no end yet, or is too long to have one.
      if (end <= start) {
        if ((!ended && this.#text.length - start <= LONGEST_ROW) || !this.#doubtful(ended)) return;
        continue;
      }
      const quote = this.quote === '' ? -1 : this.#text.indexOf(this.quote, start);
      const unquoted = quote < 0 || quote >= end ? end : this.#text.lastIndexOf('\n', quote) + 1;
      if (unquoted > start) this.#unquoted(unquoted);
      else {
        const { to, count } = this.#quotedLines(end);
        if (count > 0 && this.#quoted(to, count)) continue;
        do if (!this.#doubtful(ended)) return;
        while (this.#rest < to);
      }
    }
  }

  /** Skips the rest of an overlong line; false when it does not end in the text read so far. */
  #skip(): boolean {
    const end = this.#text.indexOf('\n', this.#rest);
    this.#skipping = end < 0;
    this.#rest = this.#skipping ? this.#text.length : end + 1;
    if (!this.#skipping) this.#restLine++;
    return !this.#skipping;
  }

  /** Where the whole lines end that the rest of the text begins with, or as many of them as a row may be long. */
  #linesEnd(ended: boolean): number {
    const text = this.#text;
    const most = this.#rest + LONGEST_ROW;
    const end = ended ? text.length : text.lastIndexOf('\n') + 1;
    return end <= most ? end : text.lastIndexOf('\n', most) + 1;
  }

  /** The end and the number of the next lines with quotes, each with as many opening as closing ones. */
  #quotedLines(end: number): { to: number; count: number } {
    const text = this.#text;
    let to = this.#rest;
    let count = 0;
    while (to < end) {
      const found = text.indexOf('\n', to);
      const lineEnd = found < 0 ? text.length : found;
      let quotes = 0;
      for (
        let at = text.indexOf(this.quote, to);
        at >= 0 && at < lineEnd;
        at = text.indexOf(this.quote, at + 1)
      )
        quotes++;
      if (quotes === 0 || quotes % 2 !== 0) break;
      to = Math.min(lineEnd + 1, text.length);
      count++;
    }
    return { to, count };
  }

  #unquoted(to: number): void {
    this.#handOn(this.#plain.unquoted(this.#lines(to)), to);
  }

  /** Hands on lines with quotes; false when one of them is not certainly a good row. */
  #quoted(to: number, count: number): boolean {
    const rows = this.#plain.quoted(this.#lines(to), count);
    if (rows !== undefined) this.#handOn(rows, to);
    return rows !== undefined;
  }

  /** The lines from the rest of the text to there, without the last line break. */
  #lines(to: number): string {
    return this.#text.slice(this.#rest, this.#text[to - 1] === '\n' ? to - 1 : to);
  }

  /** Hands on rows of one line each. */
  #handOn(rows: string[][], to: number): void {
    this.#known = this.#rest;
    this.#knownLine = this.#restLine;
    for (let i = 0; i < rows.length; i++) {
      const cells = rows[i] as string[];
      if (cells.length === 0) continue;
      this.line = this.#restLine + i;
      this.row(cells, NONE);
    }
    this.#go(to, this.#restLine + rows.length);
  }

  /** Hands on the next row, whatever its form; false when more of its text is needed. */
  #doubtful(ended: boolean): boolean {
    const text = this.#text;
    const start = this.#rest;
    this.#known = start;
    this.#knownLine = this.#restLine;
    this.line = this.#restLine;
    const found = text.indexOf('\n', start);
    const lineEnd = found < 0 ? text.length : found;
    if (lineEnd - start > LONGEST_ROW) this.#tooLong(lineEnd, ended);
    else {
      const cut = cutRow(this.#here(), ended);
      if (cut !== undefined && cut.next - start <= LONGEST_ROW + 1) {
        this.row(cut.cells, cut.mistakes);
        this.#go(cut.next, this.line + lineBreaks(text, start, cut.next));
      } else if (!ended && text.length - start <= LONGEST_ROW) return false;
      else this.#unclosed(lineEnd);
    }
    return true;
  }

  #go(to: number, line: number): void {
    this.#rest = Math.min(to, this.#text.length);
    this.#restLine = line;
  }

  /** Hands on a line that is too long up to the limit, so that its id is known, and marks it as wrong. */
  #tooLong(lineEnd: number, ended: boolean): void {
    const cells = this.#text.slice(this.#rest, this.#rest + LONGEST_ROW).split(this.delimiter);
    this.row(cells, [
      {
        offset: 0,
        message: `the row is longer than ${LONGEST_ROW} characters`,
        found: 'a row without end',
        expected: 'a row of observations',
      },
    ]);
    this.#skipping = lineEnd === this.#text.length && !ended;
    this.#go(lineEnd + 1, this.line + (lineEnd < this.#text.length ? 1 : 0));
  }

  /** A quote that is never closed would swallow every row after it: only its own line is given up. */
  #unclosed(lineEnd: number): void {
    const { delimiter } = this;
    const line = this.#text.slice(this.#rest, lineEnd);
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
    this.#go(lineEnd + 1, this.line + 1);
  }
}

function lineBreaks(text: string, from: number, to: number): number {
  let n = 0;
  for (let at = text.indexOf('\n', from); at >= 0 && at < to; at = text.indexOf('\n', at + 1)) n++;
  return n;
}

/** The delimiter of a table, guessed from how its text begins. */
export function delimiterOf(format: 'csv' | 'tsv', start: string): string {
  if (format === 'tsv') return '\t';
  // Where the comma is the decimal separator, spreadsheets separate cells by semicolons.
  const first = start.trimStart().split('\n', 1)[0] ?? '';
  return first.includes(';') && !first.includes(',') ? ';' : ',';
}
