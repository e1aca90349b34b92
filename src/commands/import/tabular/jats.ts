/** Reads articles in JATS with TaxPub (NISO Z39.96): their keys stand in tables, their head says whose they are. */
import { SaxesParser, type SaxesTagNS } from 'saxes';
import { quoted } from '../../../text/harmless.js';
import type { Remark } from '../linked.js';
import { aboutOf, emptyFront, type Front } from './article-head.js';
import { type About, type Cell, CellBuilder, EMPTY, type KeyTable, type TableRow } from './table.js';

/** What was read from an article. */
export interface Article {
  readonly tables: readonly KeyTable[];
  readonly about: About | undefined;
  readonly remarks: readonly Remark[];
  /** Whole names by those that the article shortens. */
  readonly full: ReadonlyMap<string, string>;
}

/** No article nests deeper, and the parser searches all open elements for a namespace. */
const DEEPEST = 120;
/** No row of a key has more cells. */
const MOST_CELLS = 200;

/** Reads an article. Faults of the XML are remarks; what stands before the first is read. */
export function readArticle(text: string): Article {
  return new ArticleReader(text).read();
}

interface OpenTable {
  title: string;
  readonly rows: TableRow[];
  readonly line: number;
  readonly declared: boolean;
  cells: Cell[];
  rowLine: number;
  /** Cells that reach down from rows above: how many rows more, by column. */
  readonly spans: Map<number, number>;
}

interface OpenCell {
  readonly builder: CellBuilder;
  readonly columns: number;
  readonly rows: number;
}

class ArticleReader {
  readonly #parser = new SaxesParser<{ xmlns: true; position: true }>({ xmlns: true, position: true });
  readonly #stack: string[] = [];
  readonly #titles: (string | undefined)[] = [];
  readonly #tables: KeyTable[] = [];
  readonly #remarks: Remark[] = [];
  readonly #front: Front = emptyFront();
  #isArticle = false;
  #table: OpenTable | undefined;
  #wrap: { declared: boolean; title: string } | undefined;
  #cell: OpenCell | undefined;
  /** Text that is gathered now, by the element that it belongs to. */
  #words: { readonly depth: number; text: string; readonly done: (text: string) => void } | undefined;
  /** Elements whose text is left out, such as identifiers inside names. */
  #silent = 0;
  #dateKind = '';
  /** The name that is read now; the part of it that is; whether the last part has just ended; a shortened genus in it. */
  #name: string | undefined;
  #part: { readonly reg: string; text: string } | undefined;
  #partEnded = false;
  #short: { readonly reg: string; readonly text: string } | undefined;
  readonly #full = new Map<string, string>();

  constructor(readonly text: string) {
    this.#parser.on('opentagstart', ({ name }) => {
      if (this.#stack.length >= DEEPEST)
        throw new Error(`elements are nested more than ${DEEPEST} deep at ${quoted(name)}`);
    });
    this.#parser.on('opentag', (tag) => this.#open(tag));
    this.#parser.on('closetag', (tag) => this.#close(tag.local));
    this.#parser.on('text', (text) => this.#text(text));
    this.#parser.on('cdata', (text) => this.#text(text));
    this.#parser.on('error', (error) => {
      // An entity of a document type that is not read here stays as it is written.
      if (!/undefined entity/i.test(error.message)) throw error;
      this.#remark('warning', `${why(error)}; it is kept as it is written`);
    });
  }

  read(): Article {
    try {
      this.#parser.write(this.text).close();
    } catch (error) {
      this.#remark('error', `the XML cannot be read from here on: ${why(error as Error)}`);
    }
    if (this.#table !== undefined) this.#closeTable(this.#table);
    const about = this.#isArticle ? aboutOf(this.#front) : undefined;
    return { tables: this.#tables, about, remarks: this.#remarks, full: this.#full };
  }

  #remark(level: Remark['level'], message: string): void {
    this.#remarks.push({ rule: 'xml-syntax', level, line: Math.max(1, this.#parser.line), message });
  }

  #within(...names: readonly string[]): boolean {
    return names.every((name) => this.#stack.includes(name));
  }

  #open(tag: SaxesTagNS): void {
    const { local } = tag;
    const parent = this.#stack.at(-1);
    this.#stack.push(local);
    if (local === 'article' && this.#stack.length === 1) {
      this.#isArticle = true;
      this.#front.language = /^[a-z]{2,3}$/.exec(attribute(tag, 'lang')?.toLowerCase() ?? '')?.[0];
    }
    if (this.#silent > 0 || SILENT.has(local)) {
      this.#silent++;
      return;
    }
    if (this.#cell !== undefined) this.#openInCell(tag);
    else if (this.#table !== undefined) this.#openInTable(tag, this.#table);
    else if (this.#words === undefined) {
      if (local === 'sec' || local === 'treatment-sec' || local === 'app' || local === 'boxed-text')
        this.#titles.push(undefined);
      if (this.#within('front') || this.#within('article-meta')) this.#openInFront(tag, parent);
      if (local === 'table-wrap')
        this.#wrap = { declared: /\bkey\b/i.test(attribute(tag, 'content-type') ?? ''), title: '' };
      else if (local === 'table')
        this.#table = {
          title: this.#titleHere(),
          rows: [],
          line: this.#parser.line,
          declared: this.#wrap?.declared === true || /\bkey\b/i.test(attribute(tag, 'content-type') ?? ''),
          cells: [],
          rowLine: this.#parser.line,
          spans: new Map(),
        };
      else if (local === 'title' && SECTIONS.has(parent ?? ''))
        this.#gather((text) => {
          if (this.#titles.length > 0) this.#titles[this.#titles.length - 1] = text;
        });
      else if (this.#wrap !== undefined && (local === 'title' || local === 'p') && parent === 'caption') {
        const wrap = this.#wrap;
        this.#gather((text) => {
          if (wrap.title === '') wrap.title = text;
        });
      }
    }
  }

  #titleHere(): string {
    const own = this.#wrap?.title ?? '';
    if (own !== '') return own;
    return this.#titles.findLast((t) => t !== undefined && t !== '') ?? '';
  }

  #gather(done: (text: string) => void): void {
    this.#words = { depth: this.#stack.length, text: '', done };
  }

  #openInFront(tag: SaxesTagNS, parent: string | undefined): void {
    const front = this.#front;
    const { local } = tag;
    const set = (name: 'title' | 'journal' | 'volume' | 'issue' | 'first' | 'last' | 'elocation' | 'doi') =>
      this.#gather((text) => {
        if (front[name] === '') front[name] = text;
      });
    const author = front.authors.at(-1);
    if (local === 'article-title' && parent === 'title-group') {
      front.line = this.#parser.line;
      set('title');
    } else if (local === 'journal-title') set('journal');
    else if (parent === 'article-meta' && local === 'volume') set('volume');
    else if (parent === 'article-meta' && local === 'issue') set('issue');
    else if (parent === 'article-meta' && local === 'fpage') set('first');
    else if (parent === 'article-meta' && local === 'lpage') set('last');
    else if (parent === 'article-meta' && local === 'elocation-id') set('elocation');
    else if (local === 'article-id' && attribute(tag, 'pub-id-type') === 'doi') set('doi');
    else if (local === 'contrib' && (attribute(tag, 'contrib-type') ?? 'author').toLowerCase() === 'author')
      front.authors.push({ given: '', surname: '', whole: '' });
    else if (
      author !== undefined &&
      this.#within('contrib') &&
      ['surname', 'given-names', 'collab', 'string-name'].includes(local)
    )
      this.#gather((text) => {
        if (local === 'surname' && author.surname === '') author.surname = text;
        else if (local === 'given-names' && author.given === '') author.given = text;
        else if (author.whole === '') author.whole = text;
      });
    else if (local === 'pub-date')
      this.#dateKind = attribute(tag, 'pub-type') ?? attribute(tag, 'date-type') ?? '';
    else if (local === 'year' && parent === 'pub-date')
      this.#gather((text) => {
        if (front.year === '' || this.#dateKind === 'epub') front.year = text;
      });
    else if (
      local === 'license' ||
      local === 'license_ref' ||
      (local === 'ext-link' && this.#within('license'))
    ) {
      const link = attribute(tag, 'href') ?? '';
      if (link !== '' && front.link === '') front.link = link;
      if (local === 'license')
        this.#gather((text) => (front.terms = front.terms === '' ? text : front.terms));
      if (local === 'license_ref')
        this.#gather((text) => (front.link = front.link === '' ? text : front.link));
      front.line = this.#parser.line;
    }
  }

  #openInTable(tag: SaxesTagNS, table: OpenTable): void {
    const { local } = tag;
    if (local === 'tr') {
      table.cells = [];
      table.rowLine = this.#parser.line;
      this.#reachDown(table);
    } else if (local === 'td' || local === 'th') {
      if (table.cells.length >= MOST_CELLS) return;
      const span = (name: string) => Math.min(50, Math.max(1, Number(attribute(tag, name)) || 1));
      this.#cell = { builder: new CellBuilder(), columns: span('colspan'), rows: span('rowspan') };
    }
  }

  /** Leaves places for cells that reach down from the rows above. */
  #reachDown(table: OpenTable): void {
    for (
      let left = table.spans.get(table.cells.length) ?? 0;
      left > 0;
      left = table.spans.get(table.cells.length) ?? 0
    ) {
      table.spans.set(table.cells.length, left - 1);
      table.cells.push(EMPTY);
    }
  }

  #openInCell(tag: SaxesTagNS): void {
    const { local } = tag;
    const builder = this.#cell?.builder;
    if (BLOCKS.has(local)) builder?.add(' ');
    if (local === 'taxon-name') {
      this.#name = '';
      this.#partEnded = false;
      builder?.open('name');
    } else if (local === 'italic') builder?.open('italic');
    else if (local === 'xref') builder?.open('figure');
    else if (local === 'taxon-name-part') {
      // Parts of a name that nothing parts are still words of their own.
      if (this.#partEnded) builder?.add(' ');
      const reg = attribute(tag, 'reg') ?? '';
      this.#part =
        reg !== '' && attribute(tag, 'taxon-name-part-type') === 'genus' ? { reg, text: '' } : undefined;
    }
  }

  #text(text: string): void {
    if (this.#silent > 0) return;
    if (this.#cell !== undefined) {
      this.#partEnded = false;
      if (this.#name !== undefined) this.#name += text;
      if (this.#part !== undefined) this.#part.text += text;
      this.#cell.builder.add(text);
    } else if (this.#words !== undefined) this.#words.text += text;
  }

  #close(local: string): void {
    const depth = this.#stack.length;
    this.#stack.pop();
    if (this.#silent > 0) {
      this.#silent--;
      return;
    }
    if (this.#words !== undefined) {
      if (this.#words.depth !== depth) return;
      const { text, done } = this.#words;
      this.#words = undefined;
      done(text.replace(/\s+/g, ' ').trim());
      return;
    }
    if (this.#cell !== undefined) this.#closeInCell(local);
    else if (this.#table !== undefined) this.#closeInTable(local, this.#table);
    else if (local === 'table-wrap') this.#wrap = undefined;
    else if (local === 'sec' || local === 'treatment-sec' || local === 'app' || local === 'boxed-text')
      this.#titles.pop();
  }

  /** A name with a shortened genus, of which the markup says the whole. */
  #nameEnded(): void {
    const name = (this.#name ?? '').replace(/\s+/g, ' ').trim();
    const short = this.#short?.text.trim();
    if (short !== undefined && name.startsWith(short))
      this.#full.set(
        name.replace(short, `${short} `).replace(/\s+/g, ' ').trim(),
        name.replace(short, `${this.#short?.reg} `).replace(/\s+/g, ' ').trim(),
      );
    this.#name = undefined;
    this.#short = undefined;
    this.#partEnded = false;
  }

  #closeInCell(local: string): void {
    const { builder, columns, rows } = this.#cell as OpenCell;
    if (local === 'taxon-name') {
      builder.close('name');
      this.#nameEnded();
    } else if (local === 'taxon-name-part') {
      this.#partEnded = true;
      if (this.#part !== undefined && /^\p{Lu}\p{Ll}{0,3}\.$/u.test(this.#part.text.trim()))
        this.#short = this.#part;
      this.#part = undefined;
    } else if (local === 'italic') builder.close('italic');
    else if (local === 'xref') builder.close('figure');
    else if (local === 'td' || local === 'th') {
      const table = this.#table as OpenTable;
      const at = table.cells.length;
      table.cells.push(builder.build());
      for (let i = 1; i < columns; i++) table.cells.push(EMPTY);
      if (rows > 1) for (let i = 0; i < columns; i++) table.spans.set(at + i, rows - 1);
      this.#cell = undefined;
      this.#reachDown(table);
      return;
    }
    if (BLOCKS.has(local)) builder.add(' ');
  }

  #closeInTable(local: string, table: OpenTable): void {
    if (local === 'tr') {
      if (table.cells.some((c) => c.text !== ''))
        table.rows.push({ cells: table.cells, line: table.rowLine, lastLine: this.#parser.line });
    } else if (local === 'table') this.#closeTable(table);
  }

  /** The table ends, or the article breaks off in it. */
  #closeTable({ rows, line, declared, title }: OpenTable): void {
    this.#tables.push({ rows, line, declared, title: title === '' ? undefined : title });
    this.#table = undefined;
  }
}

/** Text inside these is not part of what is printed. */
const SILENT = new Set(['object-id', 'processing-meta', 'email', 'alternatives']);
const SECTIONS = new Set(['sec', 'treatment-sec', 'app', 'boxed-text']);
/** Elements that begin a new line in print. */
const BLOCKS = new Set(['p', 'break', 'list', 'list-item', 'disp-quote']);

function attribute(tag: SaxesTagNS, local: string): string | undefined {
  return Object.values(tag.attributes).find((a) => a.local === local)?.value;
}

function why(error: Error): string {
  return error.message.replace(/^(undefined:)?\d+:\d+: /, '');
}
