import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { CellReader, type LooseCells } from './cell-reader.js';
import type { ReadOptions } from './entry.js';
import type { Field } from './field-names.js';
import { columnNamed } from './fields.js';

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
  /** Columns that mean nothing to the key and are passed on. */
  readonly others: readonly { readonly index: number; readonly name: string }[];
}

/** A header as far as it could be read; without one, the rows mean nothing. */
interface ReadHeader {
  readonly header: Header | undefined;
  readonly findings: readonly Finding[];
  /** How many of its names are known. */
  readonly known: number;
}

/**
 * Reads the first line of a table. `place` gives the place of a cell of the line at hand, so that it can be asked later for
 * cells of other rows. With `decimalComma` numbers may have one.
 */
export function readHeader(
  cells: readonly string[],
  { vocabulary, passOver, keepGoing, notes, strictColumns }: ReadOptions,
  place: (cell: number, length: number) => Place,
  decimalComma = false,
): ReadHeader {
  const names = cells.map((c) => c.trim());
  const mistakes = new HeaderMistakes(names, vocabulary.keyId, place);
  const fields: FieldColumn[] = [];
  const traits: TraitColumn[] = [];
  const strange: { index: number; name: string }[] = [];
  const unknown: { index: number; nearest: string | undefined }[] = [];
  const others: { index: number; name: string }[] = [];
  const spelled: { index: number; as: string }[] = [];
  /** By field or name, the column that has it. */
  const first = new Map<string, number>();
  const looseCells = (id: string, index: number): LooseCells => ({
    decimalComma,
    noted: (text, read) => notes?.value(id, text, read, () => place(index, text.length)),
  });
  const of = (field: Field) => first.get(`\0${field}`);
  let twice = false;
  names.forEach((name, index) => {
    if (name === '') {
      strange.push({ index, name });
      return;
    }
    const column = columnNamed(name, vocabulary.characters);
    // The name of a character of another key is never another spelling of one of this key.
    if (passOver?.has(name) && (column.kind === 'unknown' || column.as !== undefined)) return;
    const meaning =
      column.kind === 'character'
        ? column.character.id
        : column.kind === 'field' && column.field !== 'unused'
          ? `\0${column.field}`
          : name;
    const other = first.get(meaning);
    if (other === undefined) first.set(meaning, index);
    else if (column.kind !== 'unknown' || column.mistyped || strictColumns === true) {
      mistakes.twice(index, other);
      twice = true;
    }
    if (column.kind !== 'unknown' && column.as !== undefined) spelled.push({ index, as: column.as });
    if (column.kind === 'character') {
      const { character, unit = character.unit } = column;
      const read = unit === character.unit ? character : { ...character, unit };
      const cells = new CellReader(read, looseCells(character.id, index));
      traits.push({ index, cells });
    } else if (column.kind === 'field') fields.push({ index, field: column.field });
    else if (!column.mistyped && strictColumns !== true) others.push({ index, name: freeName(name, others) });
    else {
      unknown.push({ index, nearest: column.nearest });
      if (keepGoing === true) strange.push({ index, name });
    }
  });
  const id = of('id') ?? of('number');
  if (id === undefined) {
    mistakes.noId(unknown.length + others.length);
    return { header: undefined, findings: mistakes.findings, known: fields.length + traits.length };
  }
  for (const { index, nearest } of unknown) mistakes.unknown(index, nearest);
  for (const { index, as } of spelled)
    notes?.spelling(names[index] ?? '', as, () => place(index, (names[index] ?? '').length));
  for (const { index, name } of others) notes?.unknown(name, () => place(index, (names[index] ?? '').length));
  const [character, value] = [of('character'), of('value')];
  const half = (character === undefined) !== (value === undefined);
  if (half) mistakes.half(character ?? value ?? 0);
  const long =
    character === undefined || value === undefined ? undefined : { character, value, unit: of('unit') ?? -1 };
  const header =
    twice || half ? undefined : { columns: names.length, id, fields, traits, strange, long, others };
  return { header, findings: mistakes.findings, known: fields.length + traits.length };
}

/** The name under which a column is passed on: the second `photo` is `photo (2)`. */
function freeName(name: string, others: readonly { readonly name: string }[]): string {
  let free = name;
  for (let n = 2; others.some((o) => o.name === free); n++) free = `${name} (${n})`;
  return free;
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
