/** Reads the file of an archive that says what its other files hold (Darwin Core text guide). */
import { SaxesParser, type SaxesTagNS } from 'saxes';
import type { Finding } from '../../diagnostic/finding.js';
import { quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { listed } from '../../text/words.js';
import { DWC, DWC_TEXT } from './terms.js';

/** A column of a file, or a text that takes its place. */
export interface TermColumn {
  /** The term without its namespace for those of Darwin Core, with it for others. */
  readonly term: string;
  /** -1 where the file has no such column. */
  readonly index: number;
  /** What an empty cell means. */
  readonly fallback: string;
}

/** One table of an archive. */
export interface ArchivePart {
  /** The class of what a row stands for, without the namespace of Darwin Core. */
  readonly rowType: string;
  readonly files: readonly string[];
  readonly encoding: string;
  readonly delimiter: string;
  /** Empty where cells are never put in quotes. */
  readonly quote: string;
  readonly headerLines: number;
  /** The column of the id in the core, of the core's id in an extension; -1 where there is none. */
  readonly id: number;
  readonly columns: readonly TermColumn[];
}

/** What an archive holds. */
export interface ArchiveMeta {
  readonly core: ArchivePart;
  readonly extensions: readonly ArchivePart[];
}

/** The description of an archive, as far as it could be read; without `meta`, the archive cannot be read. */
interface ReadMeta {
  readonly meta?: ArchiveMeta;
  readonly findings: readonly Finding[];
}

type PartDraft = { -readonly [K in keyof ArchivePart]: ArchivePart[K] } & {
  readonly files: string[];
  readonly columns: TermColumn[];
};

/** An archive describes its files three elements deep. */
const DEEPEST = 20;
/** More columns than any table has. */
const MOST_COLUMNS = 10_000;

/** Reads the description of an archive; `file` is its name for messages. */
export function readMeta(text: string, file: string): ReadMeta {
  return new MetaReader(text, file).read();
}

class MetaReader {
  readonly #findings: Finding[] = [];
  readonly #parser: SaxesParser<{ xmlns: true; position: true }>;
  #root = false;
  #core: PartDraft | undefined;
  readonly #extensions: PartDraft[] = [];
  #part: PartDraft | undefined;
  #location: string | undefined;
  #depth = 0;

  constructor(
    readonly text: string,
    readonly file: string,
  ) {
    this.#parser = new SaxesParser({ xmlns: true, position: true });
    this.#parser.on('opentagstart', ({ name }) => this.#deeper(name));
    this.#parser.on('opentag', (tag) => this.#open(tag));
    this.#parser.on('closetag', (tag) => this.#close(tag.local));
    this.#parser.on('text', (words) => {
      if (this.#location !== undefined) this.#location += words;
    });
  }

  read(): ReadMeta {
    try {
      this.#parser.on('error', (error) => {
        throw error;
      });
      this.#parser.write(this.text).close();
    } catch (error) {
      const why = String((error as Error).message).replace(/^(undefined:)?\d+:\d+: /, '');
      this.#fault('xml-syntax', `the XML cannot be read: ${why}`, '', 'well-formed XML');
    }
    const core = this.#core;
    if (this.#findings.length === 0 && core === undefined)
      this.#fault('archive-form', 'no core is described', '', 'an element core');
    if (this.#findings.length > 0 || core === undefined) return { findings: this.#findings };
    return { meta: { core, extensions: this.#extensions }, findings: [] };
  }

  /** No description nests deeper, and the parser searches all open elements for a namespace, which would take long. */
  #deeper(name: string): void {
    if (++this.#depth > DEEPEST)
      throw new Error(`elements are nested more than ${DEEPEST} deep at ${quoted(name)}`);
  }

  #open(tag: SaxesTagNS): void {
    const { local, uri } = tag;
    if (!this.#root) {
      this.#root = true;
      if (local !== 'archive' || (uri !== DWC_TEXT && uri !== ''))
        this.#fault(
          'archive-form',
          `${quoted(tag.name)} is not what a Darwin Core archive is described by`,
          tag.name,
          `an element archive of ${DWC_TEXT}`,
        );
      return;
    }
    if (local === 'core' || local === 'extension') this.#begin(tag);
    else if (local === 'location') this.#location = '';
    else if (this.#part !== undefined && (local === 'id' || local === 'coreid'))
      this.#part.id = this.#index(tag) ?? -1;
    else if (this.#part !== undefined && local === 'field') this.#field(tag, this.#part);
  }

  #close(local: string): void {
    this.#depth--;
    if (local === 'location' && this.#location !== undefined) {
      const name = this.#location.trim();
      this.#location = undefined;
      if (/^[a-z]+:\/\//i.test(name))
        this.#fault('archive-form', `${quoted(name)} lies elsewhere`, name, 'a file of the archive');
      else this.#part?.files.push(name.replace(/^\.\//, ''));
    } else if ((local === 'core' || local === 'extension') && this.#part !== undefined) {
      const part = this.#part;
      this.#part = undefined;
      if (part.files.length === 0)
        this.#fault('archive-form', `the ${local} names no file`, '', 'an element location');
      if (part.id < 0 && local === 'extension')
        this.#fault('archive-form', 'the extension has no coreid', '', 'an element coreid');
    }
  }

  #begin(tag: SaxesTagNS): void {
    const rowType = this.#attribute(tag, 'rowType') ?? '';
    if (rowType === '')
      this.#fault('archive-form', `the ${tag.local} has no rowType`, '', 'the class of its rows');
    const delimiter = unescaped(this.#attribute(tag, 'fieldsTerminatedBy') ?? ',');
    const quote = unescaped(this.#attribute(tag, 'fieldsEnclosedBy') ?? '"');
    if (delimiter.length !== 1 || /[\r\n]/.test(delimiter) || delimiter === quote)
      this.#fault(
        'archive-form',
        `cells that end with ${quoted(delimiter)} are not read here`,
        delimiter,
        'one sign, such as a comma or \\t',
      );
    if (quote.length > 1)
      this.#fault(
        'archive-form',
        `cells between ${quoted(quote)} are not read here`,
        quote,
        'one sign or none',
      );
    const lineEnd = unescaped(this.#attribute(tag, 'linesTerminatedBy') ?? '\n');
    if (!/^(\r\n|\n|\r)$/.test(lineEnd))
      this.#fault('archive-form', `lines that end with ${quoted(lineEnd)} are not read here`, lineEnd, '\\n');
    const headers = this.#attribute(tag, 'ignoreHeaderLines') ?? '0';
    if (!/^\d{1,4}$/.test(headers))
      this.#fault('archive-form', `${quoted(headers)} is not a number of lines`, headers, 'a whole number');
    const part: PartDraft = {
      rowType: termName(rowType),
      files: [],
      encoding: this.#attribute(tag, 'encoding') || 'UTF-8',
      delimiter,
      quote,
      headerLines: Number(headers) || 0,
      id: -1,
      columns: [],
    };
    if (tag.local === 'extension') this.#extensions.push(part);
    else if (this.#core === undefined) this.#core = part;
    else this.#fault('archive-form', 'a second core is described', 'core', 'one core');
    this.#part = part;
  }

  #field(tag: SaxesTagNS, part: PartDraft): void {
    const term = this.#attribute(tag, 'term') ?? '';
    if (term === '') this.#fault('archive-form', 'a field has no term', '', 'the address of a term');
    const fallback = this.#attribute(tag, 'default') ?? '';
    const index = this.#attribute(tag, 'index') === undefined ? -1 : (this.#index(tag) ?? -1);
    part.columns.push({ term: termName(term), index, fallback });
  }

  #index(tag: SaxesTagNS): number | undefined {
    const written = this.#attribute(tag, 'index') ?? '';
    if (/^\d{1,5}$/.test(written) && Number(written) < MOST_COLUMNS) return Number(written);
    this.#fault(
      'archive-form',
      written === '' ? `${tag.local} has no index` : `${quoted(written)} is not a column number`,
      written,
      'the number of a column, the first being 0',
    );
    return undefined;
  }

  #attribute(tag: SaxesTagNS, name: string): string | undefined {
    const found = Object.values(tag.attributes).find((a) => a.local === name && a.prefix === '');
    if (found !== undefined || name === 'default') return found?.value;
    // A mistyped name would silently leave the default.
    const others = Object.values(tag.attributes).filter((a) => a.prefix === '' && !KNOWN.includes(a.local));
    for (const { local } of others)
      if (nearest(local, [name]) !== undefined)
        this.#fault('archive-form', `${quoted(local)} is not known; did you mean ${name}?`, local, name);
    return undefined;
  }

  #fault(rule: string, message: string, found: string, expected: string): void {
    if (this.#findings.length > 0 && rule === 'xml-syntax') return;
    const { line, column, position } = this.#parser;
    const at = { line, column: Math.max(1, column), offset: position };
    const place = { file: this.file, path: [], start: at, end: at };
    const also = rule === 'archive-form' && expected !== '' ? `; expected ${expected}` : '';
    this.#findings.push({ rule, level: 'error', message: message + also, place, found, expected });
  }
}

const KNOWN = [
  'rowType',
  'fieldsTerminatedBy',
  'fieldsEnclosedBy',
  'linesTerminatedBy',
  'ignoreHeaderLines',
  'encoding',
  'dateFormat',
  'index',
  'term',
  'default',
  'vocabulary',
  'delimitedBy',
  'metadata',
];

/** `\t`, `\n` and the like as the text guide has them. */
function unescaped(written: string): string {
  return written.replace(/\\([tnrf\\"'])/g, (_, c: string) =>
    c === 't' ? '\t' : c === 'n' ? '\n' : c === 'r' ? '\r' : c === 'f' ? '\f' : c,
  );
}

/** A term of Darwin Core without its namespace; any other as it is. */
function termName(address: string): string {
  const plain = address.trim().replace(/^https:/, 'http:');
  return plain.startsWith(DWC) ? plain.slice(DWC.length) : plain;
}

/** What classes are called in messages. */
export function rowTypes(parts: readonly ArchivePart[]): string {
  return listed([...new Set(parts.map((p) => p.rowType))]);
}
