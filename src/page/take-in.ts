import { Archive, bytesSource, LARGE_ARCHIVE } from '../archive/archive.js';
import { isArchive } from '../archive/directory.js';
import { Failure } from '../diagnostic/failure.js';
import { findsIn } from '../record/finds-archive.js';
import type { RecordedDetermination } from '../record/write.js';
import { defined } from '../text/optional.js';
import { messages as say } from './messages.js';
import type { KeptFind } from './model/find.js';
import { readRecordFile } from './record-file.js';

/** A find of a file that was taken in, with those of its photographs that came with it. */
export interface TakenFind {
  readonly find: Omit<KeptFind, 'id'>;
  /** The record as it came. */
  readonly text: string;
  readonly photographs: ReadonlyMap<string, Blob>;
}

/** What a file holds, and why some of it was not taken in. */
export interface TakenIn {
  readonly finds: readonly TakenFind[];
  readonly problems: readonly string[];
}

/** Reads the bytes of a file: the record of a find, or an archive of finds with their photographs. */
export function takeIn(bytes: Uint8Array, name: string, key: string, now: Date): TakenIn {
  const finds: TakenFind[] = [];
  const problems: string[] = [];
  /** What is wrong with one find leaves the others as they are. */
  const attempt = (work: () => void) => {
    try {
      work();
    } catch (error) {
      if (!(error instanceof Failure) && !(error instanceof RangeError)) throw error;
      problems.push(error.message);
    }
  };
  attempt(() => {
    if (!isArchive(bytes)) {
      finds.push({ ...findOf(bytes, name, key, now), photographs: new Map() });
      return;
    }
    const found = findsIn(new Archive(bytesSource(bytes), name, LARGE_ARCHIVE));
    if (found.length === 0) throw new Failure(say.noRecordInArchive(name));
    for (const { name: file, record, photograph } of found)
      attempt(() => {
        const { find, text } = findOf(record(), file, key, now);
        const photographs = new Map<string, Blob>();
        for (const { file: picture } of find.determination.collection.photographs ?? [])
          attempt(() => {
            const there = photograph(picture);
            if (there !== undefined) photographs.set(picture, pictureOf(picture, there));
          });
        finds.push({ find, text, photographs });
      });
  });
  return { finds, problems };
}

/** Reads a record as a find; a finished determination stays in it, and a further one begins with its answers. Throws a Failure or a RangeError. */
function findOf(bytes: Uint8Array, name: string, key: string, now: Date): Pick<TakenFind, 'find' | 'text'> {
  const text = textOf(bytes, name);
  const read = readRecordFile(text, name);
  if (!read.ok) throw new Failure(read.problem);
  const determination = read.record.determinations.at(-1) as RecordedDetermination;
  if (determination.key.id !== key) throw new Failure(say.recordOfOtherKey(determination.key.id, key));
  const frame = read.frame(determination.status === 'open' ? 'last' : 'further');
  const find = {
    revision: 1,
    changed: now.toISOString(),
    determination,
    readFrom: {},
    ...defined({ frame }),
  };
  return { find, text };
}

/** A letter that cannot be read is refused: it would be lost when the record is written again. */
function textOf(bytes: Uint8Array, name: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new Failure(say.notText(name));
  }
}

function pictureOf(name: string, bytes: Uint8Array): Blob {
  const ending = name.slice(name.lastIndexOf('.') + 1).toLowerCase();
  return new Blob([bytes as BlobPart], { type: `image/${ending === 'jpg' ? 'jpeg' : ending}` });
}
