/** Reads lists of taxa: plain text, tables with a column of names, Darwin Core taxon and occurrence tables. */
import type { Finding } from '../../diagnostic/finding.js';
import { Lines } from '../../diagnostic/lines.js';
import { RowCutter } from '../../tables/rows.js';
import { quoted } from '../../text/harmless.js';

/** One taxon of a list, with all that its row says about it. */
export interface ListedName {
  readonly line: number;
  /** What a person would call the row by. */
  readonly written: string;
  /** What may be an id, a name or a common name, the most exact first. */
  readonly words: readonly string[];
}

/** A list of taxa. */
export interface Checklist {
  /** Each taxon once, at the line where it first appears. */
  readonly names: readonly ListedName[];
  /** Rows that say that a taxon was looked for and not found; they are not in `names`. */
  readonly absent: number;
  readonly findings: readonly Finding[];
}

/** Columns that may name a taxon, the most exact first; written without capitals, spaces and strokes. */
const NAMING = [
  'taxonid',
  'id',
  'acceptedscientificname',
  'acceptednameusage',
  'scientificname',
  'canonicalname',
  'species',
  'name',
  'taxon',
  'taxonname',
  'vernacularname',
  'commonname',
] as const;
const PARTS = ['genus', 'specificepithet', 'infraspecificepithet'] as const;
const STATUS = 'occurrencestatus';
/** Columns whose values are not names to show. */
const IDS: ReadonlySet<string> = new Set(['taxonid', 'id']);

/** Reads a list of taxa. Never throws for what the text contains. */
export function readChecklist(text: string, file: string): Checklist {
  const source = text.replace(/^\ufeff/, '');
  const first = source.split(/\r\n?|\n/).find((l) => l.trim() !== '' && !l.trimStart().startsWith('#')) ?? '';
  const delimiter = ['\t', ';', ','].find((d) => first.includes(d));
  const named = first.split(delimiter ?? '\n').some((cell) => isColumn(column(cell)));
  if (
    named &&
    (delimiter !== undefined || /\.(csv|tsv|tab)$/i.test(file) || /^[a-z]+[A-Z]/.test(first.trim()))
  )
    return readRows(source, file, delimiter ?? ',');
  if (delimiter !== undefined && /\.(csv|tsv|tab)$/i.test(file)) return noColumn(source, first, file);
  return readLines(source);
}

function isColumn(name: string): boolean {
  return [...NAMING, ...PARTS].some((n) => n === name);
}

/** The name of a column without what differs between tables: `dwc:scientificName`, `"Scientific name"`. */
function column(cell: string): string {
  return cell
    .trim()
    .replace(/^"|"$/g, '')
    .replace(/^.*[:/#]/, '')
    .toLowerCase()
    .replace(/[\s_-]/g, '');
}

function readLines(source: string): Checklist {
  const list = new NameList();
  source.split(/\r\n?|\n/).forEach((written, i) => {
    const name = written.replace(/(^|\s)#.*$/, '').trim();
    if (name !== '') list.add(i + 1, name, [name]);
  });
  return { names: list.names, absent: 0, findings: [] };
}

function readRows(source: string, file: string, delimiter: string): Checklist {
  const list = new NameList();
  const findings: Finding[] = [];
  let columns: string[] | undefined;
  let absent = 0;
  const lines = new Lines(source);
  const rows = new RowCutter(delimiter, (cells, mistakes) => {
    if ((cells[0] ?? '').trimStart().startsWith('#')) return;
    for (const { offset, message, found, expected } of mistakes) {
      const { line, column: at, offset: start } = rows.at(offset);
      const place = { file, path: [], start: { line, column: at, offset: start }, end: lines.at(start + 1) };
      findings.push({ rule: 'row-form', level: 'error', message, place, found, expected });
    }
    if (columns === undefined) {
      columns = cells.map(column);
      return;
    }
    const of = (name: string) => (cells[columns?.indexOf(name) ?? -1] ?? '').trim();
    if (/^absen/i.test(of(STATUS))) {
      absent++;
      return;
    }
    const parts = PARTS.map(of);
    const joined = parts[0] === '' ? '' : parts.filter((p) => p !== '').join(' ');
    const own = NAMING.map((name) => [name, of(name)] as const).filter(([, word]) => word !== '');
    const words = [...own.map(([, word]) => word), ...(joined === '' ? [] : [joined])];
    const shown = own.find(([name]) => !IDS.has(name))?.[1] ?? (joined === '' ? words[0] : joined);
    if (shown !== undefined) list.add(rows.line, shown, words);
  });
  rows.read(source);
  rows.end();
  return { names: list.names, absent, findings };
}

function noColumn(source: string, first: string, file: string): Checklist {
  const lines = new Lines(source);
  const start = source.indexOf(first);
  const found = first.slice(0, 60);
  const finding: Finding = {
    rule: 'table-header',
    level: 'error',
    message: `no column holds names: the first line is ${quoted(first)}`,
    place: { file, path: [], start: lines.at(start), end: lines.at(start + first.length) },
    found,
    expected:
      'a column scientificName, acceptedScientificName, genus and specificEpithet, taxonID, name or id',
  };
  return { names: [], absent: 0, findings: [finding] };
}

/** Names as they come; an occurrence table has the same one many times. */
class NameList {
  readonly names: ListedName[] = [];
  readonly #seen = new Set<string>();

  add(line: number, written: string, words: readonly string[]): void {
    const mark = words.filter((w) => !/^\d+$/.test(w)).join('\0') || words.join('\0');
    if (this.#seen.has(mark)) return;
    this.#seen.add(mark);
    this.names.push({ line, written, words });
  }
}
