import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { count } from '../text/words.js';
import type { Observation } from '../traits/collection.js';
import { type Cell, type CellReader, isMistake } from './cell-reader.js';
import { CollectionDraft } from './collection-draft.js';
import type { Entry, ReadOptions, TableReader } from './entry.js';
import { isIdName } from './fields.js';
import { type Header, type LongColumns, readHeader } from './header.js';
import { repeatedId } from './ids.js';
import { cellMistake, MeasurementReader, RowFields } from './row-fields.js';
import type { RowMistake } from './row-text.js';
import { RowCutter } from './rows.js';

const NO_PATH: readonly string[] = [];

/** A header is looked for in so many rows: titles and notes may stand above it. */
const MOST_TITLE_ROWS = 12;
/** What some spreadsheets write above a table to say what parts its cells. */
const SEPARATOR_LINE = /^sep=.?$/i;

/** Reads a table of cells: one row a collection or a specimen, or one row a measurement. */
export class CsvTable implements TableReader {
  readonly findings: Finding[] = [];
  stopped = false;
  readonly #options: ReadOptions;
  readonly #cutter: RowCutter;
  #header: Header | undefined;
  /** Rows that are no header, while there may still be one. */
  readonly #titles: { readonly place: Place; readonly findings: readonly Finding[] }[] = [];
  readonly #decimalComma: boolean;
  readonly #fields: RowFields;
  readonly #measurements: MeasurementReader;
  #draft: CollectionDraft | undefined;
  readonly #seen: Observation[] = [];
  #done: Entry[] = [];

  constructor(delimiter: string, options: ReadOptions) {
    this.#options = options;
    this.#decimalComma = delimiter === ';';
    const place = (cell: number, length: number) => this.#placeOf(cell, length);
    this.#fields = new RowFields(options, place);
    this.#measurements = new MeasurementReader(options, place, this.#decimalComma);
    this.#cutter = new RowCutter(delimiter, (cells, mistakes) => this.#row(cells, mistakes));
  }

  read(piece: string): readonly Entry[] {
    if (!this.stopped) this.#cutter.read(piece);
    return this.#taken();
  }

  end(): readonly Entry[] {
    if (!this.stopped) {
      this.#cutter.end();
      const [title] = this.#titles;
      if (this.#header === undefined && !this.stopped && title !== undefined) this.#noHeader();
      else if (this.#header === undefined && !this.stopped)
        this.#stop({
          rule: 'table-header',
          level: 'error',
          message: 'the table is empty; its first line must name the columns',
          place: this.#textStart(),
          found: 'nothing',
          expected: 'a line such as id,date,place and the characters',
        });
      this.#finish();
    }
    return this.#taken();
  }

  #taken(): readonly Entry[] {
    const done = this.#done;
    this.#done = [];
    return done;
  }

  #finish(): void {
    if (this.#draft !== undefined) this.#done.push(this.#draft.entry());
    this.#draft = undefined;
  }

  #stop(finding: Finding): void {
    this.findings.push(finding);
    this.stopped = true;
  }

  #placeOf(cell: number, length = 1): Place {
    const start = this.#cutter.place(cell);
    const end = { ...start, column: start.column + length, offset: start.offset + length };
    return { file: this.#options.file, path: NO_PATH, start, end };
  }

  #textStart(): Place {
    const start = { line: 1, column: 1, offset: 0 };
    return { file: this.#options.file, path: NO_PATH, start, end: start };
  }

  #row(cells: readonly string[], mistakes: readonly RowMistake[]): void {
    if (this.stopped) return;
    const header = this.#header;
    if (header === undefined) {
      if (cells.some((c) => c.trim() !== '')) this.#firstLine(cells, mistakes);
      return;
    }
    const id = (cells[header.id] ?? '').trim();
    if (id === '' && cells.every((c) => c.trim() === '')) return;
    const draft = this.#draftFor(id, header);
    for (const mistake of mistakes) draft.fault(this.#formFinding(mistake));
    // When its quotes are wrong, it is not certain which cells a row has.
    if (mistakes.length > 0) return;
    if (cells.length !== header.columns && this.#ragged(cells, draft, header.columns)) return;
    if (header.long !== undefined) this.#measurement(cells, draft, header, header.long);
    else this.#specimen(cells, draft, header);
  }

  /** Reads a row as the header; what has no column of ids and no character may be a title above it. */
  #firstLine(cells: readonly string[], mistakes: readonly RowMistake[]): void {
    const { notes } = this.#options;
    if (SEPARATOR_LINE.test(cells[0] ?? '') && cells.slice(1).every((c) => c.trim() === '')) {
      notes?.say('separator-line', `the line sep=${this.#cutter.delimiter} is passed over`, () =>
        this.#placeOf(0),
      );
      return;
    }
    const place = (cell: number, length: number) => this.#placeOf(cell, length);
    const form = mistakes.map((m) => this.#formFinding(m));
    const { header, findings, known } = readHeader(cells, this.#options, place, this.#decimalComma);
    const filled = cells.filter((c) => c.trim() !== '').length;
    // A lone word such as "Collection" is the column of ids only where it is written just so.
    const title = known === 0 || (filled === 1 && !cells.some((c) => isIdName(c.trim())));
    if (title) {
      this.#titles.push({ place: this.#placeOf(0), findings: [...form, ...findings] });
      if (this.#titles.length >= MOST_TITLE_ROWS) this.#noHeader();
      return;
    }
    const [first, ...more] = this.#titles;
    if (header !== undefined && first !== undefined)
      notes?.say(
        'title-rows',
        `${count(1 + more.length, 'line')} above the names of the columns (line ${this.#cutter.line}) ${more.length === 0 ? 'is' : 'are'} passed over`,
        () => first.place,
      );
    this.findings.push(...form, ...findings);
    this.#header = header;
    this.stopped = header === undefined;
  }

  /** No row names the columns: what is wrong is said of the first. */
  #noHeader(): void {
    this.findings.push(...(this.#titles[0]?.findings ?? []));
    this.stopped = true;
  }

  #formFinding(mistake: RowMistake): Finding {
    const start = this.#cutter.at(mistake.offset);
    const { message, found, expected } = mistake;
    const place = { file: this.#options.file, path: NO_PATH, start, end: start };
    return { rule: 'row-form', level: 'error', message, place, found, expected };
  }

  /** Whether a row has too few cells, or too many that are not empty. */
  #ragged(cells: readonly string[], draft: CollectionDraft, wanted: number): boolean {
    if (cells.length > wanted && cells.slice(wanted).every((c) => c.trim() === '')) return false;
    draft.fault({
      rule: 'row-length',
      level: 'error',
      message: `the row of ${quoted(draft.id)} has ${count(cells.length, 'cell')}, and the first line names ${count(wanted, 'column')}`,
      place: this.#placeOf(Math.min(cells.length, wanted)),
      found: count(cells.length, 'cell'),
      expected: count(wanted, 'cell'),
    });
    return true;
  }

  /** The collection that a row belongs to: the one before it when it has the same id, else a new one. */
  #draftFor(id: string, header: Header): CollectionDraft {
    const before = this.#draft;
    if (before !== undefined && id !== '' && before.id === id) {
      before.rows++;
      return before;
    }
    this.#finish();
    const { line } = this.#cutter;
    const draft = new CollectionDraft(id === '' ? `line ${line}` : id, line);
    this.#draft = draft;
    if (id === '') {
      draft.fault({
        rule: 'id-needed',
        level: 'error',
        message: `the row in line ${line} has no id`,
        place: this.#placeOf(header.id),
        found: 'nothing',
        expected: 'the id of the collection',
      });
      return draft;
    }
    const first = this.#options.seen.note(id, this.#options.file, line);
    if (first !== undefined) draft.fault(repeatedId(id, first, this.#placeOf(header.id, id.length)));
    return draft;
  }

  /** A row of the wide form: what was seen of the whole collection, or of one specimen. */
  #specimen(cells: readonly string[], draft: CollectionDraft, header: Header): void {
    const { specimen, stage } = this.#fields.read(cells, draft, header);
    const on = specimenOf(draft, specimen, header);
    // Gathered in a reused list, then copied at the right length.
    const seen = this.#seen;
    let count = 0;
    for (const { index, cells: reader } of header.traits) {
      const text = cells[index] as string;
      if (text === '') continue;
      const cell = reader.read(text);
      if (cell === undefined) continue;
      if (isMistake(cell)) draft.fault(this.#mistake(draft.id, index, text, cell, reader));
      else seen[count++] = on === undefined && stage === '' ? cell : atSpecimen(cell, on, stage);
    }
    const these = seen.slice(0, count);
    if (draft.rows === 1) draft.observations = these;
    else draft.observations.push(...these);
    this.#besides(cells, draft, header);
  }

  /** A row of the long form: one measurement. */
  #measurement(cells: readonly string[], draft: CollectionDraft, header: Header, at: LongColumns): void {
    const { specimen, stage } = this.#fields.read(cells, draft, header);
    this.#besides(cells, draft, header);
    const { seen, mistake, other } = this.#measurements.read(cells, at, draft.id);
    if (other !== undefined) draft.addOther(...other);
    if (mistake !== undefined) draft.fault(mistake);
    else if (seen !== undefined)
      draft.observations.push(
        specimen === '' && stage === '' ? seen : atSpecimen(seen, specimen || undefined, stage),
      );
  }

  #mistake(
    id: string,
    index: number,
    text: string,
    mistake: Extract<Cell, { ok: false }>,
    reader: CellReader,
  ): Finding {
    return cellMistake(mistake, { id, reader, text, place: this.#placeOf(index, text.length) });
  }

  /** Keeps what stands in columns that mean nothing to the key; with --keep-going, a row with text in a mistaken one is reported. */
  #besides(cells: readonly string[], draft: CollectionDraft, header: Header): void {
    for (const { index, name } of header.others) {
      const text = (cells[index] ?? '').trim();
      if (text !== '') draft.addOther(name, text);
    }
    for (const { index, name } of header.strange) {
      const text = (cells[index] ?? '').trim();
      if (text === '') continue;
      draft.fault({
        rule: 'column-known',
        level: 'error',
        message:
          name === ''
            ? `${quoted(text)} stands in column ${index + 1}, which has no name`
            : `${quoted(text)} stands in column ${quoted(name)}, which is not known`,
        place: this.#placeOf(index, text.length),
        found: text,
        expected: 'a cell in a known column',
      });
    }
  }
}

/** The specimen that a row describes. Where no column names specimens, several rows of a collection are as many
 * specimens, numbered; then what the first row said is of specimen 1.
 */
function specimenOf(draft: CollectionDraft, named: string, header: Header): string | undefined {
  if (named !== '') return named;
  if (draft.rows === 1 || header.fields.some((f) => f.field === 'specimen')) return undefined;
  if (draft.rows === 2) draft.observations = draft.observations.map((o) => ({ ...o, specimen: '1' }));
  return String(draft.rows);
}

function atSpecimen(cell: Observation, specimen: string | undefined, stage: string): Observation {
  const { character, value, doubted } = cell;
  if (doubted === true)
    return {
      character,
      value,
      ...(specimen === undefined ? {} : { specimen }),
      ...(stage === '' ? {} : { stage }),
      doubted,
    };
  if (specimen === undefined) return { character, value, stage };
  return stage === '' ? { character, value, specimen } : { character, value, specimen, stage };
}
