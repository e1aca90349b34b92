import type { Path } from '../diagnostic/finding.js';
import { type ReadRecord, type RecordReader, recordIn } from '../record/read.js';
import { recordData } from '../record/write.js';
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
