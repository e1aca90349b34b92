import { readFileSync } from 'node:fs';
import { posix } from 'node:path';
import { Archive, bytesSource, SMALL_ARCHIVE } from '../archive/archive.js';
import type { ByteSource } from '../archive/directory.js';
import { Failure } from '../diagnostic/failure.js';
import { isSystemError } from '../diagnostic/system-error.js';
import { utf8Text } from '../diagnostic/utf8.js';
import { LARGEST_TEXT } from '../key/document.js';
import type { Found, Shelf } from '../key/load.js';
import { harmless, quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { defined } from '../text/optional.js';
import { fileSource } from './file-source.js';
import { idInText } from './key-id.js';
import { MANIFEST, type Manifest, readManifest, sha256 } from './manifest.js';
import { isFile } from './texts.js';

/**
 * A bundle whose every file was checked against the manifest: nothing is missing, changed or added. Its keys
 * and terms are kept in memory; pictures and texts for people are only checked.
 */
export class Bundle implements Shelf {
  readonly manifest: Manifest;
  readonly #texts = new Map<string, string>();
  /** By the id that a key states near its top, its names. */
  readonly #ids = new Map<string, string[]>();

  constructor(
    source: ByteSource,
    /** Its name in messages. */
    readonly shown: string,
    /** Opens the same bytes again. */
    readonly again: () => ByteSource,
  ) {
    const archive = new Archive(source, shown, SMALL_ARCHIVE);
    if (!archive.has(MANIFEST))
      throw new Failure(
        `${harmless(shown)} is a zip archive, but not a bundle of keys: there is no ${MANIFEST} in it`,
      );
    if (archive.size(MANIFEST) > LARGEST_TEXT) throw this.#refused(`its ${MANIFEST} is too large`);
    const read = readManifest(utf8Text(archive.read(MANIFEST), this.nameOf(MANIFEST)));
    if (!read.ok) throw this.#refused(read.problem);
    this.manifest = read.manifest;
    const listed = new Map(read.manifest.files.map((f) => [f.name, f]));
    for (const name of archive.names)
      if (name !== MANIFEST && !listed.has(name))
        throw this.#refused(`it holds ${quoted(name)}, which its ${MANIFEST} does not list`);
    for (const { name, kind, size, sha256: sum } of read.manifest.files) {
      if (!archive.has(name)) throw this.#refused(`${quoted(name)} is missing from it`);
      const isText = kind === 'key' || kind === 'terms';
      if (isText && archive.size(name) > LARGEST_TEXT)
        throw this.#refused(
          `${quoted(name)} is larger than the ${LARGEST_TEXT / 1048576} MB that a key may have`,
        );
      const bytes = archive.size(name) === size ? archive.read(name) : undefined;
      if (bytes === undefined || sha256(bytes) !== sum)
        throw this.#refused(`${quoted(name)} was changed after the bundle was made`);
      if (!isText) continue;
      const text = utf8Text(bytes, this.nameOf(name));
      this.#texts.set(name, text);
      const id = kind === 'key' ? idInText(text) : undefined;
      if (id !== undefined) this.#ids.set(id, [...(this.#ids.get(id) ?? []), name]);
    }
  }

  /** How a file of it is called in messages, `tufts.keywright.zip/tufts.key.yaml`. */
  nameOf(inner: string): string {
    return `${this.shown}/${inner}`;
  }

  /** The text of a key or a terms file of it. */
  text(inner: string): string | undefined {
    return this.#texts.get(inner);
  }

  /** The bytes of a figure of it, read anew. Throws a Failure when they are not there, or others than they were. */
  figure(inner: string): Uint8Array {
    const source = this.again();
    try {
      const bytes = new Archive(source, this.shown, SMALL_ARCHIVE).read(inner);
      const listed = this.manifest.files.find((f) => f.name === inner);
      if (listed?.sha256 !== sha256(bytes))
        throw this.#refused(`${quoted(inner)} was changed after the bundle was made`);
      return bytes;
    } finally {
      source.close();
    }
  }

  key(reference: string, fromFile: string): Found {
    if (reference.includes('/') || reference.endsWith('.yaml')) return this.terms(reference, fromFile);
    const [name, ...others] = this.#ids.get(reference) ?? [];
    if (name !== undefined && others.length === 0) return this.#found(name);
    return others.length > 0
      ? { ok: false, problem: 'several keys of the bundle have this id' }
      : this.#missing(reference, [...this.#ids.keys()]);
  }

  terms(reference: string, fromFile: string): Found {
    const folder = posix.dirname(fromFile.slice(this.shown.length + 1));
    // Beside the file that names it, else from the top: where it stood in another folder of keys.
    for (const from of [folder, '.']) {
      const name = posix.join(from, reference);
      if (this.#texts.has(name)) return this.#found(name);
    }
    return this.#missing(reference, [...this.#texts.keys()]);
  }

  #found(name: string): Found {
    return { ok: true, file: this.nameOf(name), text: this.#texts.get(name) ?? '' };
  }

  #missing(reference: string, known: readonly string[]): Found {
    const near = nearest(reference, known);
    const problem = `there is none in the bundle ${harmless(this.shown)}, and a bundle continues in nothing outside it`;
    return { ok: false, problem, ...defined({ nearest: near }) };
  }

  #refused(why: string): Failure {
    return new Failure(`${harmless(this.shown)} cannot be opened: ${why}`);
  }
}

/** Opens the bundle in a file. Throws a Failure that says what is wrong with it. */
export function openBundle(path: string, shown: string): Bundle {
  const open = () => fileSource(path, shown);
  const source = open();
  try {
    return new Bundle(source, shown, open);
  } finally {
    source.close();
  }
}

/** The bundle at a place, if there is one. It is looked at as what may be replaced, so it does not count as read. */
export function bundleAt(path: string, shown: string): Bundle | undefined {
  if (!isFile(path)) return undefined;
  try {
    return bundleIn(readFileSync(path), shown);
  } catch (error) {
    if (error instanceof Failure || isSystemError(error)) return undefined;
    throw error;
  }
}

/** Opens a bundle that is in memory. */
export function bundleIn(bytes: Uint8Array, shown: string): Bundle {
  const open = () => bytesSource(bytes);
  return new Bundle(open(), shown, open);
}
