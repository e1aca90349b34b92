import type { Finding, Path, Place } from '../diagnostic/finding.js';
import { Lines } from '../diagnostic/lines.js';
import { type Data, LARGEST_TEXT, mapOf, type YamlText } from '../key/document.js';

/**
 * Reads the YAML that records are written in: maps and lists by indent or in brackets, and every form of text. Whatever else
 * YAML has (anchors, tags, directives, several documents) is refused, and what it reads, any reader of YAML reads alike. It
 * stands in the page for the package `yaml`, which is as large as everything else in it.
 */
export function readStrictYaml(text: string, file: string): YamlText {
  const source = text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
  const lines = new Lines(source);
  const findings: Finding[] = [];
  const starts = new Map<string, number>();
  const place = (path: Path): Place => {
    for (let n = path.length; n >= 0; n--) {
      const at = starts.get(markOf(path.slice(0, n)));
      if (at !== undefined) return { file, path, start: lines.at(at), end: lines.at(at) };
    }
    return { file, path, start: lines.at(0), end: lines.at(0) };
  };
  let data: Data | undefined;
  try {
    if (source.length > LARGEST_TEXT) throw new Mistake('The file is too large.', 0);
    data = new Parser(source, starts).document();
  } catch (error) {
    if (!(error instanceof Mistake)) throw error;
    const at = lines.at(error.at);
    findings.push({
      rule: 'yaml-syntax',
      level: 'error',
      message: error.message,
      place: { file, path: [], start: at, end: at },
    });
  }
  return { file, lines, data, findings, place };
}

function markOf(path: Path): string {
  return path.join('\0');
}

/** What cannot be read, and where. */
class Mistake extends Error {
  constructor(
    message: string,
    readonly at: number,
  ) {
    super(message);
  }
}

const DEEPEST = 60;
/** The name before a colon, on one line. */
const NAME =
  /"(?:[^"\\\n]|\\[^\n])*"(?=[ \t]*:(?:[ \t\n]|$))|'(?:[^'\n]|'')*'(?=[ \t]*:(?:[ \t\n]|$))|(?![-?:][ \t\n])[^\s"'[\]{}#&*!|>%@`,][^\n]*?(?=[ \t]*:(?:[ \t\n]|$))/y;
/** The same in brackets. */
const FLOW_NAME =
  /"(?:[^"\\\n]|\\[^\n])*"(?=\s*:)|'(?:[^'\n]|'')*'(?=\s*:)|(?![-?:](?:\s|[,[\]{}]))[^\s"'[\]{}#&*!|>%@`,](?:[^\n,[\]{}:]|:(?![\s,[\]{}]))*?(?=\s*:[\s,[\]{}])/y;

class Parser {
  #at = 0;

  constructor(
    readonly text: string,
    readonly starts: Map<string, number>,
  ) {}

  document(): Data {
    const odd = /[^\t\n\r\u0020-\u007e\u0085\u00a0-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/u.exec(this.text);
    if (odd !== null) throw new Mistake('This sign may stand in no text.', odd.index);
    const cut = this.text.indexOf('\r');
    if (cut >= 0 && this.text[cut + 1] !== '\n') throw new Mistake('A line ends here in an odd way.', cut);
    const column = this.#nextLine();
    const data = column === undefined ? null : this.#block(column, [], 0);
    if (this.#nextLine() !== undefined) throw new Mistake('This belongs to nothing above it.', this.#at);
    if (!/^(?:\.\.\.[ \t]*(?:\r?\n(?:[ \t]*(?:#[^\n]*)?\r?(?:\n|$))*)?)?$/.test(this.text.slice(this.#at)))
      throw new Mistake('Something follows the end of the record.', this.#at);
    return data;
  }

  /** Goes to the next line that says something, or stays at its beginning; gives how far it is indented, undefined at the end. */
  #nextLine(): number | undefined {
    // Of tabs before a comment, or in an empty line, readers of YAML think differently.
    const blank = /(?: *(?:#[^\n]*)?\r?\n)*/y;
    if (/^ *$/.test(this.text.slice(this.#lineStart(), this.#at))) this.#at = this.#lineStart();
    else {
      // Of a line that was read only white space and a comment may be left.
      if (this.#match(/(?:[ \t]+#[^\n]*|[ \t]*)(?=\r?\n|$)/y) === undefined)
        throw new Mistake('This was not expected here.', this.#at);
      if (this.#match(/\r?\n/y) === undefined) return undefined;
    }
    blank.lastIndex = this.#at;
    this.#at += blank.exec(this.text)?.[0].length ?? 0;
    const indent = this.#match(/ */y)?.length ?? 0;
    if (this.#at >= this.text.length) return undefined;
    if (/(?:\t|#)/y.test(this.text[this.#at] ?? '')) {
      // A last line without its end.
      if (/^(?:#[^\n]*)?$/.test(this.text.slice(this.#at))) {
        this.#at = this.text.length;
        return undefined;
      }
      throw new Mistake('A line is indented with a tab here; records use spaces.', this.#at);
    }
    if (indent === 0 && /^(?:---|\.\.\.)(?:\s|$)/.test(this.text.slice(this.#at, this.#at + 4))) {
      if (this.text.startsWith('---', this.#at)) throw new Mistake('A record is one document.', this.#at);
      return undefined;
    }
    return indent;
  }

  /** A list, a map, or a text on its own, that begins here. */
  #block(column: number, path: Path, depth: number): Data {
    if (depth > DEEPEST) throw new Mistake(`The file is nested more than ${DEEPEST} deep here.`, this.#at);
    this.starts.set(markOf(path), this.#at);
    if (this.#peek(/-(?=[ \t\r\n]|$)/y)) return this.#list(column, path, depth);
    if (this.#peek(NAME)) return this.#map(column, path, depth);
    return this.#text(column - 1, path, depth);
  }

  #list(column: number, path: Path, depth: number): Data {
    const items: Data[] = [];
    for (;;) {
      const below = [...path, items.length];
      this.starts.set(markOf(below), this.#at);
      this.#at++;
      this.#match(/[ \t]*/y);
      if (this.#peek(/-(?=[ \t\r\n]|$)/y) || this.#peek(NAME)) {
        if (this.text.slice(this.#lineStart(), this.#at).includes('\t'))
          throw new Mistake('A line is indented with a tab here; records use spaces.', this.#at);
        items.push(this.#block(this.#at - this.#lineStart(), below, depth + 1));
      } else items.push(this.#value(column, below, depth));
      const next = this.#nextLine();
      if (next === undefined || next < column) return items;
      if (next > column || !this.#peek(/-(?=[ \t\r\n]|$)/y)) {
        if (next === column) return items;
        throw new Mistake('This is indented otherwise than what stands above it.', this.#at);
      }
    }
  }

  #map(column: number, path: Path, depth: number): Data {
    const pairs = new Map<string, Data>();
    for (;;) {
      const at = this.#at;
      const name = this.#name(NAME);
      if (name === undefined) throw new Mistake('A name with a colon after it was expected here.', at);
      if (pairs.has(name)) throw new Mistake(`"${name}" stands twice here.`, at);
      this.#match(/[ \t]*:/y);
      const below = [...path, name];
      this.starts.set(markOf(below), at);
      pairs.set(name, typed(name, this.#value(column, below, depth, true)));
      const next = this.#nextLine();
      if (next === undefined || next < column) return mapOf([...pairs]);
      if (next > column) throw new Mistake('This is indented otherwise than what stands above it.', this.#at);
    }
  }

  /** What follows a dash or a colon; `own` is the column of what it belongs to. */
  #value(own: number, path: Path, depth: number, named = false): Data {
    this.#match(/[ \t]+(?!#)/y);
    if (!this.#peek(/[ \t]*(?:#[^\n]*)?(?=\r?\n|$)/y)) return this.#text(own, path, depth);
    const before = this.#at;
    const column = this.#nextLine();
    const list = named && column === own && this.#peek(/-(?=[ \t\r\n]|$)/y);
    if (column !== undefined && (column > own || list)) return this.#block(column, path, depth + 1);
    this.#at = before;
    return null;
  }

  /** A text, or a list or map in brackets; lines that go on are indented further than `own`. */
  #text(own: number, path: Path, depth: number): Data {
    this.starts.set(markOf(path), this.#at);
    const sign = this.text[this.#at] ?? '';
    if (sign === '[' || sign === '{') return this.#flow(own, depth + 1);
    if (sign === '"' || sign === "'") return this.#quoted(own);
    if (sign === '|' || sign === '>') return this.#blockText(own, sign);
    return nothingOr(
      this.#plain(own, /(?![&*!|>%@`"'#,[\]{}])(?:[-?:](?=\S)|[^\s\-?:])(?:[^\n\r:#]|:(?=[^\s])|(?<=\S)#)*/y),
    );
  }

  /** Plain words; `first` is what they are on their first line. */
  #plain(own: number, first: RegExp, inFlow = false): string {
    const begin = this.#match(first)?.trimEnd();
    if (begin === undefined || begin === '') throw new Mistake('This is no text of a record.', this.#at);
    const rest = inFlow
      ? /(?:[^\n\r:#,[\]{}]|:(?=[^\s,[\]{}])|(?<=\S)#)+/y
      : /(?:[^\n\r:#]|:(?=[^\s])|(?<=\S)#)+/y;
    let words = begin;
    for (;;) {
      const here = this.#at;
      const breaks = this.#match(/[ \t]*\r?\n(?: *\r?\n)*/y);
      const indent = breaks === undefined ? undefined : this.#match(/ */y);
      const goesOn =
        indent !== undefined &&
        indent.length > own &&
        !this.#peek(/[\t#]|$/y) &&
        !(this.#atDocumentEnd() && indent === '');
      const line = goesOn ? this.#match(rest)?.trimEnd() : undefined;
      if (line === undefined || line === '') {
        this.#at = here;
        return words;
      }
      words += folded(breaks ?? '') + line;
    }
  }

  #quoted(own: number): string {
    const from = this.#at;
    const quote = this.text[this.#at++] as string;
    let words = '';
    for (;;) {
      const piece = this.#match(quote === '"' ? /[^"\\\n\r]+/y : /[^'\n\r]+/y);
      if (piece !== undefined) words += piece;
      const sign = this.text[this.#at];
      if (sign === undefined) throw new Mistake('This quote is never closed.', from);
      if (sign === quote) {
        this.#at++;
        if (quote === '"' || this.text[this.#at] !== "'") return words;
        words += "'";
        this.#at++;
      } else if (sign === '\\') words += this.#escape(own);
      else {
        const plain = /[ \t]+$/.exec(piece ?? '');
        if (plain !== null) words = words.slice(0, -plain[0].length);
        words += folded(this.#lineBreaks(own, from));
      }
    }
  }

  /** Line breaks within quotes, and the indent of the line that goes on. */
  #lineBreaks(own: number, from: number): string {
    const breaks = this.#match(/\r?\n(?: *\r?\n)*/y) ?? '';
    const indent = this.#match(/ */y) ?? '';
    if (this.#peek(/\t/y))
      throw new Mistake('A line is indented with a tab here; records use spaces.', this.#at);
    if (this.#at >= this.text.length) throw new Mistake('This quote is never closed.', from);
    if (indent.length <= own || (this.#atDocumentEnd() && indent === ''))
      throw new Mistake('A text in quotes goes on here, and is not indented.', this.#at);
    return breaks;
  }

  #escape(own: number): string {
    const from = this.#at;
    const code = this.#match(/\\(?:x[0-9a-fA-F]{2}|u[0-9a-fA-F]{4}|U[0-9a-fA-F]{8})/y);
    if (code !== undefined) {
      const point = Number.parseInt(code.slice(2), 16);
      if (point > 0x10ffff) throw new Mistake('There is no such sign.', from);
      return code[1] === 'U' ? String.fromCodePoint(point) : String.fromCharCode(point);
    }
    this.#at++;
    if (this.#peek(/\r?\n/y)) {
      // Of an empty line after it, readers of YAML make different things.
      if (/\n[\s\S]*\n/.test(this.#lineBreaks(own, from)))
        throw new Mistake('An empty line stands after a backslash.', from);
      return '';
    }
    const meant = ESCAPES[this.text[this.#at++] ?? ''];
    if (meant === undefined) throw new Mistake('A backslash stands before a sign that needs none.', from);
    return meant;
  }

  /** A text of several lines after `|` or `>`. */
  #blockText(own: number, sign: string): string {
    const head = this.#match(/[|>](?:[+-]?[1-9]?|[1-9][+-])[ \t]*(?=\r?\n|$)/y);
    if (head === undefined) throw new Mistake('This is no text of a record.', this.#at);
    this.#match(/\r?\n/y);
    const stated = /[1-9]/.exec(head)?.[0];
    const left = Math.max(own, 0);
    let indent = stated === undefined ? undefined : left + Number(stated);
    const lines: string[] = [];
    let widest = 0;
    while (this.#at < this.text.length) {
      const line = this.#peeked(/[^\n\r]*/y);
      const spaces = /^ */.exec(line)?.[0].length ?? 0;
      const blank = spaces === line.length;
      if (!blank) {
        if (/^(?:---|\.\.\.)(?:\s|$)/.test(line)) break;
        const first = indent === undefined;
        indent ??= spaces > own ? spaces : undefined;
        if (indent === undefined || spaces < indent) break;
        if (first && widest > spaces)
          throw new Mistake('An empty line is indented more than the text below it.', this.#at);
      } else if (indent === undefined) widest = Math.max(widest, spaces);
      lines.push(blank && (indent === undefined || spaces <= indent) ? '' : line.slice(indent));
      this.#match(/[^\n\r]*/y);
      if (this.#match(/\r?\n/y) === undefined) break;
    }
    // What follows begins at the start of a line.
    let last = lines.length;
    while (last > 0 && lines[last - 1] === '') last--;
    const body = lines.slice(0, last);
    const text = sign === '|' ? body.join('\n') : foldedLines(body);
    if (head.includes('-')) return text;
    if (head.includes('+')) return text + '\n'.repeat(lines.length - last + (last > 0 ? 1 : 0));
    return last > 0 ? `${text}\n` : '';
  }

  /** A list or a map in brackets. */
  #flow(own: number, depth: number): Data {
    if (depth > DEEPEST) throw new Mistake(`Brackets are nested more than ${DEEPEST} deep here.`, this.#at);
    const from = this.#at;
    const map = this.text[this.#at++] === '{';
    const items: Data[] = [];
    const pairs = new Map<string, Data>();
    for (;;) {
      this.#flowSpace(own, from);
      if (this.#match(map ? /\}/y : /\]/y) !== undefined) return map ? mapOf([...pairs]) : items;
      if (map) {
        const at = this.#at;
        const name = this.#name(FLOW_NAME);
        if (name === undefined) throw new Mistake('A name with a colon after it was expected here.', at);
        if (pairs.has(name)) throw new Mistake(`"${name}" stands twice here.`, at);
        this.#flowSpace(own, from);
        this.#match(/:/y);
        this.#flowSpace(own, from);
        pairs.set(name, typed(name, this.#peek(/[,}]/y) ? null : this.#flowItem(own, depth)));
      } else {
        if (this.#peek(FLOW_NAME))
          throw new Mistake('A pair in a list stands without its brackets.', this.#at);
        items.push(this.#flowItem(own, depth));
      }
      this.#flowSpace(own, from);
      if (this.#match(/,/y) === undefined && !this.#peek(map ? /\}/y : /\]/y))
        throw new Mistake('A comma or the closing bracket was expected here.', this.#at);
    }
  }

  #flowItem(own: number, depth: number): Data {
    const sign = this.text[this.#at] ?? '';
    if (sign === '[' || sign === '{') return this.#flow(own, depth + 1);
    if (sign === '"' || sign === "'") return this.#quoted(own);
    const words = this.#plain(
      own,
      /(?![&*!|>%@`"'#,[\]{}])(?:[-?:](?=[^\s,[\]{}])|[^\s\-?:])(?:[^\n\r:#,[\]{}]|:(?=[^\s,[\]{}])|(?<=\S)#)*/y,
      true,
    );
    return nothingOr(words);
  }

  /** White space and line breaks in brackets. */
  #flowSpace(own: number, from: number): void {
    const space = this.#match(/[ \t\r\n]+/y) ?? '';
    if (this.#at >= this.text.length) throw new Mistake('This bracket is never closed.', from);
    if (!space.includes('\n')) return;
    const indent = /[^\n]*$/.exec(space)?.[0] ?? '';
    // The bracket that closes may stand as far left as what it belongs to.
    if (indent.length <= own || indent.includes('\t'))
      throw new Mistake('What stands in brackets goes on here, and is not indented.', this.#at);
  }

  #name(pattern: RegExp): string | undefined {
    if (!this.#peek(pattern)) return undefined;
    const sign = this.text[this.#at];
    if (sign === '"' || sign === "'") return this.#quoted(-1);
    const at = this.#at;
    const name = this.#match(pattern) as string;
    if (/[ \t]#/.test(name) || name.length > 1024) throw new Mistake('This is no name.', at);
    return name;
  }

  #atDocumentEnd(): boolean {
    return /^(?:---|\.\.\.)(?:\s|$)/.test(this.text.slice(this.#at, this.#at + 4));
  }

  #lineStart(): number {
    return this.text.lastIndexOf('\n', this.#at - 1) + 1;
  }

  #peek(pattern: RegExp): boolean {
    pattern.lastIndex = this.#at;
    return pattern.test(this.text);
  }

  #peeked(pattern: RegExp): string {
    pattern.lastIndex = this.#at;
    return pattern.exec(this.text)?.[0] ?? '';
  }

  #match(pattern: RegExp): string | undefined {
    pattern.lastIndex = this.#at;
    const found = pattern.exec(this.text)?.[0];
    if (found !== undefined) this.#at += found.length;
    return found;
  }
}

const ESCAPES: Readonly<Record<string, string>> = {
  '0': '\0',
  a: '\x07',
  b: '\b',
  t: '\t',
  '\t': '\t',
  n: '\n',
  v: '\v',
  f: '\f',
  r: '\r',
  e: '\x1b',
  ' ': ' ',
  '"': '"',
  '/': '/',
  '\\': '\\',
  N: '\x85',
  _: '\xa0',
  L: '\u2028',
  P: '\u2029',
};

/** What line breaks within a text mean: one is a space, each further one a line break. */
function folded(breaks: string): string {
  const lines = breaks.split('\n').length - 1;
  return lines < 2 ? ' ' : '\n'.repeat(lines - 1);
}

/** The lines after `>`: they are joined, but for those that are indented further. */
function foldedLines(lines: readonly string[]): string {
  let text = '';
  let breaks = 0;
  let before: string | undefined;
  for (const line of lines) {
    if (line === '') {
      breaks++;
      continue;
    }
    if (before === undefined) text += '\n'.repeat(breaks) + line;
    else {
      const kept = /^[ \t]/.test(line) || /^[ \t]/.test(before);
      text += (kept ? '\n'.repeat(breaks + 1) : breaks === 0 ? ' ' : '\n'.repeat(breaks)) + line;
    }
    before = line;
    breaks = 0;
  }
  return text;
}

function nothingOr(words: string): Data {
  return words === '~' ? null : words;
}

/** The few properties of a record that are yes or no by meaning. */
function typed(name: string, value: Data): Data {
  if (name !== 'doubted' && name !== 'settled') return value;
  return value === 'true' ? true : value === 'false' ? false : value;
}
