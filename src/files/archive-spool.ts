/**
 * Writes an archive of long texts that grow side by side: each is kept packed in a temporary file until all are
 * complete.
 */

import { readSync, unlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname } from 'node:path';
import { crc32 } from 'node:zlib';
import { Deflate, Zip, ZipDeflate, type ZipInputFile } from 'fflate';
import { ZIP_TIME } from '../archive/archive.js';
import { Failure } from '../diagnostic/failure.js';
import { systemFailure } from '../diagnostic/system-error.js';
import { harmless } from '../text/harmless.js';
import { writeAll } from './atomic-write.js';
import type { OutFile } from './out.js';
import {
  closeTemporary,
  makeFolder,
  openTemporary,
  removeLeftovers,
  removeTemporary,
} from './temporary-files.js';

/** Text is packed in pieces of this size. */
const PIECE = 65_536;

/** A larger zip archive would need Zip64, which not all programs read. */
const LARGEST = 0xffff_fffe;

/** One text of the archive, on its way. */
class Spool {
  size = 0;
  sum = 0;
  #held = '';
  /** Its name, where the open file could not be unlinked. */
  #named: string | undefined;
  readonly #file: number;
  readonly #deflate: Deflate;

  constructor(
    readonly name: string,
    folder: string,
  ) {
    const { path, file } = openTemporary(folder);
    this.#file = file;
    // Where the system lets an open file be unlinked, nothing is left behind whatever happens to the program.
    try {
      unlinkSync(path);
    } catch {
      this.#named = path;
    }
    this.#deflate = new Deflate({ level: 6 }, (packed) => {
      if (packed.length > 0) writeAll(this.#file, packed);
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
    closeTemporary(this.#file);
    if (this.#named !== undefined) removeTemporary(this.#named);
  }
}

/**
 * An archive in the making. Memory does not grow with it; what was packed stands beside the file that it will be, or
 * where the system keeps such files when it goes to a stream. `close` takes that away, whatever happened.
 */
export class ArchiveSpool {
  readonly #spools = new Map<string, Spool>();
  readonly #undoFolder: () => void;

  /** `out` is the file that the archive will be, if it will be one. */
  constructor(
    names: readonly string[],
    readonly out: OutFile | undefined,
  ) {
    const folder = out === undefined ? tmpdir() : dirname(out.path);
    let undo: () => void = () => undefined;
    try {
      undo = makeFolder(folder);
      removeLeftovers(folder);
      for (const name of names) this.#spools.set(name, new Spool(name, folder));
    } catch (error) {
      this.#closeSpools();
      undo();
      throw this.#failure(error);
    }
    this.#undoFolder = undo;
  }

  /** Adds to one of the texts. */
  write(name: string, text: string): void {
    try {
      this.#spools.get(name)?.write(text);
    } catch (error) {
      throw this.#failure(error);
    }
  }

  /** The bytes of the whole archive: first the texts that are given whole, then the others. */
  *bytes(first: readonly (readonly [name: string, text: string])[]): Generator<Uint8Array, void> {
    try {
      yield* this.#zipped(first);
    } catch (error) {
      throw this.#failure(error);
    }
  }

  *#zipped(first: readonly (readonly [name: string, text: string])[]): Generator<Uint8Array, void> {
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
    out.write(this.bytes(first));
  }

  /** Takes away everything but the finished archive. */
  close(): void {
    this.#closeSpools();
    this.#undoFolder();
  }

  #closeSpools(): void {
    for (const spool of this.#spools.values()) spool.close();
    this.#spools.clear();
  }

  #failure(error: unknown): Failure {
    return systemFailure(error, harmless(this.out?.shown ?? 'the archive'), 'written');
  }
}
