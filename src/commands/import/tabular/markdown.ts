/** Reads Markdown: tables, lists and paragraphs, and what `print` writes. */
import { lexer, type Token, type Tokens } from 'marked';
import { parseFragment } from 'parse5';
import { addRows, emphasised, LineBuilder, type PlainLines } from './blocks.js';
import { type OwnDocument, type OwnLead, type OwnTableKey, SIGNATURE } from './own.js';
import { type Cell, CellBuilder, type KeyTable, type TableRow } from './table.js';

/** What was read from a text. */
export interface MarkdownText {
  readonly tables: readonly KeyTable[];
  readonly own: OwnDocument | undefined;
  readonly plain: PlainLines;
}

/** Lists nest no deeper than this in print. */
const DEEPEST = 60;

/** Reads a text. */
export function readMarkdown(text: string): MarkdownText {
  const tokens = lexer(text, { gfm: true });
  const lines = new LineBuilder();
  const tables: KeyTable[] = [];
  let heading: string | undefined;
  for (const { token, line } of placed(tokens, 1)) {
    if (token.type === 'heading') {
      heading = inlineText((token as Tokens.Heading).tokens);
      lines.gap();
      lines.add(heading, line);
      lines.gap();
    } else if (token.type === 'table') {
      const table = tableOf(token as Tokens.Table, line, heading);
      tables.push(table);
      addRows(lines, table);
    } else if (token.type === 'list') {
      addList(lines, token as Tokens.List, line, 0);
      lines.gap();
    } else if (token.type === 'paragraph' || token.type === 'text') {
      lines.add(inlineText((token as Tokens.Paragraph).tokens, true), line);
      lines.gap();
    } else if (token.type === 'code') {
      const fenced = /^\s*(?:```|~~~)/.test(token.raw) ? 1 : 0;
      lines.addAsSet((token as Tokens.Code).text, line + fenced);
      lines.gap();
    } else if (token.type === 'blockquote') {
      lines.add((token as Tokens.Blockquote).text, line);
      lines.gap();
    }
  }
  return { tables, own: ownText(text, tokens), plain: lines.build() };
}

/** Tokens with the lines on which they begin. */
function* placed(tokens: readonly Token[], first: number): Iterable<{ token: Token; line: number }> {
  let line = first;
  for (const token of tokens) {
    yield { token, line };
    for (let at = token.raw.indexOf('\n'); at >= 0; at = token.raw.indexOf('\n', at + 1)) line++;
  }
}

function addList(lines: LineBuilder, list: Tokens.List, first: number, depth: number): void {
  if (depth > DEEPEST) return;
  let number = Number(list.start) || 1;
  for (const { token, line } of placed(list.items, first)) {
    const item = token as Tokens.ListItem;
    let marker = list.ordered ? `${number}. ` : '';
    number++;
    for (const { token: child, line: at } of placed(item.tokens, line)) {
      if (child.type === 'list') addList(lines, child as Tokens.List, at, depth + 1);
      else if ('tokens' in child && child.tokens !== undefined) {
        const text = inlineText(child.tokens, true);
        lines.add(`${/^\s*[([]?\d/.test(text) ? '' : marker}${text}`, at, depth);
        marker = '';
      }
    }
  }
}

function tableOf({ header, rows, raw }: Tokens.Table, line: number, title: string | undefined): KeyTable {
  const all: TableRow[] = [];
  const add = (cells: readonly Tokens.TableCell[], at: number) => {
    const read = cells.map((c) => cellOf(c.tokens));
    if (read.some((c) => c.text !== '')) all.push({ cells: read, line: at, lastLine: at });
  };
  add(header, line);
  const skipped =
    raw.length - raw.trimStart().length > 0
      ? raw.slice(0, raw.length - raw.trimStart().length).split('\n').length - 1
      : 0;
  // Below the first row stands the line of dashes.
  for (const [i, row] of rows.entries()) add(row, line + skipped + 2 + i);
  return { title, rows: all, line, declared: false };
}

function cellOf(tokens: readonly Token[]): Cell {
  const builder = new CellBuilder();
  const visit = (list: readonly Token[]): void => {
    for (const token of list) {
      if (token.type === 'html') builder.add(' ');
      else if (token.type === 'em') {
        builder.open('italic');
        visit((token as Tokens.Em).tokens);
        builder.close('italic');
      } else if ('tokens' in token && token.tokens !== undefined) visit(token.tokens);
      else if (token.type === 'br') builder.add(' ');
      else builder.add(plain(token));
    }
  };
  visit(tokens);
  return builder.build();
}

/** The text of inline tokens; `marked`: emphasis as plain texts of books have it. */
function inlineText(tokens: readonly Token[], marked = false): string {
  return tokens
    .map((token): string => {
      if (token.type === 'br') return '\n';
      if (token.type === 'html') return '';
      const inner =
        'tokens' in token && token.tokens !== undefined ? inlineText(token.tokens, marked) : plain(token);
      return marked && token.type === 'em' ? emphasised(inner) : inner;
    })
    .join('');
}

/** The text of a token that has no others in it. */
function plain(token: Token): string {
  const text = 'text' in token && typeof token.text === 'string' ? token.text : token.raw;
  if (token.type === 'escape' || !text.includes('&')) return text;
  const [node] = parseFragment(text.replace(/</g, '&lt;')).childNodes;
  return node !== undefined && 'value' in node ? node.value : text;
}

/** A text that `print` wrote: a heading, an imprint, then leads that begin with a label in bold. */
function ownText(text: string, tokens: readonly Token[]): OwnDocument | undefined {
  const last = tokens.findLast((t) => t.type === 'paragraph') as Tokens.Paragraph | undefined;
  const signature = last === undefined ? '' : inlineText(last.tokens).trim();
  if (!SIGNATURE.test(signature)) return undefined;
  const labels = new Set(
    Array.from(text.matchAll(/\*\*([A-Za-z0-9][A-Za-z0-9.\\]*[a-z])\*\*/g), (m) =>
      (m[1] as string).replace(/\\/g, ''),
    ),
  );
  const keys: { title: string; imprint: string; leads: OwnLead[] }[] = [];
  let title: string | undefined;
  let key: (typeof keys)[number] | undefined;
  let terms: [string, string][] = [];
  for (const { token, line } of placed(tokens, 1)) {
    if (token.type === 'heading') {
      title = inlineText((token as Tokens.Heading).tokens);
      key = undefined;
    } else if (token.type === 'paragraph') {
      const inline = (token as Tokens.Paragraph).tokens;
      const text = inlineText(inline);
      if (
        title !== undefined &&
        key === undefined &&
        /^Version \S+?(?:, \d{4}-\d{2}-\d{2})?\.(?:\s|$)/.test(text)
      ) {
        key = { title, imprint: text, leads: [] };
        keys.push(key);
      } else if (key !== undefined && labelOf(inline) !== undefined)
        for (const { inline: one, line: at } of atBreaks(inline, line)) {
          const lead = ownLead(one, at, 0, labels);
          if (lead === undefined) return undefined;
          key.leads.push(lead);
        }
    } else if (token.type === 'list') {
      const list = token as Tokens.List;
      if (key !== undefined && !ownList(list, line, 0, key.leads, labels)) return undefined;
      if (title === 'Terms')
        terms = list.items.flatMap((item): [string, string][] => {
          const inline = inlineOf(item);
          const term = labelOf(inline, /./);
          return term === undefined ? [] : [[term, inlineText(inline.slice(1)).replace(/^:\s*/, '')]];
        });
    }
  }
  return { keys: keys.filter((k): k is OwnTableKey & typeof k => k.leads.length > 0), terms, signature };
}

/** Leads that stand below each other. */
function ownList(
  list: Tokens.List,
  first: number,
  level: number,
  leads: OwnLead[],
  labels: ReadonlySet<string>,
): boolean {
  if (level > DEEPEST) return false;
  for (const { token, line } of placed(list.items, first)) {
    const item = token as Tokens.ListItem;
    const inline = inlineOf(item);
    if (labelOf(inline) === undefined) {
      // The scope of the key stands in the same list when nothing is between the two.
      if (level === 0 && leads.length === 0) continue;
      return false;
    }
    const lead = ownLead(inline, line, level, labels);
    if (lead === undefined) return false;
    leads.push(lead);
    for (const { token: child, line: at } of placed(item.tokens, line))
      if (child.type === 'list' && !ownList(child as Tokens.List, at, level + 1, leads, labels)) return false;
  }
  return true;
}

function inlineOf(item: Tokens.ListItem): readonly Token[] {
  const first = item.tokens.find((t) => t.type === 'text' || t.type === 'paragraph') as
    | Tokens.Paragraph
    | undefined;
  return first?.tokens ?? [];
}

function labelOf([first]: readonly Token[], form = /^[A-Za-z0-9][A-Za-z0-9.]*[a-z]$/): string | undefined {
  const text = first?.type === 'strong' ? inlineText((first as Tokens.Strong).tokens) : '';
  return form.test(text) ? text : undefined;
}

function* atBreaks(tokens: readonly Token[], first: number): Iterable<{ inline: Token[]; line: number }> {
  let line = first;
  let inline: Token[] = [];
  for (const token of tokens) {
    if (token.type !== 'br') {
      inline.push(token);
      continue;
    }
    yield { inline, line };
    inline = [];
    line++;
  }
  yield { inline, line };
}

/** `**5a** (4b) Words → *Name* \[note\]`. */
function ownLead(
  tokens: readonly Token[],
  line: number,
  level: number,
  labels: ReadonlySet<string>,
): OwnLead | undefined {
  const label = labelOf(tokens);
  if (label === undefined) return undefined;
  let text = '';
  const bold: number[] = [];
  for (const token of tokens.slice(1)) {
    if (token.type === 'strong') bold.push(text.length);
    text += inlineText([token]);
  }
  const back = /^ \(([^()]+)\) /.exec(text);
  const from = (back?.[1] ?? '').split(', ');
  // Only the first lead of a couplet says from where it is reached: `4b`, or `other-key 4b`.
  const reached =
    label.endsWith('a') && from.every((b) => labels.has(b) || /^[a-z0-9-]+ [A-Za-z0-9.]*\d[a-z]+$/.test(b));
  const start = reached && back !== null ? back[0].length : 0;
  const marked = bold.find((at) => text.slice(0, at).endsWith(' → '));
  const stop = marked === undefined ? noteStart(text) : undefined;
  const arrow = marked === undefined ? text.lastIndexOf(' → ', stop) : marked - 3;
  if (arrow < 0 || arrow < start - 1) {
    const { words, note } = withNote(text.slice(start));
    return { label, words, end: undefined, note, level, line };
  }
  const { words: end, note } = withNote(text.slice(arrow + 3));
  return { label, words: text.slice(start, arrow).trim(), end, note, level, line };
}

/** Where the brackets at the end of a text begin; its length where there are none. */
function noteStart(text: string): number {
  if (!text.trimEnd().endsWith(']')) return text.length;
  let depth = 0;
  for (let i = text.length - 1; i >= 0; i--) {
    if (text[i] === ']') depth++;
    else if (text[i] === '[' && --depth === 0) return noteStart(text.slice(0, i).trimEnd());
  }
  return text.length;
}

function withNote(text: string): { words: string; note: string | undefined } {
  const at = noteStart(text);
  const note = text.slice(at).trim();
  return {
    words: text.slice(0, at).trim(),
    note: note === '' ? undefined : note.slice(1, -1).replace(/\] \[/g, '; '),
  };
}
