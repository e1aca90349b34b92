import type { Path } from '../diagnostic/finding.js';
import { type ReadRecord, type RecordReader, recordIn } from '../record/read.js';
import { newFrame, recordData, writeRecord } from '../record/write.js';
import type { OpenFind } from './model/find.js';
import { readStrictYaml } from './strict-yaml.js';

/**
 * Reads a record as the program does, without the schema: all that stands in the text must be what the record that was read
 * from it would be written as. What a later program has added is refused like that, rather than lost.
 */
const AS_WRITTEN: RecordReader = {
  parse: readStrictYaml,
  check: (yaml, report, record) => {
    const at = difference(yaml.data, recordData(record), []);
    if (at === undefined) return;
    const where = at.length === 0 ? 'It' : `"${at.join(' ')}"`;
    report.add('value-form', `${where} is not as this page writes and reads it`, at);
  },
};

/** Reads the text of a record file. */
export function readRecordFile(text: string, file: string): ReadRecord {
  return recordIn(text, file, AS_WRITTEN);
}

/** The first place at which two data differ, whatever the order of their names; a number is what it is written as. */
function difference(a: unknown, b: unknown, path: Path): Path | undefined {
  const plain = (value: unknown) => (typeof value === 'object' && value !== null ? undefined : String(value));
  if (plain(a) !== undefined || plain(b) !== undefined) return plain(a) === plain(b) ? undefined : path;
  if (Array.isArray(a) !== Array.isArray(b)) return path;
  const [own, other] = [a as Readonly<Record<string, unknown>>, b as Readonly<Record<string, unknown>>];
  const present = (map: Readonly<Record<string, unknown>>) =>
    Object.keys(map).filter((name) => map[name] !== undefined);
  for (const name of new Set([...present(own), ...present(other)])) {
    const at = difference(own[name], other[name], [...path, name]);
    if (at !== undefined) return at;
  }
  return undefined;
}

/** The record of a find: the same file that `run --record` writes. */
export function recordText(open: OpenFind): string {
  const determination = open.recorded();
  return writeRecord(open.kept.frame ?? newFrame(determination.collection), determination);
}

/** What the record file of a find is called. */
export function recordName(open: OpenFind): string {
  return `${fileWord(open.called)}.record.yaml`;
}

/** What a find is called, as a file may be named by any system. */
export function fileWord(called: string): string {
  const plain = called.replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '');
  return plain === '' ? 'find' : plain;
}
