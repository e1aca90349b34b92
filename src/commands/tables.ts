import { resolve } from 'node:path';
import type { Finding } from '../diagnostic/finding.js';
import { filePieces, textPieces } from '../files/pieces.js';
import type { Entry, TableReader } from '../records/entry.js';
import { SeenIds } from '../records/ids.js';
import { formatByName, formatByText, openTable, type TableFormat } from '../records/reader.js';
import type { Vocabulary } from '../records/vocabulary.js';
import type { World } from '../terminal/world.js';

/** How tables are read. */
export interface TableReading {
  readonly vocabulary: Vocabulary;
  readonly from: TableFormat | undefined;
  readonly keepGoing: boolean;
}

/** A part of a table: its next collections, and what came to be known of the table as a whole. */
export interface TablePart {
  /** The name of the table's file, for messages. */
  readonly file: string;
  readonly entries: readonly Entry[];
  readonly findings: readonly Finding[];
  /** Something wrong makes the rest of this table unreadable. */
  readonly stopped: boolean;
}

/** Rows that are taken through the whole work together. */
const AT_ONCE = 8192;

/** Reads tables of collections one after the other, a part at a time; `-` is the standard input. */
export async function* readTables(
  names: readonly string[],
  { vocabulary, from, keepGoing }: TableReading,
  world: World,
): AsyncGenerator<TablePart, void> {
  const seen = new SeenIds();
  for (const name of names) {
    const file = name === '-' ? 'standard input' : name;
    const pieces =
      name === '-'
        ? textPieces(world.stdin, 'the standard input')
        : filePieces(resolve(world.cwd, name), name);
    const open = (start: string): TableReader =>
      openTable(from ?? formatByName(name) ?? formatByText(start), start, {
        file,
        vocabulary,
        seen,
        keepGoing,
      });
    let reader: TableReader | undefined;
    let told = 0;
    const part = (of: TableReader, entries: readonly Entry[]): TablePart => {
      const findings = of.findings.slice(told);
      told = of.findings.length;
      return { file, entries, findings, stopped: of.stopped };
    };
    for await (const piece of pieces) {
      reader ??= open(piece);
      for (let at = 0; at < piece.length; at += AT_ONCE)
        yield part(reader, reader.read(piece.slice(at, at + AT_ONCE)));
      if (world.signal.aborted) return;
      if (reader.stopped) break;
    }
    reader ??= open('');
    yield part(reader, reader.end());
  }
}
