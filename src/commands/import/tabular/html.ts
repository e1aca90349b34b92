/** Reads HTML: tables, lists and paragraphs. Nothing in it is run, and nothing is loaded. */
import { type DefaultTreeAdapterTypes, parse } from 'parse5';
import { addRows, emphasised, LineBuilder, type PlainLines } from './blocks.js';
import type { OwnDocument, OwnLead, OwnTableKey } from './own.js';
import { SIGNATURE } from './own.js';
import { type Cell, CellBuilder, EMPTY, type KeyTable, type TableRow } from './table.js';

type Node = DefaultTreeAdapterTypes.Node;
type Element = DefaultTreeAdapterTypes.Element;

/** What was read from a page. */
export interface Page {
  readonly tables: readonly KeyTable[];
  /** What `print` wrote; undefined when the page is none of its. */
  readonly own: OwnDocument | undefined;
  /** Paragraphs and lists as lines. */
  readonly plain: PlainLines;
}

/** Pages nest deeper than articles; deeper ones are cut off there. */
const DEEPEST = 400;
const MOST_CELLS = 200;
/** What is in these is not shown as text. */
const HIDDEN = new Set([
  'script',
  'style',
  'template',
  'noscript',
  'head',
  'svg',
  'math',
  'iframe',
  'object',
  'select',
  'textarea',
  'nav',
]);
const BLOCKS = new Set(
  'address article aside blockquote body center dd details dialog div dl dt fieldset figcaption figure footer form h1 h2 h3 h4 h5 h6 header hr html li main ol p pre section summary table tbody td tfoot th thead tr ul'.split(
    ' ',
  ),
);

/** Reads a page. */
export function readHtml(text: string): Page {
  const document = parse(text, { sourceCodeLocationInfo: true });
  const lines = new LineBuilder();
  const tables: KeyTable[] = [];
  const walker = new Walker(lines, tables);
  walker.walk(document, 0, 0);
  walker.flush();
  return { tables, own: ownPage(document), plain: lines.build() };
}

class Walker {
  #heading: string | undefined;
  #text = '';
  #line = 1;
  #depth = 0;
  #marker = '';

  constructor(
    readonly lines: LineBuilder,
    readonly tables: KeyTable[],
  ) {}

  walk(node: Node, nesting: number, lists: number): void {
    if (nesting > DEEPEST) return;
    if (node.nodeName === '#text') {
      const { value } = node as DefaultTreeAdapterTypes.TextNode;
      if (this.#text.trim() === '') {
        this.#line = lineOf(node) + leadingLines(value);
        this.#depth = lists;
      }
      this.#text += value.replace(/\s+/g, ' ');
      return;
    }
    const name = node.nodeName;
    if (HIDDEN.has(name)) return;
    if (name === 'br') {
      this.#text += '\n';
      return;
    }
    if (name === 'pre') {
      this.flush();
      this.lines.addAsSet(rawText(node), lineOf(node));
      this.lines.gap();
      return;
    }
    const block = BLOCKS.has(name);
    // A term and what is said of it stand on one line.
    if (block && name !== 'dd') this.flush();
    if (name === 'dd') this.#text += ' ';
    if (name === 'table' && this.#table(node as Element)) return;
    if (/^h[1-6]$/.test(name)) {
      this.#heading = textOf(node);
      this.lines.gap();
    }
    const inner = lists + (name === 'ul' || name === 'ol' ? 1 : 0);
    let number = Number(attribute(node, 'start') ?? 1);
    for (const child of childrenOf(node)) {
      if (child.nodeName === 'li') {
        this.flush();
        if (name === 'ol') this.#marker = `${Number(attribute(child, 'value') ?? number) || number}. `;
        number++;
      }
      const before = this.#text;
      if (child.nodeName === 'i' || child.nodeName === 'em') {
        this.#text = '';
        this.walk(child, nesting + 1, inner);
        this.#text = before + emphasised(this.#text);
      } else if (
        child.nodeName === 'a' &&
        /^#/.test(attribute(child, 'href') ?? '') &&
        before.trim() !== '' &&
        isLast(child, node)
      ) {
        // A link at the end leads on.
        this.#text = `${before.trimEnd()} .... `;
        this.walk(child, nesting + 1, inner);
      } else this.walk(child, nesting + 1, inner);
    }
    if (block && name !== 'dt') this.flush();
    if (/^(?:h[1-6]|p|table|ul|ol|dl)$/.test(name) && lists === 0) this.lines.gap();
  }

  flush(): void {
    const text = this.#text;
    this.#text = '';
    if (text.trim() === '') return;
    const marker = /^\s*[([]?\d/.test(text) ? '' : this.#marker;
    this.#marker = '';
    this.lines.add(`${marker}${text.trim()}`, this.#line, Math.max(0, this.#depth - 1));
  }

  /** Takes a table; true when nothing in its cells is more than a line of text. */
  #table(table: Element): boolean {
    const rows: TableRow[] = [];
    const spans = new Map<number, number>();
    let caption: string | undefined;
    const visit = (node: Node, depth: number): void => {
      for (const child of childrenOf(node)) {
        if (child.nodeName === 'caption') caption = textOf(child);
        else if (child.nodeName === 'tr') rows.push(rowOf(child as Element, spans));
        else if (depth < 3 && /^(?:thead|tbody|tfoot)$/.test(child.nodeName)) visit(child, depth + 1);
      }
    };
    visit(table, 0);
    const filled = rows.filter((r) => r.cells.some((c) => c.text !== ''));
    if (filled.length === 0) return false;
    const read = { title: caption ?? this.#heading, rows: filled, line: lineOf(table), declared: false };
    this.tables.push(read);
    // A table that only arranges a page holds paragraphs, lists and other tables.
    const plain = !descendants(table).some(
      (n) => BLOCKS.has(n.nodeName) && !/^(?:t[rdh]|tbody|thead|tfoot)$/.test(n.nodeName),
    );
    if (plain) addRows(this.lines, read);
    return plain;
  }
}

function rowOf(tr: Element, spans: Map<number, number>): TableRow {
  const cells: Cell[] = [];
  const reachDown = () => {
    for (let left = spans.get(cells.length) ?? 0; left > 0; left = spans.get(cells.length) ?? 0) {
      spans.set(cells.length, left - 1);
      cells.push(EMPTY);
    }
  };
  reachDown();
  for (const child of childrenOf(tr)) {
    if ((child.nodeName !== 'td' && child.nodeName !== 'th') || cells.length >= MOST_CELLS) continue;
    const span = (name: string) => Math.min(50, Math.max(1, Number(attribute(child, name)) || 1));
    const at = cells.length;
    cells.push(cellOf(child));
    for (let i = 1; i < span('colspan'); i++) cells.push(EMPTY);
    if (span('rowspan') > 1) for (let i = at; i < cells.length; i++) spans.set(i, span('rowspan') - 1);
    reachDown();
  }
  return { cells, line: lineOf(tr), lastLine: tr.sourceCodeLocation?.endLine ?? lineOf(tr) };
}

function cellOf(td: Node): Cell {
  const builder = new CellBuilder();
  const visit = (node: Node, depth: number): void => {
    if (depth > DEEPEST) return;
    for (const child of childrenOf(node)) {
      const name = child.nodeName;
      if (name === '#text') builder.add((child as DefaultTreeAdapterTypes.TextNode).value);
      if (HIDDEN.has(name)) continue;
      const block = BLOCKS.has(name) || name === 'br';
      if (block) builder.add(' ');
      if (name === 'i' || name === 'em') builder.open('italic');
      visit(child, depth + 1);
      if (name === 'i' || name === 'em') builder.close('italic');
      if (block) builder.add(' ');
    }
  };
  visit(td, 0);
  return builder.build();
}

/** Whether nothing but stops follows a child. */
function isLast(child: Node, parent: Node): boolean {
  const all = childrenOf(parent);
  return all.slice(all.indexOf(child as (typeof all)[number]) + 1).every((n) => /^[\s.;,]*$/.test(textOf(n)));
}

function childrenOf(node: Node): readonly Node[] {
  return 'childNodes' in node ? node.childNodes : [];
}

function attribute(node: Node, name: string): string | undefined {
  return 'attrs' in node ? node.attrs.find((a) => a.name === name)?.value : undefined;
}

function lineOf(node: Node): number {
  return node.sourceCodeLocation?.startLine ?? 1;
}

function leadingLines(text: string): number {
  return (/^\s*/.exec(text)?.[0] ?? '').split('\n').length - 1;
}

/** All text below a node, in single spaces. */
function textOf(node: Node, skip?: (n: Node) => boolean): string {
  return rawText(node, skip).replace(/\s+/g, ' ').trim();
}

/** All text below a node. */
function rawText(node: Node, skip: (n: Node) => boolean = () => false): string {
  let text = '';
  const todo: Node[] = [node];
  for (let n = todo.pop(); n !== undefined; n = todo.pop()) {
    if (n.nodeName === '#text') text += (n as DefaultTreeAdapterTypes.TextNode).value;
    if (skip(n)) continue;
    for (const child of [...childrenOf(n)].reverse()) todo.push(child);
  }
  return text;
}

/** A page that `print` wrote, by the classes that it gives to the parts. */
function ownPage(document: Node): OwnDocument | undefined {
  const all = descendants(document);
  const signature = all.find((n) => n.nodeName === 'meta' && attribute(n, 'name') === 'generator');
  const content = attribute(signature ?? document, 'content') ?? '';
  if (!SIGNATURE.test(content)) return undefined;
  const keys = all.filter((n) => n.nodeName === 'article' && hasClass(n, 'key')).map(ownKey);
  const terms = all
    .filter((n) => n.nodeName === 'section' && hasClass(n, 'terms'))
    .flatMap(descendants)
    .flatMap((n): [string, string][] => {
      if (n.nodeName !== 'div') return [];
      const [dt, dd] = childrenOf(n);
      return dt?.nodeName === 'dt' && dd?.nodeName === 'dd' ? [[textOf(dt), textOf(dd)]] : [];
    });
  return { keys, terms, signature: content };
}

function ownKey(article: Node): OwnTableKey {
  const all = descendants(article);
  const of = (name: string) => all.find((n) => hasClass(n, name));
  const title = all.find((n) => /^h[12]$/.test(n.nodeName));
  const imprint = of('imprint');
  return {
    title: title === undefined ? '' : textOf(title),
    imprint: imprint === undefined ? '' : textOf(imprint),
    leads: all.filter((n) => hasClass(n, 'lead')).map(ownLead),
  };
}

function ownLead(node: Node): OwnLead {
  const all = descendants(node);
  const label = all.find((n) => n.nodeName === 'b');
  const text = all.find((n) => hasClass(n, 'text'));
  const [words] = text === undefined ? [] : childrenOf(text);
  const end = all.find((n) => hasClass(n, 'end'));
  const notes = all.filter((n) => hasClass(n, 'lead-note')).map((n) => textOf(n));
  return {
    label: label === undefined ? '' : textOf(label),
    words: words === undefined ? '' : textOf(words, (n) => hasClass(n, 'end')),
    end: end === undefined ? undefined : textOf(end),
    note: notes.length === 0 ? undefined : notes.join('; '),
    level: Number(/--level:\s*(\d+)/.exec(attribute(node, 'style') ?? '')?.[1] ?? 0),
    line: lineOf(node),
  };
}

function hasClass(node: Node, name: string): boolean {
  return (attribute(node, 'class') ?? '').split(/\s+/).includes(name);
}

function descendants(node: Node): Node[] {
  const found: Node[] = [];
  const todo: Node[] = [...childrenOf(node)].reverse();
  for (let n = todo.pop(); n !== undefined; n = todo.pop()) {
    found.push(n);
    for (const child of [...childrenOf(n)].reverse()) todo.push(child);
  }
  return found;
}
