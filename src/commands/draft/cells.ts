/** Reads a table of cells, a row a taxon and a column a character, into the form that a YAML table has. */
import type { Finding, Path, Place, Position } from '../../diagnostic/finding.js';
import { Lines } from '../../diagnostic/lines.js';
import { reserved } from '../../key/conditions.js';
import type { Data, YamlText } from '../../key/document.js';
import type { Terms } from '../../key/key.js';
import { RowCutter } from '../../tables/rows.js';
import { quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { normalized } from '../../text/normalized.js';
import { defined } from '../../text/optional.js';
import { partsOf } from '../../text/parts.js';
import { Ids, slug } from '../../text/slug.js';
import { count } from '../../text/words.js';
import { nearestUnit, unitNames } from '../../traits/units.js';
import { type CharacterColumn, characterColumns } from './columns.js';
import { type Heading, readHeading, withoutBrackets } from './heading.js';
import { holdNumbers, type PlacedCell } from './placed-cell.js';

type MutableMap = Record<string, Data>;

// What a column can hold besides characters, by the names it may have; the second word of a row is where it goes.
const FIELDS: Readonly<Record<string, string>> = {
  id: 'id',
  taxonid: 'id',
  name: 'name',
  taxon: 'name',
  species: 'name',
  scientificname: 'name',
  common: 'common',
  'common-name': 'common',
  vernacularname: 'common',
  rank: 'rank',
  taxonrank: 'rank',
  authority: 'authority',
  scientificnameauthorship: 'authority',
  within: 'within',
  concern: 'concern',
  effect: 'effect',
  onset: 'onset',
  'concern-source': 'concern-source',
  frequency: 'frequency',
  alike: 'alike',
  synonyms: 'synonyms',
  habitat: 'habitat',
  months: 'months',
  note: 'note',
};
const LISTS = new Set(['common', 'alike', 'synonyms']);
const NAMED = 'id, name, common, rank, authority, within, concern, frequency, habitat or note';

/** Fields that say what a taxon is like, and that a person may have meant to be asked. */
const REMARKS = new Set(['habitat', 'months', 'note']);

/** How the columns of a table are to be taken. */
interface ColumnsTaken {
  /** The characters that there may be; without it every column is one that is no field of a taxon. */
  readonly terms: Terms | undefined;
  /** Headings of columns that are characters though they have the name of a field. */
  readonly asCharacter: readonly string[];
}

/** Reads cells. Columns that are no field of a taxon are characters: those of the terms where these are given. */
export function readCells(
  text: string,
  file: string,
  delimiter: ',' | ';' | '\t',
  { terms, asCharacter }: ColumnsTaken,
  remarks: string[],
): YamlText {
  return new TaxonTable(text, file, delimiter, terms, asCharacter, remarks).read();
}

class TaxonTable {
  readonly #findings: Finding[] = [];
  readonly #places = new Map<string, Place>();
  readonly #lines: Lines;
  #header: readonly PlacedCell[] | undefined;
  readonly #rows: (readonly PlacedCell[])[] = [];
  /** By row its name, where only common names are given. */
  readonly #names = new Map<readonly PlacedCell[], PlacedCell>();

  constructor(
    readonly text: string,
    readonly file: string,
    readonly delimiter: string,
    readonly terms: Terms | undefined,
    readonly asCharacter: readonly string[],
    readonly remarks: string[],
  ) {
    this.#lines = new Lines(text);
  }

  read(): YamlText {
    this.#cut();
    const data = this.#header === undefined ? undefined : this.#build(this.#header);
    return {
      file: this.file,
      lines: this.#lines,
      data,
      findings: this.#findings,
      place: (path) => this.#placeAt(path),
    };
  }

  #cut(): void {
    const cutter = new RowCutter(this.delimiter, (cells, mistakes) => {
      const placed = cells.map((cell, i): PlacedCell => {
        const start = cutter.place(i);
        const end = { ...start, column: start.column + cell.length, offset: start.offset + cell.length };
        return { text: cell.trim(), place: { file: this.file, path: [], start, end } };
      });
      for (const { offset, message, found, expected } of mistakes) {
        const at: Position = cutter.at(offset);
        const place = { file: this.file, path: [], start: at, end: at };
        this.#findings.push({ rule: 'row-form', level: 'error', message, place, found, expected });
      }
      if (mistakes.length > 0 || placed.every((c) => c.text === '')) return;
      if (this.#header === undefined) this.#header = placed;
      else this.#rows.push(placed);
    });
    cutter.read(this.text.replace(/^\ufeff/, ''));
    cutter.end();
    if (this.#header === undefined && this.#findings.length === 0)
      this.#wrong('table-header', 'the table is empty; its first line must name the columns', this.#top(), {
        expected: `a line such as name,rank,concern and the characters`,
      });
    else if (this.#rows.length === 0 && this.#findings.length === 0)
      this.#wrong(
        'table-rows',
        'the table has no taxa: only the first line, which names the columns',
        this.#top(),
      );
  }

  #build(header: readonly PlacedCell[]): Data | undefined {
    const fields = new Map<number, string>();
    const traits: { index: number; head: PlacedCell; heading: Heading; id: string }[] = [];
    const taken = new Map<string, number>();
    const ids = new Ids('character');
    const before = this.#findings.length;
    this.#checkNamed(header);
    header.forEach((head, index) => {
      if (head.text === '') {
        const full = this.#rows.find((row) => (row[index]?.text ?? '') !== '');
        if (full !== undefined)
          this.#wrong(
            'column-known',
            `column ${index + 1} has no name, but cells`,
            (full[index] as PlacedCell).place,
            {
              expected: 'a name in the first line',
            },
          );
        return;
      }
      const character = this.#characterNamed(head.text);
      const word = slug(head.text);
      const mayBeField = character === undefined && !this.#isAsked(head.text);
      const field = mayBeField && Object.hasOwn(FIELDS, word) ? FIELDS[word] : undefined;
      const cells = this.#rows.flatMap((row) => row[index] ?? []);
      const heading = readHeading(head.text, holdNumbers(cells));
      const id = character ?? (field === undefined ? ids.of(heading.name) : `\0${field}`);
      const other = taken.get(id);
      if (other !== undefined)
        this.#wrong(
          'column-once',
          `columns ${other + 1} and ${index + 1} are both ${quoted(head.text)}`,
          head.place,
        );
      taken.set(id, index);
      if (field !== undefined) {
        fields.set(index, field);
        if (REMARKS.has(field) && cells.some((c) => c.text !== ''))
          this.remarks.push(
            `column ${quoted(head.text)} is kept with each taxon as a remark and never asked; --ask ${word} makes a character of it`,
          );
      } else if (heading.noUnit !== undefined) this.#noUnit(head, heading.noUnit);
      else if (this.terms !== undefined && character === undefined) this.#unknownColumn(head, index);
      else if (slug(heading.name) === '' || reserved.includes(id))
        this.#wrong(
          'column-known',
          `column ${index + 1}, ${quoted(head.text)}, cannot name a character`,
          head.place,
          {
            expected: 'a name with a letter or digit in it',
          },
        );
      else traits.push({ index, head, heading, id });
    });
    this.#commonAsName(fields);
    const named = [...fields.values()];
    if (!named.includes('id') && !named.includes('name'))
      this.#wrong('table-header', 'no column holds the names of the taxa', header[0]?.place ?? this.#top(), {
        found: header[0]?.text ?? '',
        expected: 'a column name (or id)',
      });
    if (this.#findings.length > before) return undefined;
    for (const row of this.#rows) this.#ragged(row, header.length);
    const columns = traits.map(
      ({ index, head, heading, id }): CharacterColumn => ({
        id,
        head,
        heading,
        cells: this.#rows.map((row) => row[index] ?? { text: '', place: head.place }),
        known: this.terms?.characters.get(id),
      }),
    );
    const read = characterColumns(columns, this.remarks, (rule, message, place, detail) =>
      this.#wrong(rule, message, place, detail),
    );
    const root: MutableMap = emptyMap();
    root['keywright-taxa'] = 1;
    if (this.terms === undefined) root.characters = read.characters;
    for (const column of columns) this.#note(['characters', column.id], column.head.place);
    root.taxa = this.#taxa(fields, columns, read.traits);
    return root;
  }

  #taxa(
    fields: ReadonlyMap<number, string>,
    columns: readonly CharacterColumn[],
    traits: readonly (readonly (Data | undefined)[])[],
  ): MutableMap {
    const taxa: MutableMap = emptyMap();
    const given = this.#rows.map((row) => this.#cell(row, fields, 'id')?.text ?? '');
    const made = new Ids('taxon', given);
    this.#rows.forEach((row, r) => {
      const name = this.#cell(row, fields, 'name');
      if (given[r] !== '' && name !== undefined) made.settle(name.text, given[r] ?? '');
    });
    const ids = this.#rows.map((row, r) => {
      const name = this.#cell(row, fields, 'name');
      return given[r] || (name === undefined ? '' : made.of(name.text));
    });
    const names = new Map<string, string>();
    this.#rows.forEach((row, r) => {
      const id = ids[r] as string;
      const name = this.#cell(row, fields, 'name');
      names.set(id, id);
      if (name !== undefined) names.set(normalized(name.text), id);
    });
    this.#rows.forEach((row, r) => {
      const id = ids[r] as string;
      const first = this.#cell(row, fields, 'id') ?? this.#cell(row, fields, 'name') ?? row[0];
      if (id === '' || first === undefined) {
        this.#wrong('id-form', 'this row has no name', (row[0] as PlacedCell).place, {
          expected: 'the name of a taxon',
        });
        return;
      }
      if (Object.hasOwn(taxa, id)) {
        const other = this.#places.get(JSON.stringify(['taxa', id]));
        this.#wrong('id-unique', `taxon ${quoted(first.text)} stands twice`, first.place, {
          related: other === undefined ? [] : [{ message: 'the first one', place: other }],
        });
        return;
      }
      this.#note(['taxa', id], first.place);
      const taxon: MutableMap = emptyMap();
      taxon.name = this.#cell(row, fields, 'name')?.text ?? first.text;
      for (const [index, field] of fields) this.#field(taxon, id, field, row[index], names);
      const shown: MutableMap = emptyMap();
      columns.forEach((column, c) => {
        const value = traits[c]?.[r];
        if (value === undefined) return;
        shown[column.id] = value;
        this.#note(['taxa', id, 'traits', column.id], (column.cells[r] as PlacedCell).place);
      });
      if (Object.keys(shown).length > 0) taxon.traits = shown;
      taxa[id] = taxon;
    });
    this.#holders(taxa, made);
    return taxa;
  }

  #cell(
    row: readonly PlacedCell[],
    fields: ReadonlyMap<number, string>,
    wanted: string,
  ): PlacedCell | undefined {
    for (const [index, field] of fields) {
      const cell = index < 0 ? this.#names.get(row) : row[index];
      if (field === wanted && cell !== undefined && cell.text !== '') return cell;
    }
    return undefined;
  }

  #field(
    taxon: MutableMap,
    id: string,
    field: string,
    cell: PlacedCell | undefined,
    names: ReadonlyMap<string, string>,
  ): void {
    if (cell === undefined || cell.text === '' || field === 'id' || field === 'name') return;
    const { text, place } = cell;
    const known = (name: string) => names.get(name) ?? names.get(normalized(name)) ?? name;
    const of = field === 'concern' || field === 'effect' || field === 'onset' || field === 'concern-source';
    if (of) {
      const part = field === 'concern' ? 'level' : field === 'concern-source' ? 'source' : field;
      taxon.concern = { ...((taxon.concern as MutableMap | undefined) ?? {}), [part]: text };
      this.#note(['taxa', id, 'concern', part], place);
      if (part === 'level') this.#note(['taxa', id, 'concern'], place);
      return;
    }
    const parts = partsOf(text);
    if (LISTS.has(field)) taxon[field] = field === 'alike' ? parts.map(known) : parts;
    else if (field === 'months') taxon.months = parts.flatMap(monthsIn);
    else if (field === 'frequency') taxon.frequency = Number.isNaN(Number(text)) ? text : Number(text);
    else taxon[field] = field === 'within' ? known(text) : text;
    this.#note(['taxa', id, field], place);
  }

  /** Groups that rows name and that have no row of their own. */
  #holders(taxa: MutableMap, ids: Ids): void {
    const made = new Map<string, string>();
    for (const [id, taxon] of Object.entries(taxa)) {
      const fields = taxon as MutableMap;
      const { within } = fields;
      if (typeof within !== 'string' || Object.hasOwn(taxa, within)) continue;
      const group = ids.of(within);
      if (Object.hasOwn(taxa, group) && !made.has(group)) {
        fields.within = group;
        continue;
      }
      const near = made.has(group) ? undefined : nearest(group, Object.keys(taxa));
      const place = this.#places.get(JSON.stringify(['taxa', id, 'within'])) ?? this.#top();
      if (near !== undefined) {
        this.#wrong(
          'taxon-known',
          `${quoted(within)} is not a taxon of the table${near === undefined ? '' : `; did you mean ${near}?`}`,
          place,
          {
            found: within,
            ...defined({ nearest: near }),
          },
        );
        continue;
      }
      if (!made.has(group)) {
        const holder: MutableMap = emptyMap();
        holder.name = within;
        taxa[group] = holder;
        made.set(group, within);
        this.#note(['taxa', group], place);
      }
      fields.within = group;
    }
    if (made.size > 0)
      this.remarks.push(
        `${count(made.size, 'group')} named under "within" without a row of their own: ${[...made.values()].join(', ')}`,
      );
  }

  #characterNamed(name: string): string | undefined {
    const characters = this.terms?.characters;
    if (characters === undefined) return undefined;
    const plain = withoutBrackets(name);
    for (const wanted of [name, plain, slug(plain)]) if (characters.has(wanted)) return wanted;
    return [...characters.values()].find((c) => normalized(c.name) === normalized(plain))?.id;
  }

  #isAsked(heading: string): boolean {
    return this.asCharacter.some((named) => normalized(named) === normalized(heading));
  }

  /** Every column that is to be a character must be there. */
  #checkNamed(header: readonly PlacedCell[]): void {
    const known = header.map((h) => h.text).filter((h) => h !== '');
    for (const named of this.asCharacter) {
      if (known.some((h) => normalized(h) === normalized(named))) continue;
      const near = nearest(named, known);
      this.#wrong(
        'column-known',
        `no column is called ${quoted(named)}${near === undefined ? '' : `; did you mean ${near}?`}`,
        header[0]?.place ?? this.#top(),
        { found: named, expected: near ?? 'the heading of a column', ...defined({ nearest: near }) },
      );
    }
  }

  /** Where a table has no names but common ones, these are the names of its taxa. */
  #commonAsName(fields: Map<number, string>): void {
    const named = [...fields.values()];
    const [index] = [...fields].find(([, field]) => field === 'common') ?? [];
    if (index === undefined || named.includes('id') || named.includes('name')) return;
    fields.set(-1, 'name');
    for (const row of this.#rows) {
      const [first] = partsOf(row[index]?.text ?? '');
      if (first !== undefined) this.#names.set(row, { ...(row[index] as PlacedCell), text: first });
    }
  }

  #noUnit(head: PlacedCell, found: string): void {
    const near = nearestUnit(found);
    this.#wrong(
      'column-unit',
      `${quoted(found)} in the heading ${quoted(head.text)} is not a unit${near === undefined ? '' : `; did you mean ${near}?`}`,
      head.place,
      {
        found,
        expected:
          near ?? `a unit (${unitNames.filter((u) => u !== '1').join(', ')}), or the words without brackets`,
        ...defined({ nearest: near }),
      },
    );
  }

  #unknownColumn(head: PlacedCell, index: number): void {
    const known = [...(this.terms?.characters.keys() ?? [])];
    const near = nearest(slug(head.text), [...known, ...Object.keys(FIELDS)]);
    this.#wrong(
      'column-known',
      `column ${index + 1}, ${quoted(head.text)}, is neither a character of ${this.terms?.yaml.file ?? 'the terms'} nor a field of a taxon${near === undefined ? '' : `; did you mean ${near}?`}`,
      head.place,
      {
        found: head.text,
        expected: near ?? `a character, or ${NAMED}`,
        ...defined({ nearest: near }),
      },
    );
  }

  #ragged(row: readonly PlacedCell[], wanted: number): void {
    if (row.length === wanted) return;
    if (row.length > wanted && row.slice(wanted).every((c) => c.text === '')) return;
    const at = row[Math.min(row.length - 1, wanted)] as PlacedCell;
    this.#wrong(
      'row-length',
      `this row has ${count(row.length, 'cell')}, and the first line names ${count(wanted, 'column')}`,
      at.place,
      { found: count(row.length, 'cell'), expected: count(wanted, 'cell') },
    );
  }

  #wrong(rule: string, message: string, place: Place, detail: Partial<Finding> = {}): void {
    this.#findings.push({ rule, level: 'error', message, place, ...detail });
  }

  #note(path: Path, place: Place): void {
    this.#places.set(JSON.stringify(path), place);
  }

  #placeAt(path: Path): Place {
    for (let length = path.length; length > 0; length--) {
      const known = this.#places.get(JSON.stringify(path.slice(0, length).map(String)));
      if (known !== undefined) return { ...known, path };
    }
    return { ...this.#top(), path };
  }

  #top(): Place {
    const start = { line: 1, column: 1, offset: 0 };
    return { file: this.file, path: [], start, end: start };
  }
}

function monthsIn(part: string): Data[] {
  const [from, to = from] = part.split(/\s*[-–]\s*/).map(Number);
  if (from === undefined || to === undefined || Number.isNaN(from) || Number.isNaN(to)) return [part];
  // 11-2 crosses the turn of the year.
  const length = (to - from + 12) % 12;
  return Array.from({ length: length + 1 }, (_, i) => ((from - 1 + i) % 12) + 1);
}

function emptyMap(): MutableMap {
  return Object.create(null) as MutableMap;
}
