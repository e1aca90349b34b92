/** Changes the text of a key file in single places, so that comments and layout stay as they are elsewhere. */
import {
  type Alias,
  isAlias,
  isCollection,
  isMap,
  isPair,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  parseDocument,
  Scalar,
  visit,
  type YAMLMap,
  type YAMLSeq,
} from 'yaml';
import type { Edit, Path } from '../diagnostic/finding.js';
import { Lines } from '../diagnostic/lines.js';
import { plainLines } from '../text/words.js';
import type { Data } from './document.js';
import { edited, type Stretch } from './edits.js';
import { flowList, flowMap, idScalar, WIDTH } from './scalars.js';
import { inline } from './write.js';

type YamlCollection = YAMLMap | YAMLSeq;

/** The text of a key file, and the changes that are to be made in it. */
export class KeyText {
  readonly #text: string;
  readonly #mark: string;
  readonly #lines: Lines;
  readonly #root: Node | null;
  readonly #anchors = new Map<string, Node>();
  readonly #byName = new WeakMap<YAMLMap, ReadonlyMap<string, Pair>>();
  readonly #removed: Stretch[] = [];
  readonly #edits: Edit[] = [];
  /** Entries that are added in lines of their own, behind what stands last. */
  readonly #added: Edit[] = [];
  /** Whether names stand in double quotes, as in JSON. */
  readonly #json: boolean;

  constructor(text: string) {
    this.#mark = text.startsWith('\ufeff') ? '\ufeff' : '';
    this.#text = text.slice(this.#mark.length);
    this.#lines = new Lines(this.#text);
    const doc = parseDocument(this.#text, { uniqueKeys: false, prettyErrors: false, logLevel: 'error' });
    this.#root = doc.contents;
    visit(doc, (_, node) => {
      const { anchor } = node as { anchor?: string };
      if (anchor !== undefined) this.#anchors.set(anchor, node as Node);
    });
    this.#json =
      isMap(this.#root) &&
      this.#root.flow === true &&
      (this.#root.items[0]?.key as Scalar | undefined)?.type === Scalar.QUOTE_DOUBLE;
  }

  /** Whether something stands at a path. */
  has(path: Path): boolean {
    return this.#pair(path) !== undefined || this.#node(path) !== undefined;
  }

  /** The words or numbers that stand at a path, on one line, as they may stand within brackets. */
  flow(path: Path): string {
    return this.#flowOf(this.#node(path));
  }

  /** Takes entries out of a map or list, each with the comments above and after it. */
  removeFrom(path: Path, names: ReadonlySet<string | number>): void {
    const parent = this.#node(path);
    if (names.size === 0 || !isCollection(parent)) return;
    const items = (parent as YamlCollection).items as (Node | Pair)[];
    const goes = items.map((item, i) => names.has(isPair(item) ? nameOf(item) : i));
    if (goes.every((g) => g) && path.length > 0) {
      this.removeFrom(path.slice(0, -1), new Set([path[path.length - 1] as string | number]));
      return;
    }
    if ((parent as YamlCollection).flow === true) this.#removeFlow(items, goes);
    else
      items.forEach((item, i) => {
        if (goes[i]) this.#removed.push(this.#blockOf(item, i === 0));
      });
  }

  /** Puts a text in place of a value. */
  replaceValue(path: Path, text: string): void {
    const node = this.#node(path);
    const range = node?.range;
    if (range === undefined || range === null) return;
    this.#edits.push({ start: range[0], end: this.#end(node as Node), text });
  }

  /** Puts a value, with another name, in place of an entry of a map; `more` are entries that follow it. */
  replacePair(path: Path, pairs: readonly (readonly [name: string, flow: string])[]): void {
    const pair = this.#pair(path);
    const start = (pair?.key as Node | undefined)?.range?.[0];
    if (pair === undefined || start === undefined) return;
    const parent = this.#node(path.slice(0, -1)) as YAMLMap;
    this.#edits.push({
      start,
      end: this.#end((pair.value as Node | null) ?? (pair.key as Node)),
      text: this.#written(pairs, parent, this.#lines.at(start).column),
    });
  }

  /** Adds entries to a map after the first of some names that it has, or else at its end. */
  addPairs(
    path: Path,
    behind: readonly string[],
    pairs: readonly (readonly [name: string, flow: string])[],
  ): void {
    const parent = this.#node(path);
    if (!isMap(parent) || pairs.length === 0) return;
    const items = parent.items;
    const after =
      behind.map((n) => items.find((i) => nameOf(i) === n)).find((i) => i !== undefined) ?? items.at(-1);
    if (after === undefined) return;
    const end = this.#end((after.value as Node | null) ?? (after.key as Node));
    const { column } = this.#lines.at((items[0]?.key as Node | undefined)?.range?.[0] ?? 0);
    const text = this.#written(pairs, parent, column);
    if (parent.flow === true) this.#edits.push({ start: end, end, text: `, ${text}` });
    else {
      const lineEnd = this.#lineEnd(end);
      this.#edits.push({
        start: lineEnd,
        end: lineEnd,
        text: `${this.#ending()}${' '.repeat(column - 1)}${text}`,
      });
    }
  }

  /** Adds an item, written within brackets, to the end of a list. */
  addItem(path: Path, flow: string): void {
    const parent = this.#node(path);
    const last = isSeq(parent) ? (parent.items.at(-1) as Node | undefined) : undefined;
    if (!isSeq(parent) || last === undefined) return;
    const end = this.#end(last);
    if (parent.flow === true) this.#edits.push({ start: end, end, text: `, ${flow}` });
    else {
      const at = this.#lineEnd(end);
      const indent = this.#indentAt(this.#start(parent.items[0] as Node));
      this.#edits.push({ start: at, end: at, text: `${this.#ending()}${indent}- ${flow}` });
    }
  }

  /**
   * Adds an entry to the end of a map: in lines that are indented as the first is, or as `name: flow` where the map is
   * written within brackets.
   */
  addEntry(path: Path, lines: readonly string[], name: string, flow: string): void {
    const parent = path.length === 0 ? this.#root : this.#node(path);
    const last = isMap(parent) ? parent.items.at(-1) : undefined;
    if (!isMap(parent) || last === undefined) return;
    if (parent.flow === true) {
      const end = this.#endOf(last);
      const label = this.#json ? JSON.stringify(name) : name;
      this.#edits.push({ start: end, end, text: `, ${label}: ${flow}` });
      return;
    }
    const own = this.#indentAt(this.#start(parent.items[0]));
    const written = /^ */.exec(lines[0] ?? '')?.[0].length ?? 0;
    let line = this.#lines.at(this.#endOf(last)).line;
    // Comments that stand deeper belong to the entry above them.
    while ((/^(\s*)#/.exec(this.#lines.line(line + 1))?.[1]?.length ?? -1) > own.length) line++;
    const at = this.#lineEnd(this.#lines.start(line));
    const first = this.#lines.at(this.#start(last)).line;
    let top = first;
    while (top > 1 && /^\s*#/.test(this.#lines.line(top - 1))) top--;
    const apart = parent.items.length > 1 && this.#lines.line(top - 1).trim() === '';
    const block = lines.map((l) => this.#ending() + own + l.slice(written)).join('');
    this.#added.push({ start: at, end: at, text: (apart ? this.#ending() : '') + block });
  }

  #indentAt(offset: number): string {
    return /^\s*/.exec(this.#lines.line(this.#lines.at(offset).line))?.[0] ?? '';
  }

  /** Adds a sentence to a text. */
  addSentence(path: Path, sentence: string): void {
    const node = this.#node(path);
    if (!isScalar(node) || node.range === null || node.range === undefined) return;
    const block = node.type === Scalar.BLOCK_FOLDED || node.type === Scalar.BLOCK_LITERAL;
    if (!block) {
      this.replaceValue(path, JSON.stringify(`${String(node.source ?? node.value).trim()} ${sentence}`));
      return;
    }
    const end = this.#end(node);
    const line = this.#lines.line(this.#lines.at(end).line);
    const indent = /^\s*/.exec(line)?.[0] ?? '  ';
    // Folded lines are one paragraph to a reader.
    const added =
      node.type === Scalar.BLOCK_FOLDED ? plainLines(sentence, WIDTH, indent) : [`${indent}${sentence}`];
    this.#edits.push({ start: end, end, text: added.map((l) => this.#ending() + l).join('') });
  }

  /** The text after all changes. */
  finish(): string {
    const removed = this.#joined();
    const inside = (at: number) => isInside(removed, at);
    // What is added right before something that is removed stays.
    const stays = (e: Edit) => !inside(e.start) || (e.start === e.end && !inside(e.start - 1));
    // An added entry stays even where the line that it would follow is removed.
    const added = this.#added.map((e) => {
      const gone = removed.find((r) => r.start < e.start && e.start <= r.end);
      if (gone === undefined) return e;
      const { line } = this.#lines.at(gone.start);
      const at = line > 1 ? this.#lineEnd(this.#lines.start(line - 1)) : gone.start;
      return { ...e, start: at, end: at };
    });
    const edits = [...this.#edits.filter(stays), ...added];
    this.#inlineAliases(removed, edits);
    return this.#mark + edited(this.#text, [...edits, ...removed.map((r) => ({ ...r, text: '' }))]);
  }

  /** An alias whose anchor is removed is written out. */
  #inlineAliases(removed: readonly Stretch[], edits: Edit[]): void {
    const lost = (at: number) => isInside(removed, at) || isInside(replaced, at);
    const replaced = [...edits].sort((a, b) => a.start - b.start || a.end - b.end);
    visit(this.#root as Node, {
      Alias: (_, alias: Alias) => {
        const at = alias.range?.[0] ?? -1;
        const anchor = this.#anchors.get(alias.source);
        if (at < 0 || lost(at) || !lost(anchor?.range?.[0] ?? -1)) return;
        edits.push({ start: at, end: alias.range?.[1] ?? at, text: this.#flowOf(anchor) });
      },
    });
  }

  #joined(): Stretch[] {
    const out: { start: number; end: number }[] = [];
    for (const stretch of [...this.#removed].sort((a, b) => a.start - b.start)) {
      const last = out[out.length - 1];
      if (last !== undefined && stretch.start <= last.end) last.end = Math.max(last.end, stretch.end);
      else out.push({ ...stretch });
    }
    return out;
  }

  #written(
    pairs: readonly (readonly [name: string, flow: string])[],
    parent: YAMLMap,
    column: number,
  ): string {
    const one = pairs.map(([name, flow]) => `${this.#json ? JSON.stringify(name) : name}: ${flow}`);
    return one.join(parent.flow === true ? ', ' : `${this.#ending()}${' '.repeat(column - 1)}`);
  }

  /** A text as a value, in quotes where the file quotes everything. */
  word(text: string): string {
    return this.#json ? JSON.stringify(text) : idScalar(text);
  }

  /** Data on one line, as JSON where the file is. */
  data(data: Data): string {
    return this.#json ? JSON.stringify(data) : (inline(data) ?? JSON.stringify(data));
  }

  #flowOf(node: unknown): string {
    if (isAlias(node)) return this.#flowOf(this.#anchors.get(node.source));
    if (isMap(node)) return flowMap(node.items.map((p) => [this.#flowOf(p.key), this.#flowOf(p.value)]));
    if (isSeq(node)) return flowList(node.items.map((item) => this.#flowOf(item)));
    if (!isScalar(node)) return '';
    const source = node.source ?? String(node.value);
    if (node.type !== Scalar.PLAIN) return JSON.stringify(String(node.value));
    return /[,[\]{}\n]/.test(source) ? JSON.stringify(String(node.value)) : source;
  }

  #removeFlow(items: readonly (Node | Pair)[], goes: readonly boolean[]): void {
    for (let i = 0; i < items.length; i++) {
      if (!goes[i]) continue;
      let last = i;
      while (goes[last + 1]) last++;
      const next = items[last + 1];
      const before = items[i - 1];
      if (next !== undefined) this.#removed.push({ start: this.#start(items[i]), end: this.#start(next) });
      else if (before !== undefined)
        this.#removed.push({ start: this.#endOf(before), end: this.#endOf(items[last] as Node | Pair) });
      i = last;
    }
  }

  /** The lines of an entry in block style, with the comments above it; and the blank ones below, where some stand above. */
  #blockOf(item: Node | Pair, first: boolean): Stretch {
    const own = this.#lines.at(this.#start(item)).line;
    const indent = this.#lines.line(own).search(/\S/);
    let top = own;
    const above = (n: number) => /^(\s*)#/.exec(this.#lines.line(n))?.[1]?.length;
    while (top > 1 && (above(top - 1) ?? -1) >= indent) top--;
    let last = this.#lines.at(this.#endOf(item)).line;
    while ((above(last + 1) ?? -1) > indent) last++;
    const blank = (n: number) => this.#lines.line(n).trim() === '';
    const end = () => this.#lines.start(last + 1);
    if (first || top === 1 || blank(top - 1)) while (end() < this.#text.length && blank(last + 1)) last++;
    return { start: this.#lines.start(top), end: end() };
  }

  #start(item: Node | Pair | undefined): number {
    const node = isPair(item) ? (item.key as Node) : item;
    return node?.range?.[0] ?? 0;
  }

  #endOf(item: Node | Pair): number {
    return this.#end(isPair(item) ? ((item.value as Node | null) ?? (item.key as Node)) : item);
  }

  /** Where the last word of a node ends; block collections reach to what follows them. */
  #end(node: Node): number {
    if (isCollection(node) && (node as YamlCollection).flow !== true) {
      const last = (node as YamlCollection).items.at(-1) as Node | Pair | undefined;
      if (last !== undefined) return this.#endOf(last);
    }
    const end = node.range?.[1] ?? 0;
    const start = node.range?.[0] ?? 0;
    return start + this.#text.slice(start, end).trimEnd().length;
  }

  #lineEnd(offset: number): number {
    return offset + (/\r?\n|$/.exec(this.#text.slice(offset))?.index ?? 0);
  }

  #ending(): string {
    return this.#text.includes('\r\n') ? '\r\n' : '\n';
  }

  #pair(path: Path): Pair | undefined {
    const parent = this.#node(path.slice(0, -1));
    return isMap(parent) ? this.#pairs(parent).get(String(path.at(-1))) : undefined;
  }

  /** The entries of a map by name, looked up once: a key may have thousands. */
  #pairs(map: YAMLMap): ReadonlyMap<string, Pair> {
    let pairs = this.#byName.get(map);
    if (pairs === undefined) {
      pairs = new Map(map.items.map((p) => [nameOf(p), p]));
      this.#byName.set(map, pairs);
    }
    return pairs;
  }

  #node(path: Path): Node | undefined {
    let node: unknown = this.#root;
    for (const step of path) {
      if (isAlias(node)) node = this.#anchors.get(node.source);
      if (isMap(node)) node = this.#pairs(node).get(String(step))?.value;
      else if (isSeq(node)) node = node.items[Number(step)];
      else return undefined;
    }
    return (node as Node | null) ?? undefined;
  }
}

function nameOf(pair: Pair): string {
  const { key } = pair;
  return isScalar(key) ? String(key.source ?? key.value) : '';
}

/** Whether a place lies in one of some stretches, which are in order and do not overlap. */
function isInside(stretches: readonly Stretch[], at: number): boolean {
  let low = 0;
  let high = stretches.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((stretches[middle] as Stretch).start <= at) low = middle + 1;
    else high = middle;
  }
  const last = stretches[low - 1];
  return last !== undefined && at < last.end;
}
