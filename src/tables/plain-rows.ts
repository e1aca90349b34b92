/** Cuts lines in which nothing can be wrong into cells, with Papa Parse; whatever looks odd is left to `cutRow`. */
import Papa from 'papaparse';

/** Papa Parse would replace these by another delimiter. */
const NO_DELIMITERS: readonly string[] = Papa.BAD_DELIMITERS;

const NO_CELLS: string[] = [];

/** Cuts whole lines of one table. */
export class PlainRows {
  readonly #unquoted: Papa.Parser;
  readonly #quoted: Papa.Parser;
  /** A blank that is no space after a quote, or after the spaces that follow it: only spaces may follow the closing one. */
  readonly #oddQuote: RegExp;
  readonly #able: boolean;

  constructor(
    readonly delimiter: string,
    readonly quote: string,
  ) {
    const signs = { delimiter, newline: '\n' as const };
    this.#able = !NO_DELIMITERS.includes(delimiter);
    this.#unquoted = new Papa.Parser({ ...signs, fastMode: true });
    this.#quoted = new Papa.Parser({ ...signs, quoteChar: quote, escapeChar: quote, fastMode: false });
    const sign = literal(delimiter);
    this.#oddQuote = new RegExp(`${literal(quote)} *(?!${sign})[^\\S\\n ]`);
  }

  /**
   * The cells of lines without a quote, a row for each line. Blank lines are rows without cells; a line of nothing but
   * tabs is not blank where tabs part the cells.
   */
  unquoted(lines: string): string[][] {
    const text = withoutReturns(lines);
    // Papa Parse sees no row in an empty text.
    const cut = this.#able && text !== '' ? rowsOf(this.#unquoted, text) : undefined;
    const rows = cut ?? text.split('\n').map((line) => line.split(this.delimiter));
    for (let i = 0; i < rows.length; i++) {
      const cells = rows[i] as string[];
      for (let c = 0; c < cells.length; c++) {
        const cell = cells[c] as string;
        if (toTrim(cell)) cells[c] = cell.trim();
      }
      if (cells.length === 1 && cells[0] === '') rows[i] = NO_CELLS;
    }
    return rows;
  }

  /** The same of `count` lines that have quotes; undefined when one of them may be more or less than a good row. */
  quoted(lines: string, count: number): string[][] | undefined {
    const text = withoutReturns(lines);
    if (!this.#able || this.#oddQuote.test(text)) return undefined;
    const rows = rowsOf(this.#quoted, text);
    const good =
      rows?.length === count &&
      rows.every((cells) => cells.every((c) => !toTrim(c) && !c.includes(this.quote)));
    return good ? rows : undefined;
  }
}

/** The rows of a text; undefined when Papa Parse finds something wrong. */
function rowsOf(parser: Papa.Parser, text: string): string[][] | undefined {
  const { data, errors } = parser.parse(text, 0, false) as Papa.ParseResult<string[]>;
  return errors.length > 0 ? undefined : data;
}

/** Whether a cell may begin or end with blanks; far faster than trimming each. */
function toTrim(cell: string): boolean {
  const last = cell.length - 1;
  return last >= 0 && (isEdge(cell.charCodeAt(0)) || isEdge(cell.charCodeAt(last)));
}

/** Whether a sign is a blank, or may be: blanks are controls, the space, or signs from the no-break space on. */
function isEdge(code: number): boolean {
  return code <= 32 || code >= 160;
}

function withoutReturns(lines: string): string {
  return lines.includes('\r') ? lines.replaceAll('\r\n', '\n').replace(/\r$/, '') : lines;
}

/** A sign as it is written in a pattern to mean itself. */
export function literal(sign: string): string {
  return sign.replace(/[\\^$.*+?()[\]{}|/-]/g, '\\$&');
}
