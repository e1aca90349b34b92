import type { Finding } from '../../src/diagnostic/finding.js';
import type { CompiledKey } from '../../src/engine/compile.js';
import type { Entry, TableReader } from '../../src/tables/entry.js';
import { formatByText, type TableFormat } from '../../src/tables/format.js';
import { SeenIds } from '../../src/tables/ids.js';
import { TableNotes } from '../../src/tables/notes.js';
import { openTable } from '../../src/tables/reader.js';
import { vocabularyOf } from '../../src/tables/vocabulary.js';
import { open } from '../support/open.js';

/** A key with a state, a measure, a count, a character that depends on another, and a couplet by eye. */
export const capsKey: CompiledKey = open({
  keywright: 1,
  id: 'caps',
  title: 'Caps of Tarn Hollow',
  version: '1.10',
  scope: { regions: ['GB-CMA'], months: ['9', '10'].map(Number) },
  characters: {
    print: { name: 'colour of the print', states: ['white', 'rust', 'purple-black'] },
    ring: { name: 'ring on the stem', states: ['present', 'absent'] },
    'ring-texture': {
      name: 'texture of the ring',
      states: ['membranous', 'fibrous'],
      'applies-when': { ring: 'present' },
    },
    width: { name: 'width of the cap', kind: 'measure', unit: 'cm', limits: '0.2-60' },
    spots: { name: 'number of spots', kind: 'count' },
    habitat: { name: 'habitat', states: ['wood', 'grass'] },
  },
  couplets: {
    1: [
      { lead: 'Print rusty', when: { print: 'rust' }, to: '2' },
      { lead: 'Print white or dark', when: { print: ['white', 'purple-black'] }, to: '3' },
    ],
    2: [
      { lead: 'Ring membranous', when: { 'ring-texture': 'membranous' }, taxon: 'bell' },
      { lead: 'Ring fibrous or none', otherwise: true, taxon: 'tuft' },
    ],
    3: [
      { lead: 'Smells of meal', to: '4' },
      { lead: 'Does not', taxon: 'plain' },
    ],
    4: [
      { lead: 'Cap less than 4 cm', when: { width: '< 4' }, taxon: 'small' },
      { lead: 'Cap 4 cm or more', when: { width: '>= 4' }, taxon: 'large' },
    ],
  },
  taxa: {
    bell: { name: 'Galerina funebris', concern: { level: 'deadly' } },
    tuft: { name: 'Tufta mutabilis', concern: { level: 'none-recorded' } },
    plain: { name: 'Plana communis', within: 'plana', concern: { level: 'none-recorded' } },
    small: { name: 'Plana parva', within: 'plana', concern: { level: 'upset' } },
    large: { name: 'Plana magna', within: 'plana', concern: { level: 'upset' } },
    plana: { name: 'Plana', rank: 'genus' },
  },
});

/** Everything that came of a table. */
export interface Read {
  readonly entries: readonly Entry[];
  readonly reader: TableReader;
  /** `line:column message` of every mistake, those of the table first. */
  readonly mistakes: readonly string[];
  /** `line:column message` of every note. */
  readonly notes: readonly string[];
}

/** Reads a whole table for a key, in pieces of so many characters. */
export function readTable(
  text: string,
  format: TableFormat = formatByText(text),
  options: {
    key?: CompiledKey;
    piece?: number;
    keepGoing?: boolean;
    passOver?: ReadonlySet<string>;
    strictColumns?: boolean;
  } = {},
): Read {
  const { key = capsKey, piece = 1 << 20, keepGoing, passOver, strictColumns = false } = options;
  const notes = new TableNotes();
  const reader = openTable(format, text, {
    file: 'finds',
    vocabulary: vocabularyOf(key.chain),
    seen: new SeenIds(),
    notes,
    strictColumns,
    ...(keepGoing === undefined ? {} : { keepGoing }),
    ...(passOver === undefined ? {} : { passOver }),
  });
  const entries: Entry[] = [];
  for (let at = 0; at < text.length; at += piece) entries.push(...reader.read(text.slice(at, at + piece)));
  entries.push(...reader.end());
  return readOf(reader, entries, notes);
}

function readOf(reader: TableReader, entries: readonly Entry[], notes: TableNotes): Read {
  const findings = [...reader.findings, ...entries.flatMap((e) => e.findings)];
  const shown = (f: Finding) => `${f.place.start.line}:${f.place.start.column} ${f.message}`;
  return { entries, reader, mistakes: findings.map(shown), notes: notes.findings().map(shown) };
}

/** What a table says of each collection: id, then `specimen/stage character value` for each observation. */
export function seenIn(read: Read): [string, string[]][] {
  return read.entries.map(({ collection }) => [
    collection.id,
    collection.observations.map((o) =>
      `${[o.specimen, o.stage].filter((x) => x !== undefined).join('/')} ${o.character} ${o.value?.kind ?? '?'}`.trim(),
    ),
  ]);
}
