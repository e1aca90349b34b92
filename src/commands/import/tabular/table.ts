/** Keys that stand in tables: cells, rows and tables as every reader hands them on, whatever the file is. */

/** A stretch of a cell: from, up to. */
export type CellSpan = readonly [from: number, to: number];

/** One cell, its white space made single spaces. */
export interface Cell {
  readonly text: string;
  /** What the file itself marks as the name of a taxon. */
  readonly names: readonly CellSpan[];
  /** What is set in italics. */
  readonly italics: readonly CellSpan[];
  /** Whether it refers to figures by links. */
  readonly figures: boolean;
}

/** One row; cells that span several columns are followed by empty ones. */
export interface TableRow {
  readonly cells: readonly Cell[];
  /** Lines of the file, from 1. */
  readonly line: number;
  readonly lastLine: number;
}

/** A table that may hold a key. */
export interface KeyTable {
  /** What stands above it as its heading; undefined when nothing does. */
  readonly title: string | undefined;
  readonly rows: readonly TableRow[];
  readonly line: number;
  /** The file itself says that this table is a key. */
  readonly declared: boolean;
}

/** What an article says of itself. */
export interface About {
  /** Names as written, in order. */
  readonly authors: readonly string[];
  /** The article as it is cited; undefined when its head says nothing. */
  readonly cite: string | undefined;
  /** Where it can be read. */
  readonly url: string | undefined;
  /** An SPDX name; undefined where the terms are not stated or are no known licence. */
  readonly licence: string | undefined;
  /** The terms in the words of the article. */
  readonly terms: string | undefined;
  /** The line at which the terms stand, or at which the head begins. */
  readonly line: number;
  readonly language: string | undefined;
}

export const EMPTY: Cell = { text: '', names: [], italics: [], figures: false };

/** What a stretch of a cell can be. */
export type Mark = 'name' | 'italic' | 'figure';

/** Gathers the text of a cell and what is marked in it. */
export class CellBuilder {
  #text = '';
  readonly #open: { readonly mark: Mark; readonly from: number }[] = [];
  readonly #spans: { readonly mark: Mark; readonly from: number; readonly to: number }[] = [];

  add(text: string): void {
    this.#text += text;
  }

  /** Puts a text before all that was added; nothing of it is marked. */
  prefix(text: string): void {
    this.#text = text + this.#text;
    for (const [i, { mark, from, to }] of this.#spans.entries())
      this.#spans[i] = { mark, from: from + text.length, to: to + text.length };
  }

  open(mark: Mark): void {
    this.#open.push({ mark, from: this.#text.length });
  }

  close(mark: Mark): void {
    const at = this.#open.findLastIndex((o) => o.mark === mark);
    if (at < 0) return;
    const [{ from } = { from: 0 }] = this.#open.splice(at, 1);
    this.#spans.push({ mark, from, to: this.#text.length });
  }

  build(): Cell {
    const places: number[] = [];
    let text = '';
    let gap = false;
    for (const unit of this.#text) {
      const space = /\s/.test(unit);
      for (let i = 0; i < unit.length; i++)
        places.push(text.length + (gap && !space && text !== '' ? 1 : 0) + i);
      if (space) gap = true;
      else {
        text += gap && text !== '' ? ` ${unit}` : unit;
        gap = false;
      }
    }
    places.push(text.length);
    const of = (mark: Mark): CellSpan[] =>
      this.#spans
        .filter((s) => s.mark === mark)
        .map(
          ({ from, to }): CellSpan => trimmed(text, places[from] ?? text.length, places[to] ?? text.length),
        )
        .filter(([from, to]) => to > from)
        .sort((a, b) => a[0] - b[0]);
    return {
      text,
      names: of('name'),
      italics: joined(text, of('italic')),
      figures: this.#spans.some((s) => s.mark === 'figure'),
    };
  }
}

/** A stretch without the spaces at its ends. */
function trimmed(text: string, start: number, stop: number): CellSpan {
  let [from, to] = [start, stop];
  while (from < to && text[from] === ' ') from++;
  while (to > from && text[to - 1] === ' ') to--;
  return [from, to];
}

/** Spans with nothing or a space between them are one: an epithet is often set apart from its genus. */
function joined(text: string, spans: readonly CellSpan[]): CellSpan[] {
  const out: CellSpan[] = [];
  for (const [from, to] of spans) {
    const last = out.at(-1);
    if (last !== undefined && text.slice(last[1], from).trim() === '')
      out[out.length - 1] = [last[0], Math.max(to, last[1])];
    else out.push([from, to]);
  }
  return out;
}

/** A cell of plain text. */
export function plainCell(text: string): Cell {
  const builder = new CellBuilder();
  builder.add(text);
  return builder.build();
}

/** A part of a cell, with its marks moved along. */
export function partOf(cell: Cell, start: number, stop = cell.text.length): Cell {
  const [from, to] = trimmed(cell.text, start, stop);
  const moved = (spans: readonly CellSpan[]) =>
    spans
      .map(([a, b]): CellSpan => [Math.max(a, from) - from, Math.min(b, to) - from])
      .filter(([a, b]) => b > a);
  return { ...cell, text: cell.text.slice(from, to), names: moved(cell.names), italics: moved(cell.italics) };
}

/** What the cells of a row say, for a comment. */
export function rowText(row: TableRow): string {
  return row.cells
    .map((c) => c.text)
    .filter((t) => t !== '')
    .join(' | ');
}
