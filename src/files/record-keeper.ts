import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import type { CompiledKey } from '../engine/compile.js';
import type { RecordedFind } from '../record/find.js';
import { type ReadRecord, readRecord } from '../record/read.js';
import { type GoneOn, goOnFrom, type ResumeOptions } from '../record/resume.js';
import { newFrame, type RecordedDetermination, type RecordFrame, writeRecord } from '../record/write.js';
import { count } from '../text/words.js';
import { writeAtomically, writeNew } from './atomic-write.js';
import { type Lock, lockFile } from './lock.js';
import { requireUnchanged } from './out.js';
import { recordText } from './record-files.js';
import { isFile, isNoFile, readText } from './texts.js';

/** A record that could be read, with its text. */
export type WholeRecord = Extract<ReadRecord, { ok: true }> & { readonly text: string };

/**
 * Keeps one determination of a find in a file, replacing the file as a whole after every answer. What earlier
 * determinations stand in it stays there letter for letter.
 */
export class RecordKeeper {
  readonly #path: string;
  #frame: RecordFrame | undefined;
  /** Whether the record holds nothing but this determination: then the details of its find stand at its top. */
  #fresh = false;
  /** What stands in the file as far as we know; undefined when there is none. */
  #text: string | undefined;

  constructor(
    /** As the person wrote it. */
    readonly file: string,
    cwd: string,
  ) {
    this.#path = resolve(cwd, file);
  }

  /**
   * Locks the record against every other keywright until it is released: two people who key out one find into one file
   * would lose answers. Throws a Failure when another one has it.
   */
  hold(patience?: number): Lock {
    return lockFile(this.#path, this.file, patience);
  }

  /** Whether something stands where the record is to be kept. */
  get isThere(): boolean {
    return isFile(this.#path) || isNoFile(this.#path, this.file);
  }

  /** Where and when the find of the record was found, and by whom; undefined when there is no record yet. */
  get collection(): RecordedFind | undefined {
    return this.#text === undefined ? undefined : this.#frame?.collection;
  }

  /**
   * Prepares to add a determination of a find, and returns what the person should know about that. Throws a
   * Failure, and leaves the file alone, when anything there would be lost or the record is of another find.
   */
  claim(find: RecordedFind): readonly string[] {
    const { file } = this;
    const hint = 'give --record another name';
    if (isNoFile(this.#path, this.file))
      throw new Failure(`${file} is not a file, so no record can be kept there`);
    if (!isFile(this.#path)) {
      this.#frame = newFrame(find);
      this.#fresh = true;
      return [];
    }
    const text = readText(this.#path, file);
    const read = readRecord(text, file);
    if (!read.ok && read.kind === 'damaged')
      throw new Failure(`${inOneSentence(read.problems)}; it is left as it is`, { hint });
    if (!read.ok)
      throw new Failure(`${file} is there already and is not a record; it is left as it is`, { hint });
    const { collection, determinations } = read.record;
    const last = determinations[determinations.length - 1] as RecordedDetermination;
    if (collection.id !== find.id)
      throw new Failure(
        `${file} already holds a determination of ${collection.id} with ${last.key.id}, not of ${find.id}; it is left as it is`,
        {
          hint: `for another determination of that find add --id '${collection.id}'; for another find ${hint}`,
        },
      );
    if (collection.date !== undefined && find.date !== undefined && collection.date !== find.date)
      throw new Failure(
        `two finds of one name: the ${find.id} that ${file} is the record of was found on ${collection.date}, this one on ${find.date}; the record is left as it is`,
        { hint },
      );
    if (last.status === 'open' && !isUntouched(last))
      throw new Failure(
        `${file} already holds a determination of ${collection.id} with ${last.key.id} that was not finished; it is left as it is`,
        { hint: `--resume ${file} continues it; for another find ${hint}` },
      );
    this.takeOver(read, text, last.status === 'open' ? 'last' : 'further');
    if (last.status === 'open') return [];
    const before = count(determinations.length, 'determination');
    return [
      `${file} holds ${before} of ${collection.id}; this one is added to ${determinations.length === 1 ? 'it' : 'them'}.`,
    ];
  }

  /** Begins the file with a record that was read elsewhere, letter for letter, and continues it here. */
  copy(read: WholeRecord, which: 'further' | 'last'): void {
    this.takeOver(read, read.text, which);
    writeNew(this.#path, read.text, this.file);
  }

  /** Continues the record that was read from the file, which holds `text`. */
  takeOver(read: Extract<ReadRecord, { ok: true }>, text: string, which: 'further' | 'last'): void {
    this.#frame = frameOf(read, which);
    this.#text = text;
  }

  /** Writes the determination as it stands now. Throws a Failure when somebody else has changed the file meanwhile. */
  save(determination: RecordedDetermination): void {
    const frame = this.#fresh ? newFrame(determination.collection) : this.#frame;
    if (frame === undefined) return;
    const isThere = isFile(this.#path);
    if (isThere) requireUnchanged(this.#path, this.#text, this.file);
    const text = writeRecord(frame, determination);
    if (text === this.#text) return;
    if (isThere) writeAtomically(this.#path, text, this.file);
    else writeNew(this.#path, text, this.file);
    this.#text = text;
  }
}

/** Whether nothing was answered or noted yet. */
function isUntouched({ answers, dropped, notes, note }: RecordedDetermination): boolean {
  return answers.length === 0 && dropped === undefined && notes === undefined && note === undefined;
}

/** The frame of a record. Throws a Failure when nothing can be added to its text without touching the rest. */
export function frameOf(read: Extract<ReadRecord, { ok: true }>, which: 'further' | 'last'): RecordFrame {
  try {
    return read.frame(which);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new Failure(`${error.message}; it is left as it is`, { cause: error });
  }
}

/** Several problems as one sentence. */
export function inOneSentence(problems: readonly string[]): string {
  const [first = '', ...more] = problems;
  return more.length === 0 ? first : `${first} (and ${count(more.length, 'further mistake')})`;
}

/** A resumed keying, and what the person should be told about it. */
export interface ResumedKeying extends GoneOn {
  readonly read: WholeRecord;
}

/** What a keying needs of the outside: the current folder, the time, and the name of the program. */
interface KeyingWorld {
  readonly cwd: string;
  readonly version: string;
  now(): Date;
}

/**
 * Resumes a keying from its record (`goOnFrom`), or from that of the find `id` in an archive of finds. Throws a Failure,
 * and leaves the file alone, when it is not a whole record, or cannot be gone on with.
 */
export function resumeKeying(
  named: string,
  key: CompiledKey,
  options: ResumeOptions & { readonly id?: string | undefined },
  world: KeyingWorld,
): ResumedKeying {
  const { file, text, archived } = recordText(resolve(world.cwd, named), named, options.id, '--id');
  const read = readRecord(text, file);
  if (!read.ok)
    throw new Failure(`${inOneSentence(read.problems)}; it cannot be resumed and is left as it is`);
  const last = read.record.determinations.at(-1) as RecordedDetermination;
  const gone = goOnFrom(last, named, key, options, programName(world), () => world.now());
  const photographs = archived ? (last.collection.photographs ?? []) : [];
  const news =
    photographs.length === 0
      ? gone.news
      : [...gone.news, `Its photographs stay in ${named}; the record names them.`];
  return { ...gone, news, read: { ...read, text } };
}

/** How the program signs its records. */
export function programName(world: Pick<KeyingWorld, 'version'>): string {
  return `keywright ${world.version}`;
}
