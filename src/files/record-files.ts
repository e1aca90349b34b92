/** Records as they are named on a command line: a file each, or an archive of finds. */
import { Archive, LARGE_ARCHIVE } from '../archive/archive.js';
import { Failure } from '../diagnostic/failure.js';
import { utf8Text } from '../diagnostic/utf8.js';
import { findsIn, holdsFinds, RECORD_ENDING } from '../record/finds-archive.js';
import { readRecord } from '../record/read.js';
import { harmless, quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { count } from '../text/words.js';
import { fileSource } from './file-source.js';
import { readText } from './texts.js';
import { isArchiveFile } from './zip-start.js';

/** The text of a record, and where it stands. */
export interface RecordText {
  /** Its name in messages; in an archive `finds.zip/TH-1/TH-1.record.yaml`. */
  readonly file: string;
  readonly text: string;
  /** Whether it stands in an archive, in which nothing can be written. */
  readonly archived: boolean;
}

/** What in a file that cannot be read; the other records of an archive are read all the same. */
export interface UnreadRecord {
  readonly file: string;
  readonly problem: Failure;
}

/** Whether a file is an archive of finds. Throws a Failure when it is an archive that cannot be read. */
export function holdsRecords(path: string, shown: string): boolean {
  if (!isArchiveFile(path)) return false;
  const source = fileSource(path, shown);
  try {
    return holdsFinds(new Archive(source, shown, LARGE_ARCHIVE).names);
  } finally {
    source.close();
  }
}

/**
 * The records in a file: the one that it is, or all of an archive of finds. Throws a Failure when the file cannot be read, or
 * is an archive without records.
 */
export function recordTexts(path: string, shown: string): readonly (RecordText | UnreadRecord)[] {
  if (!isArchiveFile(path)) return [{ file: shown, text: readText(path, shown), archived: false }];
  const source = fileSource(path, shown);
  try {
    const finds = findsIn(new Archive(source, shown, LARGE_ARCHIVE));
    if (finds.length === 0)
      throw new Failure(`${harmless(shown)} is an archive without a record of a find`, {
        hint: `the names of records in an archive end with ${RECORD_ENDING}; unpack it if yours are called otherwise`,
      });
    return finds.map(({ name, record }) => {
      const file = `${shown}/${name}`;
      try {
        return { file, text: utf8Text(record(), file), archived: true };
      } catch (problem) {
        if (!(problem instanceof Failure)) throw problem;
        return { file, problem };
      }
    });
  } finally {
    source.close();
  }
}

/**
 * One record of a file: the one that it is, the only one of an archive, or the one of an archive whose find has that id.
 * `option` is the option that names a find. Throws a Failure when there is no such record, or when it is not said which one is meant.
 */
export function recordText(path: string, shown: string, id: string | undefined, option: string): RecordText {
  const all = recordTexts(path, shown);
  const [first] = all;
  if (first !== undefined && 'text' in first && !first.archived) {
    requireId(first, id);
    return first;
  }
  const known = all.flatMap((one) => {
    if (!('text' in one)) return [];
    const read = readRecord(one.text, one.file);
    return read.ok ? [{ one, id: read.record.collection.id }] : [];
  });
  const wanted = id === undefined ? all : known.flatMap((k) => (k.id === id ? [k.one] : []));
  const [one] = wanted;
  if (one !== undefined && wanted.length === 1) {
    if ('text' in one) return one;
    throw one.problem;
  }
  const ids = known.map((k) => k.id);
  if (id === undefined)
    throw new Failure(`${harmless(shown)} holds ${count(all.length, 'find')}; only one can be taken`, {
      hint: `say which with ${option}, such as ${option} ${quoted(ids[0] ?? 'ID')}`,
    });
  if (wanted.length > 1)
    throw new Failure(`${harmless(shown)} holds ${count(wanted.length, 'record')} of a find ${quoted(id)}`, {
      hint: 'unpack it and name the file',
    });
  const near = nearest(id, ids);
  const lost = all.length - known.length;
  const unread = lost === 0 ? '' : ` that can be read (${count(lost, 'record')} in it cannot)`;
  throw new Failure(
    `there is no find ${quoted(id)} in ${harmless(shown)}${unread}${near === undefined ? '' : `; did you mean ${near}?`}`,
  );
}

/** Where an id is given beside a record, it is that of its find. */
function requireId({ file, text }: RecordText, id: string | undefined): void {
  if (id === undefined) return;
  const read = readRecord(text, file);
  if (read.ok && read.record.collection.id !== id)
    throw new Failure(
      `${harmless(file)} is the record of ${quoted(read.record.collection.id)}, not of ${quoted(id)}`,
    );
}
