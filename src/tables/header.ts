import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { CellReader } from './cell-reader.js';
import type { ReadOptions } from './entry.js';
import { columnNamed, type Field } from './fields.js';

/** A column that holds a field of a collection or a specimen. */
export interface FieldColumn {
  readonly index: number;
  readonly field: Field;
}

/** A column that holds a character. */
interface TraitColumn {
  readonly index: number;
  readonly cells: CellReader;
}

/** The columns of the long form, one row a measurement. `unit` is -1 where there is none. */
export interface LongColumns {
  readonly character: number;
  readonly value: number;
  readonly unit: number;
}

/** What the first line of a table says of its columns. */
export interface Header {
  readonly columns: number;
  readonly id: number;
  readonly fields: readonly FieldColumn[];
  readonly traits: readonly TraitColumn[];
  /** Columns without a name and, with --keep-going, unknown columns. */
  readonly strange: readonly { readonly index: number; readonly name: string }[];
  readonly long: LongColumns | undefined;
}

/** A header as far as it could be read; without one, the rows mean nothing. */
interface ReadHeader {
  readonly header: Header | undefined;
  readonly findings: readonly Finding[];
}

/** Reads the first line of a table. `place` gives the place of a cell of that line. */
export function readHeader(
  cells: readonly string[],
  { vocabulary, passOver, keepGoing }: ReadOptions,
  place: (cell: number, length: number) => Place,
): ReadHeader {
  const names = cells.map((c) => c.trim());
  const mistakes = new HeaderMistakes(names, vocabulary.keyId, place);
  const fields: FieldColumn[] = [];
  const traits: TraitColumn[] = [];
  const strange: { index: number; name: string }[] = [];
  const unknown: { index: number; nearest: string | undefined }[] = [];
  /** By field or name, the column that has it. */
  const first = new Map<string, number>();
  const of = (field: Field) => first.get(`\0${field}`);
  let twice = false;
  names.forEach((name, index) => {
    if (name === '') {
      strange.push({ index, name });
      return;
    }
    const column = columnNamed(name, vocabulary.characters);
    const meaning = column.kind === 'field' && column.field !== 'unused' ? `\0${column.field}` : name;
    const other = first.get(meaning);
    if (other === undefined) first.set(meaning, index);
    else {
      mistakes.twice(index, other);
      twice = true;
    }
    if (column.kind === 'character') traits.push({ index, cells: new CellReader(column.character) });
    else if (column.kind === 'field') fields.push({ index, field: column.field });
    else if (passOver?.has(name)) return;
    else {
      unknown.push({ index, nearest: column.nearest });
      if (keepGoing === true) strange.push({ index, name });
    }
  });
  const id = of('id') ?? of('number');
  if (id === undefined) {
    mistakes.noId(unknown.length);
    return { header: undefined, findings: mistakes.findings };
  }
  for (const { index, nearest } of unknown) mistakes.unknown(index, nearest);
  const [character, value] = [of('character'), of('value')];
  const half = (character === undefined) !== (value === undefined);
  if (half) mistakes.half(character ?? value ?? 0);
  const long =
    character === undefined || value === undefined ? undefined : { character, value, unit: of('unit') ?? -1 };
  const header = twice || half ? undefined : { columns: names.length, id, fields, traits, strange, long };
  return { header, findings: mistakes.findings };
}

/** What is wrong with the names of columns. */
class HeaderMistakes {
  readonly findings: Finding[] = [];

  constructor(
    readonly names: readonly string[],
    readonly keyId: string,
    readonly place: (cell: number, length: number) => Place,
  ) {}

  #add(
    rule: string,
    index: number,
    message: string,
    expected: string,
    more: { found?: string; nearest?: string } = {},
  ): void {
    const name = this.names[index] ?? '';
    const place = this.place(index, name.length);
    this.findings.push({ rule, level: 'error', message, place, found: name, expected, ...more });
  }

  noId(unknown: number): void {
    const data = unknown > this.names.length / 2;
    this.#add(
      'table-header',
      0,
      data
        ? `the first line must name the columns, and ${quoted(this.names[0] ?? '')} is no name of one`
        : 'no column holds the ids of the collections',
      'a column id (or collection, occurrenceID, recordNumber)',
    );
  }

  unknown(index: number, near: string | undefined): void {
    const hint = near === undefined ? '' : `; did you mean ${near}?`;
    this.#add(
      'column-known',
      index,
      `column ${index + 1}, ${quoted(this.names[index] ?? '')}, is neither a character of ${this.keyId} nor a field of a collection${hint}`,
      near ?? 'a character of the key, or a field such as id, specimen, stage, date, place, region or note',
      defined({ nearest: near }),
    );
  }

  twice(index: number, other: number): void {
    const [name = '', before = ''] = [this.names[index], this.names[other]];
    this.#add(
      'column-once',
      index,
      name === before
        ? `column ${quoted(name)} stands twice, as number ${other + 1} and ${index + 1}`
        : `columns ${quoted(before)} and ${quoted(name)} mean the same`,
      'each column once',
    );
  }

  half(index: number): void {
    this.#add(
      'table-header',
      index,
      'measurementType and measurementValue belong together: one of the two columns is missing',
      'measurementType and measurementValue',
    );
  }
}
