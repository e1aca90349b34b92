/** Writes an archive of long texts that come all at once: each is kept packed in a file of its own until all are there. */

import { randomUUID } from 'node:crypto';
import {
  closeSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readSync,
  renameSync,
  rmSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { crc32 } from 'node:zlib';
import { Deflate, Zip, ZipDeflate, type ZipInputFile } from 'fflate';
import { Failure } from '../diagnostic/failure.js';
import { harmless } from '../text/harmless.js';
import { ZIP_TIME } from './archive.js';
import { whyNot } from './texts.js';

/** Text is packed in pieces of this size. */
const PIECE = 65_536;

/** Past this a zip archive would need another form, which not all programs read. */
const LARGEST = 0xffff_fffe;

/** One text of the archive, on its way. */
class Spool {
  size = 0;
  sum = 0;
  #held = '';
  #named = false;
  readonly #file: number;
  readonly #deflate: Deflate;

  constructor(
    readonly name: string,
    readonly path: string,
  ) {
    this.#file = openSync(path, 'wx+');
    // Where the system lets an open file lose its name, nothing is left behind whatever happens to the program.
    try {
      unlinkSync(path);
    } catch {
      this.#named = true;
    }
    this.#deflate = new Deflate({ level: 6 }, (packed) => {
      if (packed.length > 0) writeWhole(this.#file, packed);
    });
  }

  write(text: string): void {
    this.#held += text;
    if (this.#held.length >= PIECE) this.#pack(false);
  }

  end(): void {
    this.#pack(true);
  }

  #pack(last: boolean): void {
    const bytes = Buffer.from(this.#held);
    this.#held = '';
    this.size += bytes.length;
    if (this.size > LARGEST)
      throw new Failure(`${this.name} becomes larger than the 4 GB that a zip archive can hold`, {
        hint: 'identify the table in several parts',
      });
    this.sum = crc32(bytes, this.sum);
    this.#deflate.push(bytes, last);
  }

  /** The packed bytes. */
  *packed(): Generator<Uint8Array<ArrayBuffer>, void> {
    for (let at = 0; ; ) {
      const piece = new Uint8Array(PIECE);
      const got = readSync(this.#file, piece, 0, PIECE, at);
      if (got === 0) return;
      yield piece.subarray(0, got);
      at += got;
    }
  }

  close(): void {
    closeSync(this.#file);
    if (this.#named) rmSync(this.path, { force: true });
  }
}

/**
 * An archive in the making. Memory does not grow with it; what was packed stands beside the file that it will be, or
 * where the system keeps such files when it goes to a stream. `close` takes that away, whatever happened.
 */
export class ArchiveSpool {
  readonly #spools = new Map<string, Spool>();
  readonly #part: string;

  /** `out` is the file that the archive will be, if it will be one; `shown` names it in messages. */
  constructor(
    names: readonly string[],
    readonly out: string | undefined,
    readonly shown: string,
  ) {
    const beside = out ?? join(tmpdir(), 'keywright');
    this.#part = join(dirname(beside), `.${basename(beside)}.${randomUUID().slice(0, 8)}.part`);
    this.#try(() => {
      mkdirSync(dirname(beside), { recursive: true });
      for (const name of names) this.#spools.set(name, new Spool(name, `${this.#part}${this.#spools.size}`));
    });
  }

  /** Adds to one of the texts. */
  write(name: string, text: string): void {
    this.#try(() => this.#spools.get(name)?.write(text));
  }

  /** The bytes of the whole archive: first the texts that are given whole, then the others. */
  *bytes(first: readonly (readonly [name: string, text: string])[]): Generator<Uint8Array, void> {
    let out: Uint8Array[] = [];
    const zip = new Zip((error, piece) => {
      if (error !== null) throw error;
      out.push(piece);
    });
    for (const [name, text] of first) {
      const entry = new ZipDeflate(name, { level: 6 });
      entry.mtime = ZIP_TIME;
      zip.add(entry);
      entry.push(Buffer.from(text), true);
    }
    for (const spool of this.#spools.values()) {
      spool.end();
      const { size, sum: crc } = spool;
      const entry: ZipInputFile = { filename: spool.name, size, crc, compression: 8, mtime: ZIP_TIME };
      zip.add(entry);
      for (const packed of spool.packed()) {
        entry.ondata?.(null, packed, false);
        yield* out;
        out = [];
      }
      entry.ondata?.(null, new Uint8Array(0), true);
    }
    zip.end();
    yield* out;
  }

  /** Writes the archive to its file, whole or not at all. */
  save(first: readonly (readonly [name: string, text: string])[]): void {
    const { out } = this;
    if (out === undefined) throw new Error('an archive without a file is for a stream');
    this.#try(() => {
      const file = openSync(this.#part, 'wx');
      try {
        for (const piece of this.bytes(first)) writeWhole(file, piece);
        fsyncSync(file);
      } finally {
        closeSync(file);
      }
      renameSync(this.#part, out);
    });
  }

  /** Takes away everything but the finished archive. */
  close(): void {
    for (const spool of this.#spools.values()) spool.close();
    this.#spools.clear();
    rmSync(this.#part, { force: true });
  }

  #try<T>(work: () => T): T {
    try {
      return work();
    } catch (error) {
      if (error instanceof Failure || (error as { code?: string }).code === undefined) throw error;
      throw new Failure(`${harmless(this.shown)} ${whyNot(error, 'written')}`, { cause: error });
    }
  }
}

function writeWhole(file: number, bytes: Uint8Array): void {
  for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
}
