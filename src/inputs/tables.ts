import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import type { Finding, Place } from '../diagnostic/finding.js';
import { UsageError } from '../diagnostic/usage-error.js';
import { fileTable, streamTable, type TableSource } from '../files/table-source.js';
import { openFinds } from '../record/table.js';
import type { Entry, ReadOptions, TableReader } from '../tables/entry.js';
import { formatOf, type GivenFormat } from '../tables/format.js';
import { SeenIds } from '../tables/ids.js';
import { TableNotes } from '../tables/notes.js';
import type { Vocabulary } from '../tables/vocabulary.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';
import { count } from '../text/words.js';
import { textWidth, wrapLines } from '../text/wrap.js';
import { findingLines } from '../words/findings.js';

/** Past this many mistakes, reading of a table stops: the first ones say enough. */
export const MOST_FINDINGS = 50;

/** How tables are read. */
interface TableReading {
  readonly vocabulary: Vocabulary;
  readonly from: GivenFormat | undefined;
  readonly keepGoing: boolean;
  /** Whether a column that means nothing to the key is a mistake. */
  readonly strictColumns?: boolean | undefined;
}

/** How one of several keys reads a table. */
interface KeyReading {
  readonly vocabulary: Vocabulary;
  readonly passOver?: ReadonlySet<string>;
  readonly seen: SeenIds;
}

/** A part of a table: its next collections, and new findings about the table as a whole. */
export interface TablePart {
  /** The name of the table's file, for messages. */
  readonly file: string;
  readonly entries: readonly Entry[];
  readonly findings: readonly Finding[];
  /** Something wrong makes the rest of this table unreadable. */
  readonly stopped: boolean;
  /** What was taken though it is not written as it should be; comes with the last part of a table. */
  readonly notes: readonly Finding[];
  /** The names of the columns that mean nothing to the key, as far as they are known by now. */
  readonly others: readonly string[];
}

/**
 * Characters processed together. The fewer at a time, the fewer rows are still alive at garbage collection,
 * which took a third of the time.
 */
const AT_ONCE = 8192;

/** Throws a UsageError when the standard input is to be read twice. */
export function requireOneStdin(tables: readonly string[], command: string): void {
  if (tables.filter((t) => t === '-').length > 1)
    throw new UsageError('the standard input (-) can be named once only', command);
}

/** Reads tables of collections one after the other, a part at a time; `-` is the standard input. */
export async function* readTables(
  names: readonly string[],
  { vocabulary, ...how }: TableReading,
  world: World,
): AsyncGenerator<TablePart, void> {
  const readings = [{ vocabulary, seen: new SeenIds() }];
  const said = new RecordNotes();
  try {
    for (const name of names)
      for await (const [part] of readPieces(name, readings, how, said, world)) yield part as TablePart;
  } finally {
    said.say(world);
  }
}

/**
 * Reads a table of collections for several keys together: each time a part as each of them reads it. What is no mistake but
 * should be known is said on stderr at the end.
 */
export async function* readTable(
  name: string,
  readings: readonly KeyReading[],
  how: Omit<TableReading, 'vocabulary'>,
  world: World,
): AsyncGenerator<readonly TablePart[], void> {
  const said = new RecordNotes();
  try {
    yield* readPieces(name, readings, how, said, world);
  } finally {
    said.say(world);
  }
}

/** The notes on all records of a run, each said once with the files that it is about. */
class RecordNotes {
  readonly #files = new Map<string, string[]>();

  add(file: string, notes: readonly string[]): void {
    for (const note of notes) {
      const files = this.#files.get(note) ?? [];
      if (!files.includes(file)) this.#files.set(note, [...files, file]);
    }
  }

  say(world: World): void {
    if (world.signal.aborted) return;
    for (const [note, [first = '', ...others]] of this.#files) {
      const more = others.length === 0 ? '' : ` and ${count(others.length, 'other')}`;
      sayAside(`${first}${more}: ${note}`, world);
    }
  }
}

/** Says on stderr what should be known besides: at a terminal within its width, else on one line. */
export function sayAside(text: string, world: World): void {
  const columns = world.columns('stderr');
  const plain = harmless(text);
  const lines = columns === undefined ? [plain] : wrapLines(plain, textWidth(columns), '', '  ');
  world.stderr.write(`${lines.join('\n')}\n`);
}

async function* readPieces(
  name: string,
  readings: readonly KeyReading[],
  { from, keepGoing, strictColumns = false }: Omit<TableReading, 'vocabulary'>,
  said: RecordNotes,
  world: World,
): AsyncGenerator<readonly TablePart[], void> {
  const file = name === '-' ? 'standard input' : name;
  const options = readings.map((reading) => {
    const notes = new TableNotes();
    return { ...reading, file, keepGoing, strictColumns, notes } satisfies ReadOptions;
  });
  const last = (part: TablePart, i: number): TablePart => ({
    ...part,
    notes: options[i]?.notes.findings() ?? [],
  });
  const told = readings.map(() => 0);
  /** What is new with each of the keys. */
  const parts = (
    states: readonly { readonly findings: readonly Finding[]; readonly stopped: boolean }[],
    read: readonly (readonly Entry[])[],
  ): TablePart[] =>
    states.map(({ findings, stopped }, i) => {
      const fresh = findings.slice(told[i]);
      told[i] = findings.length;
      return {
        file,
        entries: read[i] ?? [],
        findings: fresh,
        stopped,
        notes: [],
        others: options[i]?.notes.passedOn ?? [],
      };
    });
  const source = await sourceOf(name, from, world);
  if (source.kind === 'archive') {
    try {
      const { ArchiveTable } = await import('../tables/dwc/table.js');
      const table = new ArchiveTable(source.texts, options);
      for await (const entries of table.entries()) {
        yield parts(table.states, entries);
        if (world.signal.aborted) return;
      }
      yield parts(table.states, []).map(last);
    } finally {
      source.close();
    }
    return;
  }
  if (source.kind === 'finds') {
    try {
      for (const record of source.records) {
        if (world.signal.aborted) return;
        yield recordParts(record, options, said);
      }
      yield parts(
        options.map(() => ({ findings: [], stopped: false })),
        [],
      ).map(last);
    } finally {
      source.close();
    }
    return;
  }
  const open = (start: string): TableReader[] => {
    const format = (from === 'dwc' ? undefined : from) ?? formatOf(name, start);
    return options.map((o) => openFinds(format, start, o));
  };
  let readers: readonly TableReader[] | undefined;
  for await (const piece of source.pieces) {
    readers ??= open(piece);
    for (let at = 0; at < piece.length; at += AT_ONCE) {
      const slice = piece.slice(at, at + AT_ONCE);
      yield parts(
        readers,
        readers.map((r) => r.read(slice)),
      );
    }
    if (world.signal.aborted) return;
    if (readers.some((r) => r.stopped)) break;
  }
  readers ??= open('');
  if (source.encoding !== undefined)
    for (const { notes } of options)
      notes.say('table-encoding', `the table is text in ${source.encoding}`, () => topOf(file));
  const end = readers.map((r) => r.end());
  for (const reader of readers) said.add(file, reader.notes ?? []);
  yield parts(readers, end).map(last);
}

/** A record of an archive, as each key reads it; one that cannot be read does not hide the others. */
function recordParts(
  { file, text }: { readonly file: string; text(): string },
  options: readonly ReadOptions[],
  said: RecordNotes,
): TablePart[] {
  const base = { file, entries: [], notes: [], others: [] };
  let whole: string;
  try {
    whole = text();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const finding: Finding = {
      rule: 'record-whole',
      level: 'error',
      message: error.message,
      place: topOf(file),
    };
    return options.map(() => ({ ...base, findings: [finding], stopped: true }));
  }
  return options.map((o) => {
    const reader = openFinds('record', whole, { ...o, file });
    const entries = [...reader.read(whole), ...reader.end()];
    said.add(file, reader.notes ?? []);
    return { ...base, entries, findings: reader.findings, stopped: reader.stopped };
  });
}

function topOf(file: string): Place {
  const start = { line: 1, column: 1, offset: 0 };
  return { file, path: [], start, end: start };
}

/**
 * Says on stderr what was taken of tables though it is not written as it should be. Where several keys read one table, each
 * thing is said once.
 */
export function tellNotes(notes: readonly Finding[], world: World): void {
  const told = new Set<string>();
  for (const note of notes) {
    const what = `${note.place.file} ${note.rule}`;
    if (told.has(what)) continue;
    told.add(what);
    for (const line of findingLines([note])) world.stderr.write(`${harmless(line)}\n`);
  }
}

function sourceOf(name: string, from: GivenFormat | undefined, world: World): Promise<TableSource> {
  const named = /\.zip$/i.test(name) ? 'archive' : undefined;
  const kind = from === undefined || from === 'record' ? named : from === 'dwc' ? 'archive' : 'text';
  return name === '-'
    ? streamTable(world.stdin, 'the standard input', kind)
    : fileTable(resolve(world.cwd, name), name, kind);
}
