import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { count } from '../text/words.js';
import type { Observation } from '../traits/collection.js';
import { CellReader, isMistake } from './cells.js';
import { Draft } from './draft.js';
import type { Entry, ReadOptions, TableReader } from './entry.js';
import { type Described, isRegion, isSubdivision, readDate } from './fields.js';
import { type Header, readHeader } from './header.js';
import { repeated } from './ids.js';
import { RowCutter, type RowMistake } from './rows.js';
import { EXPECT_KNOWN, problemOfTaxon } from './vocabulary.js';

const NO_PATH: readonly string[] = [];

/** Reads a table of cells: one row a collection or a specimen, or one row a measurement. */
export class CellTable implements TableReader {
  readonly findings: Finding[] = [];
  stopped = false;
  readonly #options: ReadOptions;
  readonly #cutter: RowCutter;
  #header: Header | undefined;
  /** In the long form, by the name of the character. */
  readonly #readers = new Map<string, CellReader>();
  #draft: Draft | undefined;
  readonly #seen: Observation[] = [];
  #done: Entry[] = [];

  constructor(delimiter: string, options: ReadOptions) {
    this.#options = options;
    this.#cutter = new RowCutter(delimiter, (cells, mistakes) => this.#row(cells, mistakes));
  }

  read(piece: string): readonly Entry[] {
    if (!this.stopped) this.#cutter.read(piece);
    return this.#taken();
  }

  end(): readonly Entry[] {
    if (!this.stopped) {
      this.#cutter.end();
      if (this.#header === undefined && !this.stopped)
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

  #row(cells: string[], mistakes: readonly RowMistake[]): void {
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
    // What the cells of a row are is not certain when its quotes are wrong.
    if (mistakes.length > 0) return;
    if (cells.length !== header.columns && this.#ragged(cells, draft, header.columns)) return;
    if (header.long !== undefined) this.#measurement(cells, draft, header, header.long);
    else this.#specimen(cells, draft, header);
  }

  #firstLine(cells: readonly string[], mistakes: readonly RowMistake[]): void {
    for (const mistake of mistakes) this.findings.push(this.#formFinding(mistake));
    const { header, findings } = readHeader(cells, this.#options, (cell, length) =>
      this.#placeOf(cell, length),
    );
    this.findings.push(...findings);
    this.#header = header;
    this.stopped = header === undefined;
  }

  #formFinding(mistake: RowMistake): Finding {
    const start = this.#cutter.at(mistake.offset);
    const { message, found, expected } = mistake;
    const place = { file: this.#options.file, path: NO_PATH, start, end: start };
    return { rule: 'row-form', level: 'error', message, place, found, expected };
  }

  /** Whether a row has too few cells, or too many that are not empty. */
  #ragged(cells: readonly string[], draft: Draft, wanted: number): boolean {
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
  #draftFor(id: string, header: Header): Draft {
    const before = this.#draft;
    if (before !== undefined && id !== '' && before.id === id) {
      before.rows++;
      return before;
    }
    this.#finish();
    const { line } = this.#cutter;
    const draft = new Draft(id === '' ? `line ${line}` : id, line);
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
    if (first !== undefined) draft.fault(repeated(id, first, this.#placeOf(header.id, id.length)));
    return draft;
  }

  /** A row of the wide form: what was seen of the whole collection, or of one specimen. */
  #specimen(cells: readonly string[], draft: Draft, header: Header): void {
    const { specimen, stage } = this.#readFields(cells, draft, header);
    const on = specimenOf(draft, specimen, header);
    // Gathered in a list that is there already, and copied at its right length.
    const seen = this.#seen;
    let count = 0;
    for (const { index, cells: reader } of header.traits) {
      const text = cells[index] as string;
      if (text === '') continue;
      const cell = reader.read(text);
      if (cell === undefined) continue;
      if (isMistake(cell)) this.#mistake(draft, index, text, cell, reader);
      else seen[count++] = on === undefined && stage === '' ? cell : placed(cell, on, stage);
    }
    const these = seen.slice(0, count);
    if (draft.rows === 1) draft.observations = these;
    else draft.observations.push(...these);
    this.#rejectStrange(cells, draft, header);
  }

  /** A row of the long form: one thing seen. */
  #measurement(
    cells: readonly string[],
    draft: Draft,
    header: Header,
    at: NonNullable<Header['long']>,
  ): void {
    const { specimen, stage } = this.#readFields(cells, draft, header);
    this.#rejectStrange(cells, draft, header);
    const name = (cells[at.character] ?? '').trim();
    const written = (cells[at.value] ?? '').trim();
    if (name === '' && written === '') return;
    const reader = this.#reader(name);
    if (reader === undefined) {
      const near = nearest(name, this.#options.vocabulary.characters.keys());
      const hint = near === undefined ? '' : `; did you mean ${near}?`;
      draft.fault({
        rule: 'character-known',
        level: 'error',
        message: `${quoted(name)} is not a character of ${this.#options.vocabulary.keyId}${hint}`,
        place: this.#placeOf(at.character, name.length),
        found: name,
        expected: near ?? 'a character of the key',
        ...(near === undefined ? {} : { nearest: near }),
      });
      return;
    }
    if (reader === 'passed over' || written === '') return;
    const unit = at.unit < 0 ? '' : (cells[at.unit] ?? '').trim();
    // A unit written with the number itself counts; the column repeats it at best.
    const bare = reader.character.kind === 'measure' && unit !== '' && unit !== '1' && /[\d)]$/.test(written);
    const text = bare ? `${written} ${unit}` : written;
    const cell = reader.read(text);
    if (cell === undefined) return;
    if (isMistake(cell)) this.#mistake(draft, at.value, text, cell, reader);
    else
      draft.observations.push(
        specimen === '' && stage === '' ? cell : placed(cell, specimen || undefined, stage),
      );
  }

  #reader(name: string): CellReader | 'passed over' | undefined {
    const known = this.#readers.get(name);
    if (known !== undefined) return known;
    const character = this.#options.vocabulary.characters.get(name);
    if (character === undefined) return this.#options.passOver?.has(name) ? 'passed over' : undefined;
    const reader = new CellReader(character);
    this.#readers.set(name, reader);
    return reader;
  }

  #mistake(
    draft: Draft,
    index: number,
    text: string,
    mistake: { readonly problem: string; readonly expected: string; readonly nearest?: string },
    reader: CellReader,
  ): void {
    const near = mistake.nearest;
    const hint = near === undefined ? `; expected ${mistake.expected}` : `; did you mean ${near}?`;
    draft.fault({
      rule: reader.character.kind === 'choice' ? 'state-known' : 'number-form',
      level: 'error',
      message: `${reader.character.id} of ${quoted(draft.id)}: ${mistake.problem}${hint}`,
      place: this.#placeOf(index, text.length),
      found: text,
      expected: mistake.expected,
      ...(near === undefined ? {} : { nearest: near }),
    });
  }

  /** Reads everything that is not a character. */
  #readFields(cells: readonly string[], draft: Draft, header: Header): { specimen: string; stage: string } {
    let specimen = '';
    let stage = '';
    let region = '';
    let country = '';
    for (const { index, field } of header.fields) {
      const text = (cells[index] ?? '').trim();
      if (text === '') continue;
      if (field === 'specimen') specimen = text;
      else if (field === 'stage') {
        stage = text;
        draft.addStage(text);
      } else if (field === 'date') this.#date(draft, index, text);
      else if (field === 'region') {
        region = text;
        if (!isRegion(text)) this.#badRegion(draft, index, text);
      } else if (field === 'province') region ||= isSubdivision(text) ? text : '';
      else if (field === 'country') country = isRegion(text) ? text : '';
      else if (field === 'place' || field === 'by' || field === 'habitat')
        this.#describe(draft, field, index, text);
      else if (field === 'note') draft.addNote(text);
      else if (field === 'expect') this.#expect(draft, index, text);
      else if (field === 'leads') this.#leads(draft, index, text);
    }
    if (region !== '' || country !== '') this.#describe(draft, 'region', header.id, region || country);
    return { specimen, stage };
  }

  #date(draft: Draft, index: number, text: string): void {
    const date = readDate(text);
    if (date !== undefined) this.#describe(draft, 'date', index, date);
    else
      draft.fault({
        rule: 'date-form',
        level: 'error',
        message: `${quoted(text)} is not a date; write year-month-day, such as 2026-10-18`,
        place: this.#placeOf(index, text.length),
        found: text,
        expected: 'a date such as 2026-10-18',
      });
  }

  #badRegion(draft: Draft, index: number, text: string): void {
    draft.fault({
      rule: 'region-form',
      level: 'error',
      message: `${quoted(text)} is not the code of a region; write one such as GB or GB-CMA`,
      place: this.#placeOf(index, text.length),
      found: text,
      expected: 'a region code such as GB-CMA',
    });
  }

  #describe(draft: Draft, field: Described, index: number, text: string): void {
    const before = draft.describe(field, text);
    if (before === undefined) return;
    draft.fault({
      rule: 'rows-agree',
      level: 'error',
      message: `the rows of collection ${quoted(draft.id)} differ in their ${field}: ${quoted(before)} before, ${quoted(text)} here`,
      place: this.#placeOf(index, text.length),
      found: text,
      expected: before,
    });
  }

  #expect(draft: Draft, index: number, text: string): void {
    for (const part of text.split('|')) {
      const taxon = part.trim();
      if (taxon === '') continue;
      draft.addExpected(taxon);
      const problem = problemOfTaxon(this.#options.vocabulary, taxon);
      if (problem === undefined) continue;
      draft.fault({
        rule: EXPECT_KNOWN,
        level: 'error',
        message: `expect of ${quoted(draft.id)}: ${problem.message}`,
        place: this.#placeOf(index, text.length),
        found: taxon,
        expected: 'a taxon of the key',
        ...(problem.nearest === undefined ? {} : { nearest: problem.nearest }),
      });
    }
  }

  #leads(draft: Draft, index: number, text: string): void {
    for (const word of text.split(/[\s,;|]+/).filter((w) => w !== '')) {
      const read = this.#options.vocabulary.readLead(word);
      const problem = read.ok
        ? draft.choose(read.choice)
          ? undefined
          : `another lead was chosen at couplet ${read.choice.couplet} before`
        : read.problem;
      if (problem === undefined) continue;
      const near = read.ok ? undefined : read.nearest;
      draft.fault({
        rule: 'lead-known',
        level: 'error',
        message: `${quoted(word)}: ${problem}${near === undefined ? '' : `; did you mean couplet ${near}?`}`,
        place: this.#placeOf(index, text.length),
        found: word,
        expected: read.ok ? 'one lead of a couplet' : read.expected,
        ...(near === undefined ? {} : { nearest: near }),
      });
    }
  }

  /** With --keep-going a row that says something in a column nobody knows is reported itself. */
  #rejectStrange(cells: readonly string[], draft: Draft, header: Header): void {
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

/**
 * The specimen that a row speaks of. Where no column names specimens, several rows of a collection are as many
 * specimens, numbered; then what the first row said is of specimen 1.
 */
function specimenOf(draft: Draft, named: string, header: Header): string | undefined {
  if (named !== '') return named;
  if (draft.rows === 1 || header.fields.some((f) => f.field === 'specimen')) return undefined;
  if (draft.rows === 2) draft.observations = draft.observations.map((o) => ({ ...o, specimen: '1' }));
  return String(draft.rows);
}

function placed(cell: Observation, specimen: string | undefined, stage: string): Observation {
  const { character, value } = cell;
  if (specimen === undefined) return { character, value, stage };
  return stage === '' ? { character, value, specimen } : { character, value, specimen, stage };
}
