import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import type { CompiledKey } from '../engine/compile.js';
import { carryAnswers } from '../record/carry.js';
import { type RecordedFind, readFind } from '../record/find.js';
import { type KeyMark, keyChanges, keyMark, keyVersions, sameMainKey } from '../record/key-mark.js';
import { Keying } from '../record/keying.js';
import { type ReadRecord, readRecord } from '../record/read.js';
import { newFrame, type RecordedDetermination, type RecordFrame, writeRecord } from '../record/write.js';
import { defined, filled } from '../text/optional.js';
import { count, listed } from '../text/words.js';
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

  /** Continues a record that was read. */
  takeOver(
    read: Extract<ReadRecord, { ok: true }>,
    /** What stands in the file; undefined when it is another file than the one that was read. */
    text: string | undefined,
    which: 'further' | 'last',
  ): void {
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
export interface ResumedKeying {
  readonly keying: Keying;
  readonly news: readonly string[];
  /** Whether it continues the last determination of the record, or begins a further one from its answers. */
  readonly which: 'further' | 'last';
  /** Whether the key is another now than it was. */
  readonly changed: boolean;
  readonly read: WholeRecord;
}

/** What a keying needs of the outside: the current folder, the time, and the name of the program. */
interface KeyingWorld {
  readonly cwd: string;
  readonly version: string;
  now(): Date;
}

/** Options for resuming. */
interface ResumeOptions {
  readonly by?: string | undefined;
  /** Continue though the key has changed. */
  readonly changedKey?: boolean | undefined;
  /** The find of an archive. */
  readonly id?: string | undefined;
}

/**
 * Resumes a keying from its record. Throws a Failure, and leaves the file alone, when it is not a whole
 * record, belongs to another key, or the key has changed and the person did not allow for that. With a
 * changed key, the answers whose couplet still says the same hold; the others are kept in the record as
 * dropped.
 */
export function resumeKeying(
  named: string,
  key: CompiledKey,
  options: ResumeOptions,
  world: KeyingWorld,
): ResumedKeying {
  const { file, text, archived } = recordText(resolve(world.cwd, named), named, options.id, '--id');
  const read = readRecord(text, file);
  if (!read.ok)
    throw new Failure(`${inOneSentence(read.problems)}; it cannot be resumed and is left as it is`);
  const { determinations } = read.record;
  const last = determinations[determinations.length - 1] as RecordedDetermination;
  const mark = keyMark(key.chain);
  if (last.key.id !== mark.id)
    throw new Failure(
      `${file} is a determination with the key ${last.key.id}, not with ${mark.id}; it is left as it is`,
      { hint: `run ${last.key.id} with --resume ${named}` },
    );
  const changed = last.key.hash !== mark.hash;
  if (changed && options.changedKey !== true)
    throw new Failure(`${changeOf(last.key, mark)} ${file} is left as it is.`, {
      hint: `keywright redo ${named} --key ${mark.id} lists what the change does to it; --changed-key continues from the answers that still hold`,
    });
  const { kept, dropped, lost, otherwise, collection, find } = validAnswers(last, key);
  const news: string[] = [];
  if (changed) {
    news.push(changeOf(last.key, mark));
    if (dropped.length + lost.length + otherwise.length === 0) news.push('All answers still hold.');
  }
  if (dropped.length > 0)
    news.push(
      `No longer used: ${listed(dropped.map((d) => `${d.couplet}${d.lead} (${d.why})`))}. You will be asked again where it matters.`,
    );
  if (lost.length > 0) news.push(`Evidence that the key does not understand: ${lost.join('; ')}.`);
  if (changed && otherwise.length > 0)
    news.push(`Evidence that means something else now: ${otherwise.join('; ')}.`);
  const which = last.status === 'open' ? 'last' : 'further';
  if (which === 'further')
    news.push(
      `${file} holds a finished determination of ${last.collection.id}. It stays as it is; a new one starts from its answers.`,
    );
  if (archived && (find.photographs ?? []).length > 0)
    news.push(`Its photographs stay in ${named}; the record names them.`);
  const { started, begunWith = [] } = last;
  const { notes, note } = changed ? notesApart(last) : last;
  const by = jointAuthors(which === 'last' ? last.by : undefined, options.by);
  const start = {
    started: which === 'last' ? started : world.now().toISOString(),
    ...defined({ by }),
    find,
    ...(which === 'last' && changed ? { begunWith: [...begunWith, last.key] } : { begunWith }),
    answers: kept,
    dropped: [...(last.dropped ?? []), ...dropped],
    ...filled({ unread: lost, otherwise }),
    ...defined({ notes, note }),
  };
  const keying = new Keying(key, collection, start, programName(world), () => world.now());
  return { keying, news, which, changed, read: { ...read, text } };
}

/** The answers of a determination that hold with a key, when the person can be asked again. */
function validAnswers(last: RecordedDetermination, key: CompiledKey) {
  const told = last.key.contents !== undefined;
  const { kept, dropped } = carryAnswers(last.answers, key.chain, told);
  const again = readFind(last.collection, key.chain, told);
  // An answer of which only a part holds is dropped: the person can give it again.
  const half = kept.filter((a) => a.counts !== undefined);
  return {
    kept: kept.filter((a) => a.counts === undefined),
    dropped: [
      ...dropped,
      ...half.map((a) => ({ ...a, why: 'the wording of another lead of its couplet has changed' })),
    ],
    ...again,
  };
}

/**
 * Notes on couplets without an answer, put with the note on the find: the numbers of a changed key mean other
 * couplets.
 */
function notesApart({ notes = [], note, key }: RecordedDetermination): { notes?: undefined; note?: string } {
  const versions = keyVersions(key);
  const versionAt = (couplet: string) =>
    versions.get(couplet.slice(0, Math.max(0, couplet.lastIndexOf('/')))) ?? key.version;
  const texts = notes.map(
    (n) => `at couplet ${n.couplet} of version ${versionAt(n.couplet)}: ${n.note ?? n.doubt ?? ''}`,
  );
  const all = [...(note === undefined ? [] : [note]), ...texts];
  return defined({ note: all.join('; ') || undefined });
}

function changeOf(before: KeyMark, now: KeyMark): string {
  const what = sameMainKey(before, now) === true ? `What the key ${now.id} uses` : `The key ${now.id}`;
  return `${what} has changed since this record was made: ${keyChanges(before, now).join('; ')}.`;
}

/** Who began a determination and who continues it. */
function jointAuthors(before: string | undefined, now: string | undefined): string | undefined {
  if (before === undefined || now === undefined || before === now) return now ?? before;
  return before.split('; ').includes(now) ? before : `${before}; ${now}`;
}

/** How the program signs its records. */
export function programName(world: Pick<KeyingWorld, 'version'>): string {
  return `keywright ${world.version}`;
}
