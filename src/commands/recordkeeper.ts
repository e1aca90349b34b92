import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import type { CompiledKey } from '../engine/compile.js';
import { isFile, isNoFile, readText, writeWhole } from '../files/texts.js';
import { type DroppedAnswer, type KeyRecord, type RecordedAnswer, writeRecord } from '../records/record.js';
import { findAgain } from '../records/recordfind.js';
import { keyMark } from '../records/recordkey.js';
import { readRecord } from '../records/recordread.js';
import type { World } from '../terminal/world.js';
import { listed } from '../text/words.js';
import { Keying } from './keying.js';

/** Keeps the record of one keying in a file, replacing it as a whole after every answer. */
export class RecordKeeper {
  readonly #path: string;

  constructor(
    /** As the person wrote it. */
    readonly file: string,
    cwd: string,
  ) {
    this.#path = resolve(cwd, file);
  }

  /** Makes sure that writing there destroys nothing. Throws a Failure when it would. */
  claim(find: string, key: string): void {
    const { file } = this;
    const hint = 'give --record another name';
    if (isNoFile(this.#path)) throw new Failure(`${file} is not a file, so no record can be kept there`);
    if (!isFile(this.#path)) return;
    const read = readRecord(readText(this.#path, file), file);
    if (!read.ok && read.kind === 'damaged')
      throw new Failure(`${read.problem}; it is left as it is`, { hint });
    if (!read.ok)
      throw new Failure(`${file} is there already and is not a record; it is left as it is`, { hint });
    const { record } = read;
    const same = record.collection.id === find && record.key.id === key;
    if (same && record.answers.length === 0 && record.dropped === undefined && record.notes === undefined)
      return;
    throw new Failure(
      `${file} already holds a determination of ${record.collection.id} with ${record.key.id}; it is left as it is`,
      { hint: record.key.id === key ? `--resume ${file} goes on with it; for another find ${hint}` : hint },
    );
  }

  save(record: KeyRecord): void {
    writeWhole(this.#path, writeRecord(record));
  }
}

/** A keying taken up again, and what the person should hear of it. */
export interface TakenUp {
  readonly keying: Keying;
  readonly news: readonly string[];
}

/**
 * Takes a keying up from its record. Of a key that has changed since, the answers go on whose couplet is still there
 * and whose lead still reads the same; the others are kept in the record as dropped. Throws a Failure, and leaves the
 * file alone, when it is no whole record or belongs to another key.
 */
export function takeUp(file: string, key: CompiledKey, world: World): TakenUp {
  const path = resolve(world.cwd, file);
  const read = readRecord(readText(path, file), file);
  if (!read.ok) throw new Failure(`${read.problem}; it cannot be gone on with and is left as it is`);
  const { record } = read;
  const mark = keyMark(key.chain);
  if (record.key.id !== mark.id)
    throw new Failure(
      `${file} is a determination with the key ${record.key.id}, not with ${mark.id}; it is left as it is`,
      { hint: `run ${record.key.id} with --resume ${file}` },
    );
  const news: string[] = [];
  const kept: RecordedAnswer[] = [];
  const dropped: DroppedAnswer[] = [];
  for (const answer of record.answers) {
    const why = whyNot(answer, key);
    if (why === undefined) kept.push(answer);
    else dropped.push({ ...answer, why });
  }
  const { collection, lost } = findAgain(record.collection, key.chain.characters);
  if (record.key.hash !== mark.hash) {
    news.push(
      record.key.version === mark.version
        ? `The key ${mark.id} has changed since this record was made, though its version is still ${mark.version}.`
        : `The key ${mark.id} has changed since this record was made: it was version ${record.key.version}, now it is ${mark.version}.`,
    );
    if (dropped.length === 0 && lost.length === 0) news.push('All answers still hold.');
  }
  if (dropped.length > 0)
    news.push(
      `No longer used: ${listed(dropped.map((d) => `${d.couplet}${d.lead} (${d.why})`))}. You will be asked again where it matters.`,
    );
  if (lost.length > 0) news.push(`Evidence that the key does not understand: ${lost.join('; ')}.`);
  const { started, collection: find, notes = [], note } = record;
  const start = {
    started,
    find,
    answers: kept,
    dropped: [...(record.dropped ?? []), ...dropped],
    notes: new Map(notes.map((n) => [n.couplet, n.note])),
    ...(note === undefined ? {} : { note }),
  };
  return { keying: new Keying(key, collection, start, programName(world), () => world.now()), news };
}

/** How the program signs its records. */
export function programName(world: World): string {
  return `keywright ${world.version}`;
}

/** Why an answer does not hold with the key as it is now; undefined when it does. */
function whyNot(answer: RecordedAnswer, key: CompiledKey): string | undefined {
  const couplet = key.couplets[key.coupletIndex.get(answer.couplet) ?? -1];
  if (couplet === undefined) return 'the couplet is no longer in the key';
  const now =
    answer.lead === '?' ? couplet.leads : couplet.leads.filter((l) => l.lead.letter === answer.lead);
  if (now.length === 0) return 'the couplet has no such lead any more';
  const same =
    answer.says.length === 0 ||
    (answer.says.length === now.length && now.every((l, i) => l.lead.text === answer.says[i]));
  return same ? undefined : 'it reads otherwise now';
}
