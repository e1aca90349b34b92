/** Reads the text of a Word document: tables and paragraphs, with the numbers of its lists. A line is a paragraph or a row. */
import { SaxesParser, type SaxesTagNS } from 'saxes';
import { quoted } from '../../../text/harmless.js';
import type { Remark } from '../linked.js';
import { emphasised, LineBuilder, type PlainLines } from './blocks.js';
import { type Cell, CellBuilder, EMPTY, type KeyTable, rowText, type TableRow } from './table.js';
import { attributeOf, WordLists } from './word-lists.js';

/** What was read from a document. */
export interface WordText {
  /** All paragraphs and rows, one a line; places are places in it. */
  readonly text: string;
  readonly tables: readonly KeyTable[];
  /** Paragraphs, with the lines that they have in `text`. */
  readonly plain: PlainLines;
  readonly remarks: readonly Remark[];
}

const DEEPEST = 120;
const MOST_CELLS = 200;
/** Text in these is not part of the running text: deleted, instructions of fields, what older programs show instead. */
const SILENT = new Set(['del', 'moveFrom', 'instrText', 'Fallback', 'txbxContent', 'pict']);
/** Twips of an indent that are one step in an outline. */
const STEP = 360;

/** Reads a document from its XML. */
export function readWord(body: string, numbering: string | undefined): WordText {
  return new WordReader(body, new WordLists(numbering)).read();
}

interface OpenParagraph {
  text: string;
  list: string | undefined;
  level: number;
  indent: number;
  heading: boolean;
}

interface OpenCell {
  readonly builder: CellBuilder;
  span: number;
  merged: boolean;
}

class WordReader {
  readonly #parser = new SaxesParser<{ xmlns: true; position: true }>({ xmlns: true, position: true });
  readonly #stack: string[] = [];
  readonly #lines: string[] = [];
  readonly #plain = new LineBuilder();
  readonly #tables: KeyTable[] = [];
  readonly #remarks: Remark[] = [];
  #silent = 0;
  #paragraph: OpenParagraph | undefined;
  #italic = false;
  #run = '';
  #heading: string | undefined;
  #table: { readonly rows: TableRow[]; cells: Cell[]; readonly depth: number } | undefined;
  #cell: OpenCell | undefined;

  constructor(
    readonly body: string,
    readonly lists: WordLists,
  ) {
    this.#parser.on('opentagstart', ({ name }) => {
      if (this.#stack.length >= DEEPEST)
        throw new Error(`elements are nested more than ${DEEPEST} deep at ${quoted(name)}`);
    });
    this.#parser.on('opentag', (tag) => this.#open(tag));
    this.#parser.on('closetag', (tag) => this.#close(tag.local));
    this.#parser.on('text', (text) => {
      if (this.#silent === 0 && this.#stack.at(-1) === 't') this.#run += text;
    });
    this.#parser.on('error', (error) => {
      throw error;
    });
  }

  read(): WordText {
    try {
      this.#parser.write(this.body).close();
    } catch (error) {
      const why = String((error as Error).message).replace(/^(undefined:)?\d+:\d+: /, '');
      this.#remarks.push({
        rule: 'xml-syntax',
        level: 'error',
        line: Math.max(1, this.#lines.length),
        message: `the document cannot be read from here on: ${why}`,
      });
    }
    this.#closeTable();
    return {
      text: `${this.#lines.join('\n')}\n`,
      tables: this.#tables,
      plain: this.#plain.build(),
      remarks: this.#remarks,
    };
  }

  #open(tag: SaxesTagNS): void {
    const { local } = tag;
    const parent = this.#stack.at(-1);
    this.#stack.push(local);
    if (this.#silent > 0 || SILENT.has(local)) {
      this.#silent++;
      return;
    }
    const paragraph = this.#paragraph;
    const value = attributeOf(tag, 'val') ?? '';
    if (local === 'p') this.#paragraph = { text: '', list: undefined, level: 0, indent: 0, heading: false };
    else if (local === 'r') {
      this.#italic = false;
      this.#run = '';
    } else if (local === 'i' && parent === 'rPr') this.#italic = !/^(?:0|false)$/.test(value);
    else if (local === 'tab' && parent === 'r') this.#run += '\t';
    else if ((local === 'br' || local === 'cr') && parent === 'r') this.#run += '\n';
    else if (local === 'noBreakHyphen') this.#run += '-';
    else if (paragraph !== undefined && local === 'numId') paragraph.list = value === '0' ? undefined : value;
    else if (paragraph !== undefined && local === 'ilvl') paragraph.level = Math.min(8, Number(value) || 0);
    else if (paragraph !== undefined && local === 'ind')
      paragraph.indent = Number(attributeOf(tag, 'left') ?? attributeOf(tag, 'start')) || 0;
    else if (paragraph !== undefined && local === 'pStyle')
      paragraph.heading = /^(?:heading|title|überschrift|titel)/i.test(value);
    else if (local === 'tbl' && this.#table === undefined)
      this.#table = { rows: [], cells: [], depth: this.#stack.length };
    else if (this.#table !== undefined && this.#table.depth + 1 === this.#stack.length && local === 'tr')
      this.#table.cells = [];
    else if (this.#table !== undefined && local === 'tc' && this.#cell === undefined)
      this.#cell = { builder: new CellBuilder(), span: 1, merged: false };
    else if (this.#cell !== undefined && local === 'gridSpan')
      this.#cell.span = Math.min(50, Math.max(1, Number(value) || 1));
    else if (this.#cell !== undefined && local === 'vMerge') this.#cell.merged = value !== 'restart';
  }

  #close(local: string): void {
    const depth = this.#stack.length;
    this.#stack.pop();
    if (this.#silent > 0) {
      this.#silent--;
      return;
    }
    if (local === 'r') this.#closeRun();
    else if (local === 'p') this.#closeParagraph();
    else if (this.#table !== undefined && local === 'tc' && depth === this.#table.depth + 2)
      this.#closeCell(this.#table);
    else if (this.#table !== undefined && local === 'tr' && depth === this.#table.depth + 1)
      this.#closeRow(this.#table);
    else if (this.#table !== undefined && local === 'tbl' && depth === this.#table.depth) this.#closeTable();
  }

  /** The table ends, or the document breaks off in it. */
  #closeTable(): void {
    const rows = this.#table?.rows ?? [];
    if (rows.length > 0)
      this.#tables.push({ title: this.#heading, rows, line: rows[0]?.line ?? 1, declared: false });
    this.#table = undefined;
  }

  #closeRun(): void {
    const text = this.#run;
    this.#run = '';
    if (this.#cell !== undefined) {
      if (this.#italic) this.#cell.builder.open('italic');
      this.#cell.builder.add(text);
      if (this.#italic) this.#cell.builder.close('italic');
    } else if (this.#paragraph !== undefined) this.#paragraph.text += this.#italic ? emphasised(text) : text;
  }

  #closeParagraph(): void {
    const paragraph = this.#paragraph;
    this.#paragraph = undefined;
    if (paragraph === undefined) return;
    const label = paragraph.list === undefined ? '' : this.lists.next(paragraph.list, paragraph.level);
    if (this.#cell !== undefined) {
      // The number of the list stands before what the paragraph says, which is already in the cell.
      if (label !== '') this.#cell.builder.prefix(`${label} `);
      this.#cell.builder.add(' ');
      return;
    }
    // Stretches of italics that nothing parts are one.
    const words = paragraph.text.replace(/_(\s*)_/g, '$1');
    const text = ended(label === '' ? words : `${label} ${words}`);
    this.#lines.push(text.replace(/\s+/g, ' ').trim());
    if (text.trim() === '') {
      this.#plain.gap();
      return;
    }
    if (paragraph.heading || (label === '' && /^.{3,120}$/.test(words.trim()) && !/^\W*\d/.test(words)))
      this.#heading = words.replace(/_/g, '').trim();
    if (paragraph.heading) this.#plain.gap();
    const steps = paragraph.list === undefined ? Math.round(paragraph.indent / STEP) : paragraph.level;
    this.#plain.add(text, this.#lines.length, Math.min(12, steps));
    if (paragraph.heading) this.#plain.gap();
  }

  #closeCell(table: { cells: Cell[] }): void {
    const { builder, span, merged } = this.#cell as OpenCell;
    this.#cell = undefined;
    if (table.cells.length >= MOST_CELLS) return;
    table.cells.push(merged ? EMPTY : builder.build());
    for (let i = 1; i < span; i++) table.cells.push(EMPTY);
  }

  #closeRow(table: { rows: TableRow[]; cells: Cell[] }): void {
    const line = this.#lines.length + 1;
    const row = { cells: table.cells, line, lastLine: line };
    this.#lines.push(rowText(row));
    if (table.cells.some((c) => c.text !== '')) table.rows.push(row);
  }
}

/** A tab before the last words of a paragraph leads to the end of the lead. */
function ended(text: string): string {
  const at = text.trimEnd().lastIndexOf('\t');
  if (at < 12 || text.length - at > 90) return text;
  return `${text.slice(0, at).trimEnd()} .... ${text.slice(at + 1).trim()}`;
}
