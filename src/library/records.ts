import { Failure } from '../diagnostic/failure.js';
import { type Changes, changesBetween } from '../record/changes.js';
import { recordFind } from '../record/find.js';
import { Keying } from '../record/keying.js';
import { readRecord as readText } from '../record/read.js';
import { lastWith, redoDetermination } from '../record/redo.js';
import { recordToShow } from '../record/shown.js';
import {
  type FindRecord,
  newFrame,
  type RecordedDetermination,
  writeRecord as recordText,
} from '../record/write.js';
import { defined } from '../text/optional.js';
import { type Determination, determinedOf } from './determination.js';
import { compiledOf, type Key } from './key.js';

/** A record, or what is wrong with its text. */
export interface ReadRecord {
  /** undefined where the text is no record, or one that is damaged, cut short or of a later format. */
  readonly record: FindRecord | undefined;
  /** What is wrong, a sentence with file, line and column each; empty where a record was read. */
  readonly problems: readonly string[];
}

/** How a record is called. */
export interface RecordOptions {
  /** The name of the record in problems. Default `record.yaml`. */
  readonly file?: string;
}

/** Reads the text of a record. Never throws for what it contains, and never takes half a record for a whole one. */
export function readRecord(text: string, options: RecordOptions = {}): ReadRecord {
  const read = readText(text, options.file ?? 'record.yaml');
  return read.ok ? { record: read.record, problems: [] } : { record: undefined, problems: read.problems };
}

/** Who writes a record, and when. */
export interface WriteRecordOptions extends RecordOptions {
  /** The time of the determination. */
  readonly at: Date;
  /** Who made it; left out where not told. */
  readonly by?: string;
  /** The program that made it, with its version. Default `keywright`. */
  readonly program?: string;
}

/** The text of a new record that holds one determination. */
export function writeRecord(found: Determination, options: WriteRecordOptions): string {
  const determination = recorded(found, options);
  return recordText(newFrame(determination.collection), determination);
}

/**
 * The text of a record with a further determination; what stands in it stays letter for letter. Throws a Failure when the
 * text is no whole record, is the record of another find, ends with a determination that was not finished, or is laid out
 * so that nothing can be put in.
 */
export function appendRecord(text: string, found: Determination, options: WriteRecordOptions): string {
  const { record } = wholeRecord(text, options);
  if (record.collection.id !== found.id)
    throw new Failure(`the record is of ${record.collection.id}, not of ${found.id}`);
  return withFurther(text, recorded(found, options), options);
}

/** How a record is redone. */
export interface RedoOptions extends WriteRecordOptions {
  /** Take over from another key what both of them say in the same words. Default false. */
  readonly otherKeys?: boolean;
}

/** A record that was taken through another version of its key. */
export interface Redone {
  /** The determination that was redone: the last finished one with the key. */
  readonly before: RecordedDetermination;
  /** The same with this version of the key. */
  readonly after: RecordedDetermination;
  /** What is different. */
  readonly changes: Changes;
  /** The text of the record with the new determination; that of before where it was made with this very text of the key. */
  readonly text: string;
}

/**
 * Takes the evidence and answers of a record through another version of its key. Throws a Failure when the text is no whole
 * record or was made with another key, and as `appendRecord` does.
 */
export function redoRecord(text: string, key: Key, options: RedoOptions): Redone {
  const { record } = wholeRecord(text, options);
  const { determinations } = record;
  const before = lastWith(options.otherKeys === true ? undefined : key.id, determinations);
  if (before === undefined) throw new Failure(`the record holds no determination with the key ${key.id}`);
  const after = redoDetermination(compiledOf(key), before, {
    redoneFrom: determinations.indexOf(before) + 1,
    by: options.by,
    program: options.program ?? PROGRAM,
    clock: () => options.at,
  });
  return {
    before,
    after,
    changes: changesBetween(recordToShow(before), recordToShow(after)),
    text: before.key.hash === after.key.hash ? text : withFurther(text, after, options),
  };
}

const PROGRAM = 'keywright';

/** A determination as a record keeps it. */
function recorded(found: Determination, { at, by, program = PROGRAM }: WriteRecordOptions) {
  const { key, collection } = determinedOf(found);
  const find = recordFind(collection, key.chain);
  const start = { started: at.toISOString(), ...defined({ by }), find };
  const keying = new Keying(key, collection, start, program, () => at);
  keying.finish();
  return keying.record();
}

function wholeRecord(text: string, { file = 'record.yaml' }: RecordOptions) {
  const read = readText(text, file);
  if (!read.ok) throw new Failure(read.problem);
  return read;
}

function withFurther(text: string, determination: RecordedDetermination, options: RecordOptions): string {
  const read = wholeRecord(text, options);
  if (read.record.determinations.at(-1)?.status !== 'finished')
    throw new Failure(
      'the record ends with a determination that was not finished, so nothing is added to it',
    );
  try {
    return recordText(read.frame('further'), determination);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new Failure(error.message, { cause: error });
  }
}
