/** Tells which cells of a table hold the label, the words and the end of a lead. */
import { type RowLabel, readRowLabel } from './row-label.js';
import { type Cell, EMPTY, type KeyTable, partOf, type TableRow } from './table.js';

/** A row taken apart. */
export interface LeadRow {
  readonly row: TableRow;
  readonly label: RowLabel | undefined;
  readonly words: Cell;
  /** What stands in the cells of the ends, the leftmost first; none where the table has no such cells. */
  readonly ends: readonly Cell[];
}

/** What the columns of a table are for. */
interface Columns {
  /** How many cells the label takes: 0 where it stands before the words in one cell, 2 for `1 | a`. */
  readonly labels: 0 | 1 | 2;
  readonly words: number;
}

/** The rows of a table, taken apart; undefined when its columns are not those of a key. `own`: labels must have a cell of their own. */
export function leadRows(table: KeyTable, own = false): LeadRow[] | undefined {
  const rows = withoutEmptyColumns(table.rows);
  const columns = columnsOf(rows);
  if (columns === undefined || (own && columns.labels === 0)) return undefined;
  return rows.map((cells, i): LeadRow => {
    const row = table.rows[i] as TableRow;
    if (columns.labels === 0) {
      const { label, words } = cutLabel(cells[0] ?? EMPTY);
      return { row, label, words, ends: filled(cells.slice(1)) };
    }
    const written = cells
      .slice(0, columns.labels)
      .map((c) => c.text)
      .join('');
    const label = readRowLabel(written);
    if (label === undefined && written !== '') return { row, label, words: EMPTY, ends: [] };
    return { row, label, words: cells[columns.words] ?? EMPTY, ends: filled(cells.slice(columns.words + 1)) };
  });
}

/** Whether most rows begin with a label and many have an end; in keys that are set below each other, not all have. */
export function looksLikeKey(rows: readonly LeadRow[]): boolean {
  let begun = false;
  const leads = rows.filter((r) => {
    if (!/\p{L}{2}/u.test(r.words.text)) return false;
    if (r.label !== undefined) begun = true;
    // A second lead may have no label of its own.
    return r.label !== undefined || (begun && isEnded(r));
  });
  const ended = leads.filter(isEnded);
  return (
    begun && leads.length >= 2 && leads.length >= rows.length * 0.7 && ended.length >= leads.length * 0.4
  );
}

/** Whether a row says where its lead goes, in a cell of its own or behind dots or an arrow. */
export function isEnded({ ends, words }: Pick<LeadRow, 'ends' | 'words'>): boolean {
  return ends.length > 0 || /(?:\.{3,}|…|→)\s*\S/u.test(words.text);
}

function filled(cells: readonly Cell[]): Cell[] {
  return cells.filter((c) => c.text !== '' && !/^(?:\.{2,}|…+|(?:\.\s?)+|[-–—_]+)$/u.test(c.text));
}

/** Columns that are empty, or hold only dots, say nothing. */
function withoutEmptyColumns(rows: readonly TableRow[]): Cell[][] {
  const width = rows.reduce((most, r) => Math.max(most, r.cells.length), 0);
  const kept = Array.from({ length: width }, (_, i) => i).filter((i) =>
    rows.some((r) => !/^(?:[.…\s_]*)$/u.test(r.cells[i]?.text ?? '')),
  );
  return rows.map((r) => kept.map((i) => r.cells[i] ?? EMPTY));
}

function columnsOf(rows: readonly (readonly Cell[])[]): Columns | undefined {
  const width = rows.reduce((most, r) => Math.max(most, r.length), 0);
  const texts = rows.filter((r) => r.filter((c) => c.text !== '').length > 1);
  const longest = Array.from({ length: width }, (_, i) =>
    texts.reduce((sum, r) => sum + Math.min(r[i]?.text.length ?? 0, 400), 0),
  );
  const first = share(texts, (r) => isLabel(r[0]));
  if (width >= 3 && first > 0) {
    const second = share(
      texts,
      (r) =>
        /^[([]?(?:[a-hA-H]|[-–—])[\]).]?$/u.test(r[1]?.text ?? '') &&
        /^(?:[([]?\d{1,4}[\]).]?)?$/u.test(r[0]?.text ?? ''),
    );
    if (second > 0.6) return { labels: 2, words: wordsColumn(longest, 2) };
  }
  // A second lead without a label has an empty cell here.
  if (width >= 2 && first >= 0.2 && share(texts, (r) => isLabel(r[0]) || r[0]?.text === '') >= 0.6)
    return { labels: 1, words: wordsColumn(longest, 1) };
  if (width >= 2 && share(texts, (r) => cutLabel(r[0] ?? EMPTY).label !== undefined) >= 0.6)
    return { labels: 0, words: 0 };
  return undefined;
}

/** The words are in the first column after the label that has about as much text as any. */
function wordsColumn(longest: readonly number[], from: number): number {
  const most = longest.slice(from).reduce((max, n) => Math.max(max, n), 0);
  return longest.findIndex((n, i) => i >= from && n * 3 >= most);
}

function share(rows: readonly (readonly Cell[])[], test: (row: readonly Cell[]) => boolean): number {
  return rows.length === 0 ? 0 : rows.filter(test).length / rows.length;
}

function isLabel(cell: Cell | undefined): boolean {
  return cell !== undefined && readRowLabel(cell.text) !== undefined;
}

/** A label before the words: `1a. Leaves opposite`, `– Leaves alternate`. */
export function cutLabel(cell: Cell): { label: RowLabel | undefined; words: Cell } {
  const found =
    /^((?:[([]?\d{1,4}[\])]?[.:]?\s?(?:[a-hA-H](?![\p{L}])|['’‘′´`"″*+]{1,4})?[.:)]{0,2}(?:\s?[([]\s?\d[^()[\]]{0,20}[\])])?[.:)]?(?:\s[-–—])?|[-–—―−*•·]{1,3}\.?))(?:\s+|(?<=[.:)])(?=\p{Lu}))(?=\S)/u.exec(
      cell.text,
    );
  const label = found === null ? undefined : readRowLabel(found[1] as string);
  return label === undefined
    ? { label, words: cell }
    : { label, words: partOf(cell, (found as RegExpExecArray)[0].length) };
}
