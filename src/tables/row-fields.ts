/** Reads the cells of a row other than the characters of the wide form: fields of a collection, and measurements. */
import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { defined } from '../text/optional.js';
import { partsOf } from '../text/parts.js';
import type { Observation } from '../traits/collection.js';
import { CellReader, isMistake } from './cell-reader.js';
import type { CollectionDraft } from './collection-draft.js';
import type { ReadOptions } from './entry.js';
import {
  type CollectionField,
  isRegion,
  isSubdivision,
  photographsIn,
  readDate,
  traitNamed,
} from './fields.js';
import type { FieldColumn, LongColumns } from './header.js';
import { problemOfTaxon, type ReadChoice } from './vocabulary.js';

/** The place of a cell of the row at hand. */
type CellPlace = (cell: number, length: number) => Place;

/** Reads the cells of a row that describe its collection into the draft of it. */
export class RowFields {
  constructor(
    readonly options: ReadOptions,
    readonly place: CellPlace,
  ) {}

  /** Reads everything that is not a character. `id` is the column that a finding about two columns points at. */
  read(
    cells: readonly string[],
    draft: CollectionDraft,
    { fields, id }: { readonly fields: readonly FieldColumn[]; readonly id: number },
  ): { specimen: string; stage: string } {
    let specimen = '';
    let stage = '';
    let region = '';
    let country = '';
    let photographs = '';
    for (const { index, field } of fields) {
      const text = (cells[index] ?? '').trim();
      if (text === '') continue;
      if (field === 'specimen') specimen = text;
      else if (field === 'stage') {
        stage = text;
        draft.addStage(text);
      } else if (field === 'date') this.date(draft, index, text);
      else if (field === 'region') {
        region = text;
        if (!isRegion(text)) this.#badRegion(draft, index, text);
      } else if (field === 'province') region ||= isSubdivision(text) ? text : '';
      else if (field === 'country') country = isRegion(text) ? text : '';
      else if (field === 'place' || field === 'by' || field === 'habitat')
        this.describe(draft, field, index, text);
      else if (field === 'note') draft.addNote(text);
      else if (field === 'photographs') photographs = text;
      else if (field === 'expect') {
        for (const taxon of partsOf(text)) this.expect(draft, index, text, taxon);
      } else if (field === 'leads') this.#leads(draft, index, text);
    }
    if (photographs !== '') draft.addPhotographs(photographsIn(photographs), specimen || undefined);
    if (region !== '' || country !== '') this.describe(draft, 'region', id, region || country);
    return { specimen, stage };
  }

  date(draft: CollectionDraft, index: number, text: string): void {
    const date = readDate(text);
    if (date !== undefined) this.describe(draft, 'date', index, date);
    else
      draft.fault({
        rule: 'date-form',
        level: 'error',
        message: `${quoted(text)} is not a date; write year-month-day, such as 2026-10-18`,
        place: this.place(index, text.length),
        found: text,
        expected: 'a date such as 2026-10-18',
      });
  }

  describe(draft: CollectionDraft, field: CollectionField, index: number, text: string): void {
    const before = draft.describe(field, text);
    if (before === undefined) return;
    draft.fault({
      rule: 'rows-agree',
      level: 'error',
      message: `the rows of collection ${quoted(draft.id)} differ in their ${field}: ${quoted(before)} before, ${quoted(text)} here`,
      place: this.place(index, text.length),
      found: text,
      expected: before,
    });
  }

  /** Takes a lead that a person chose, written as `word`, in the cell that holds `text`. */
  choose(draft: CollectionDraft, index: number, text: string, word: string, read: ReadChoice): void {
    const problem = read.ok
      ? draft.choose(read.choice)
        ? undefined
        : `another lead was chosen at couplet ${read.choice.couplet} before`
      : read.problem;
    if (problem === undefined) return;
    const near = read.ok ? undefined : read.nearest;
    draft.fault({
      rule: 'lead-known',
      level: 'error',
      message: `${quoted(word)}: ${problem}${near === undefined ? '' : `; did you mean couplet ${near}?`}`,
      place: this.place(index, text.length),
      found: word,
      expected: read.ok ? 'one lead of a couplet' : read.expected,
      ...defined({ nearest: near }),
    });
  }

  #badRegion(draft: CollectionDraft, index: number, text: string): void {
    draft.fault({
      rule: 'region-form',
      level: 'error',
      message: `${quoted(text)} is not the code of a region; write one such as GB or GB-CMA`,
      place: this.place(index, text.length),
      found: text,
      expected: 'a region code such as GB-CMA',
    });
  }

  /** Takes a taxon that the find is known to be, written in the cell that holds `text`. */
  expect(draft: CollectionDraft, index: number, text: string, taxon: string): void {
    draft.addExpected(taxon);
    const problem = problemOfTaxon(this.options.vocabulary, taxon);
    if (problem === undefined) return;
    draft.fault({
      rule: problem.rule,
      level: 'error',
      message: `expect of ${quoted(draft.id)}: ${problem.message}`,
      place: this.place(index, text.length),
      found: taxon,
      expected: problem.expected,
      ...defined({ nearest: problem.nearest }),
    });
  }

  #leads(draft: CollectionDraft, index: number, text: string): void {
    const { vocabulary } = this.options;
    for (const word of text.split(/[\s,;|]+/).filter((w) => w !== ''))
      this.choose(draft, index, text, word, vocabulary.readLead(word));
  }
}

/** What a row of the long form holds: an observation, a mistake, or nothing for this key. */
export interface RowReading {
  readonly seen?: Observation;
  readonly mistake?: Finding;
  /** The name and text of something that means nothing to the key and is passed on. */
  readonly other?: readonly [name: string, text: string];
}

const NOTHING: RowReading = {};

/** Reads rows of the long form: measurementType, measurementValue, measurementUnit. */
export class MeasurementReader {
  /** By the name of the character; `passed on` for a name that means nothing to the key. */
  readonly #readers = new Map<string, CellReader | 'passed on'>();
  /** The columns of the row at hand. */
  #at: LongColumns = { character: 0, value: 0, unit: -1 };

  constructor(
    readonly options: ReadOptions,
    readonly place: CellPlace,
    readonly decimalComma = false,
  ) {}

  /** What a row says of the collection of that id. */
  read(cells: readonly string[], at: LongColumns, id: string): RowReading {
    const name = (cells[at.character] ?? '').trim();
    const written = (cells[at.value] ?? '').trim();
    if (name === '' && written === '') return NOTHING;
    this.#at = at;
    const reader = this.#reader(name);
    if (reader === 'passed on')
      return written === '' ? NOTHING : { other: [name, withUnit(written, cells[at.unit])] };
    if (reader === undefined) return { mistake: this.#unknown(name, at.character) };
    if (reader === 'passed over' || written === '') return NOTHING;
    const unit = at.unit < 0 ? '' : (cells[at.unit] ?? '').trim();
    // A unit written with the number counts; the column can only repeat it.
    const bare =
      reader.character.kind === 'measure' && unit !== '' && unit !== '1' && /[\d)]\s*\??$/.test(written);
    // What is doubted has its `?` behind the unit.
    const text = bare ? written.replace(/\s*(\??)$/, ` ${unit}$1`) : written;
    const cell = reader.read(text);
    if (cell === undefined) return NOTHING;
    if (!isMistake(cell)) return { seen: cell };
    return { mistake: cellMistake(cell, { id, reader, text, place: this.place(at.value, text.length) }) };
  }

  #unknown(name: string, index: number): Finding {
    const { vocabulary } = this.options;
    const near = nearest(name, vocabulary.characters.keys());
    const hint = near === undefined ? '' : `; did you mean ${near}?`;
    return {
      rule: 'character-known',
      level: 'error',
      message: `${quoted(name)} is not a character of ${vocabulary.keyId}${hint}`,
      place: this.place(index, name.length),
      found: name,
      expected: near ?? 'a character of the key',
      ...defined({ nearest: near }),
    };
  }

  #reader(name: string): CellReader | 'passed over' | 'passed on' | undefined {
    const known = this.#readers.get(name);
    if (known !== undefined) return known;
    const reader = this.#newReader(name);
    if (reader !== 'passed over' && reader !== undefined) this.#readers.set(name, reader);
    return reader;
  }

  #newReader(name: string): CellReader | 'passed over' | 'passed on' | undefined {
    const { vocabulary, passOver, notes, strictColumns } = this.options;
    const place = () => this.place(this.#at.character, name.length);
    let character = vocabulary.characters.get(name);
    if (character === undefined) {
      if (passOver?.has(name)) return 'passed over';
      const meant = traitNamed(name, vocabulary.characters);
      if (meant.kind === 'unknown') {
        if (meant.mistyped || strictColumns === true || name === '') return undefined;
        notes?.unknown(name, place);
        return 'passed on';
      }
      character = meant.character;
      notes?.spelling(name, character.id, place);
    }
    const { id } = character;
    return new CellReader(character, {
      decimalComma: this.decimalComma,
      noted: (text, read) => notes?.value(id, text, read, () => this.place(this.#at.value, text.length)),
    });
  }
}

function withUnit(written: string, unit = ''): string {
  const text = unit.trim();
  return text === '' || !/\d$/.test(written) ? written : `${written} ${text}`;
}

/** What is wrong with a cell of a character. */
export function cellMistake(
  mistake: { readonly problem: string; readonly expected: string; readonly nearest?: string },
  at: { readonly id: string; readonly reader: CellReader; readonly text: string; readonly place: Place },
): Finding {
  const { character } = at.reader;
  const near = mistake.nearest;
  const hint = near === undefined ? `; expected ${mistake.expected}` : `; did you mean ${near}?`;
  return {
    rule: character.kind === 'choice' ? 'state-known' : 'number-form',
    level: 'error',
    message: `${character.id} of ${quoted(at.id)}: ${mistake.problem}${hint}`,
    place: at.place,
    found: at.text,
    expected: mistake.expected,
    ...defined({ nearest: near }),
  };
}
