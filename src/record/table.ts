import type { Finding } from '../diagnostic/finding.js';
import type { Entry, ReadOptions, TableReader } from '../tables/entry.js';
import type { TextFormat } from '../tables/format.js';
import { repeatedId } from '../tables/ids.js';
import { openTable } from '../tables/reader.js';
import { evidenceOfRecord, type RecordEvidence } from './evidence.js';
import { readRecord } from './read.js';

/** A reader for finds in a text of that format. `start` is how the text begins, for telling commas from semicolons. */
export function openFinds(format: TextFormat, start: string, options: ReadOptions): TableReader {
  return format === 'record' ? new RecordTable(options) : openTable(format, start, options);
}

/** Reads a record as a table of one find: all that was seen and answered. Never throws for what the text contains. */
class RecordTable implements TableReader {
  readonly findings: Finding[] = [];
  notes: readonly string[] = [];
  stopped = false;
  #pieces: string[] = [];

  constructor(readonly options: ReadOptions) {}

  read(piece: string): readonly Entry[] {
    this.#pieces.push(piece);
    return [];
  }

  end(): readonly Entry[] {
    const text = this.#pieces.join('');
    this.#pieces = [];
    const { file, vocabulary, seen } = this.options;
    const read = readRecord(text, file);
    if (!read.ok) {
      this.findings.push(...read.findings);
      this.stopped = true;
      return [];
    }
    const evidence = evidenceOfRecord(read.record, vocabulary.chain);
    this.notes = evidenceNotes(evidence, vocabulary.keyId);
    const { collection } = evidence;
    const place = read.place(['collection', 'id']);
    const { line } = place.start;
    const first = seen.note(collection.id, file, line);
    const findings = first === undefined ? [] : [repeatedId(collection.id, first, place)];
    return [{ collection, line, findings }];
  }
}

/** What a key did not take from a record as it stands there, a sentence each. */
export function evidenceNotes({ lost, otherwise, replaced }: RecordEvidence, keyId: string): string[] {
  return [
    ...replaced.map((text) => `said twice: ${text}`),
    ...otherwise.map((text) => `another meaning in ${keyId}: ${text}`),
    ...lost.map((text) => `not used by ${keyId}: ${text}`),
  ];
}
