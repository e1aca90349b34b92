/** Zip archives: read with limits on everything that an untrusted archive may claim, and written reproducibly. */
import { Inflate, zipSync } from 'fflate';
import { Failure } from '../diagnostic/failure.js';
import { harmless, quoted } from '../text/harmless.js';
import { count } from '../text/words.js';
import { crc32 } from './crc32.js';
import { type ByteSource, inMegabytes, type ZipEntry, zipEntries } from './directory.js';

/** How much an archive may hold. */
interface ArchiveLimits {
  /** The number of its files. */
  readonly entries: number;
  /** The bytes of all its files together, unpacked. */
  readonly size: number;
  /** How many times larger than packed a file may be, once it is past a megabyte. */
  readonly ratio: number;
}

const MEGABYTE = 1024 * 1024;

/** For archives that are held in memory as a whole, such as bundles of keys. */
export const SMALL_ARCHIVE: ArchiveLimits = { entries: 2000, size: 128 * MEGABYTE, ratio: 200 };

/** For archives of data that are read piece by piece. */
export const LARGE_ARCHIVE: ArchiveLimits = { entries: 10_000, size: 4096 * MEGABYTE, ratio: 500 };

/** Bytes in memory as a source of bytes. */
export function bytesSource(bytes: Uint8Array): ByteSource {
  return {
    size: bytes.length,
    read: (at, length) => bytes.subarray(at, at + length),
    close: () => undefined,
  };
}

/** Packed bytes that are unpacked at a time: at most 16 MB unpacked. */
const PIECE = 16 * 1024;

/**
 * An archive that is open for reading. Names, counts and sizes were checked against the limits, and what a
 * file holds is checked against what the archive says of it while it is unpacked; whatever is wrong is a
 * Failure.
 */
export class Archive {
  readonly #entries: ReadonlyMap<string, ZipEntry>;

  constructor(
    readonly source: ByteSource,
    /** Its name in messages. */
    readonly shown: string,
    readonly limits: ArchiveLimits,
  ) {
    const entries = new Map<string, ZipEntry>();
    let size = 0;
    const all = zipEntries(source, shown, limits.entries);
    for (const entry of all) {
      const { name, packed, unpacked } = entry;
      size += unpacked;
      if (size > limits.size)
        throw this.#refused(`unpacked it has more than the ${inMegabytes(limits.size)} that are read`);
      if (unpacked > MEGABYTE && unpacked > packed * limits.ratio)
        throw this.#refused(
          `${quoted(name)} becomes more than ${limits.ratio} times larger when it is unpacked`,
        );
      if (entries.has(name)) throw this.#refused(`it holds ${quoted(name)} twice`);
      entries.set(name, entry);
    }
    this.#entries = entries;
  }

  /** The names of its files, as paths within the archive, in the order of the archive. */
  get names(): readonly string[] {
    return [...this.#entries.keys()];
  }

  has(name: string): boolean {
    return this.#entries.has(name);
  }

  /** How many bytes a file has, unpacked. */
  size(name: string): number {
    return this.#entry(name).unpacked;
  }

  /** A file of the archive, unpacked piece by piece. */
  *pieces(name: string): Generator<Uint8Array, void> {
    const entry = this.#entry(name);
    let sum = 0;
    let size = 0;
    for (const piece of entry.method === 0 ? this.#packed(entry) : this.#inflated(entry)) {
      size += piece.length;
      if (size > entry.unpacked) throw this.#damaged(name, 'it holds more than the archive says');
      sum = crc32(piece, sum);
      if (piece.length > 0) yield piece;
    }
    if (size < entry.unpacked) throw this.#damaged(name, 'it holds less than the archive says');
    if (sum !== entry.sum) throw this.#damaged(name, 'its checksum does not agree');
  }

  /** A whole file of the archive. */
  read(name: string): Uint8Array {
    const bytes = new Uint8Array(this.size(name));
    let at = 0;
    for (const piece of this.pieces(name)) {
      bytes.set(piece, at);
      at += piece.length;
    }
    return bytes;
  }

  close(): void {
    this.source.close();
  }

  *#packed({ name, start, packed }: ZipEntry): Generator<Uint8Array, void> {
    for (let at = 0; at < packed; at += PIECE) {
      const length = Math.min(PIECE, packed - at);
      const piece = this.source.read(start() + at, length);
      if (piece.length < length) throw this.#damaged(name, 'the archive ends within it');
      yield piece;
    }
  }

  *#inflated(entry: ZipEntry): Generator<Uint8Array, void> {
    let out: Uint8Array[] = [];
    let done = false;
    const inflate = new Inflate((piece, final) => {
      out.push(piece);
      done ||= final;
    });
    let left = entry.packed;
    for (const piece of this.#packed(entry)) {
      left -= piece.length;
      try {
        inflate.push(piece, left === 0);
      } catch (error) {
        throw this.#damaged(entry.name, 'its packed bytes cannot be read', error);
      }
      yield* out;
      out = [];
    }
    if (!done) throw this.#damaged(entry.name, 'its packed bytes end too early');
  }

  #entry(name: string): ZipEntry {
    const entry = this.#entries.get(name);
    if (entry === undefined) throw this.#refused(`there is no ${quoted(name)} in it`);
    return entry;
  }

  #refused(why: string): Failure {
    return new Failure(`${harmless(this.shown)} cannot be read: ${why}`);
  }

  #damaged(name: string, why: string, cause?: unknown): Failure {
    return new Failure(`${harmless(this.shown)} is damaged at ${quoted(name)}: ${why}`, { cause });
  }
}

/**
 * All files of a small archive, by their paths within it. Throws a Failure for what is damaged, oversized or escapes.
 */
export function readArchive(
  bytes: Uint8Array,
  shown: string,
  limits: ArchiveLimits = SMALL_ARCHIVE,
): Map<string, Uint8Array> {
  const archive = new Archive(bytesSource(bytes), shown, limits);
  return new Map(archive.names.map((name) => [name, archive.read(name)]));
}

/** The earliest time that a zip can hold, in any time zone, so that the same content gives the same bytes. */
export const ZIP_TIME = new Date(1980, 0, 1);

/** A small archive of texts and bytes, packed; the same ones in the same order always give the same bytes. */
export function writeArchive(
  files: Iterable<readonly [name: string, content: string | Uint8Array]>,
): Uint8Array {
  const encoder = new TextEncoder();
  const all = Object.create(null) as Record<string, [Uint8Array, { readonly level: 9 }]>;
  let n = 0;
  for (const [name, content] of files) {
    all[name] = [typeof content === 'string' ? encoder.encode(content) : content, { level: 9 }];
    n++;
  }
  const given = Object.keys(all).length;
  if (given < n) throw new Error(`${count(n, 'file')} under ${count(given, 'name')}`);
  return zipSync(all, { mtime: ZIP_TIME });
}
