import { readFileSync, realpathSync } from 'node:fs';
import { basename, dirname, isAbsolute, join, posix, relative, resolve, sep } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import { whyNot } from '../diagnostic/system-error.js';
import { LARGEST_TEXT } from '../key/document.js';
import type { Found, Shelf } from '../key/load.js';
import { harmless } from '../text/harmless.js';
import { nearest, nearestFew } from '../text/nearest.js';
import { defined } from '../text/optional.js';
import { listed } from '../text/words.js';
import type { Bundle } from './bundle.js';
import { isFolder } from './key-files.js';
import { filesEnding, keyIdsIn } from './key-id.js';
import { LARGEST_FIGURE, readReferencedFile, whyNotReferenced } from './referenced-file.js';
import { isFile, noFile, readText, statOf } from './texts.js';
import { isArchiveFile } from './zip-start.js';

/**
 * A file that was looked up, or why it was not found: `there` tells a file that may not be used from one that does not
 * exist.
 */
type LookedUp = Extract<Found, { ok: true }> | (Extract<Found, { ok: false }> & { readonly there: boolean });

/** The bytes of a figure, or why it cannot be used. */
type FigureBytes =
  | { readonly ok: true; readonly bytes: Uint8Array }
  | { readonly ok: false; readonly problem: string };

/**
 * Keys and terms on the disk. A chained key is looked up by id or relative path in the folder of the key that names it,
 * in the given folders, and in the further ones (`./keys` unless said otherwise); a path may not lead out of these folders,
 * nor may a link. Of two keys with one id, the one in the nearer folder is meant.
 * File names are kept relative to `cwd` where they lie below it, as a person would write them.
 */
export class FolderShelf implements Shelf {
  readonly #cwd: string;
  readonly #folders: readonly string[];
  /** Folders that nobody named just now: it is no mistake when one is not there or cannot be read. */
  readonly #further: ReadonlySet<string>;
  readonly #namesakes = new Map<string, Namesake>();
  readonly #ids = new Map<string, ReadonlyMap<string, readonly string[]>>();
  /** The bundles that were opened, by their absolute paths. */
  readonly #bundles = new Map<string, Bundle>();

  constructor(
    cwd: string,
    folders: readonly string[] = [],
    further: readonly string[] = [join(cwd, 'keys')],
  ) {
    this.#cwd = cwd;
    const given = folders.map((f) => givenFolder(f, cwd));
    this.#further = new Set(further.filter((f) => !given.includes(f)));
    this.#folders = [...given, ...this.#further];
  }

  /** The keys that were found by an id which another key has as well, in a folder farther off. */
  get namesakes(): readonly Namesake[] {
    return [...this.#namesakes.values()];
  }

  /** The folders in which keys are looked for by id, the nearest first, as messages name them. */
  get places(): readonly string[] {
    return this.#folders.map((f) => this.#shown(f) + (isFolder(f) ? '' : ' (not there)'));
  }

  key(reference: string, fromFile: string): Found {
    const bundle = this.bundleOf(fromFile);
    if (bundle !== undefined) return bundle.key(reference, fromFile);
    const folders = [dirname(resolve(this.#cwd, fromFile)), ...this.#folders];
    return this.#look(reference, folders, reference.includes('/') || reference.endsWith('.yaml'));
  }

  terms(reference: string, fromFile: string): Found {
    const bundle = this.bundleOf(fromFile);
    if (bundle !== undefined) return bundle.terms(reference, fromFile);
    return this.#look(reference, [dirname(resolve(this.#cwd, fromFile)), ...this.#folders], true);
  }

  /** The bundle that a file lies in, where it lies in one that was opened. */
  bundleOf(file: string): Bundle | undefined {
    for (const bundle of this.#bundles.values()) if (file.startsWith(`${bundle.shown}/`)) return bundle;
    return undefined;
  }

  /** The text of a key or a terms file that was found here. Throws a Failure when it cannot be read. */
  text(file: string): string {
    const bundle = this.bundleOf(file);
    if (bundle === undefined) return readKeyText(resolve(this.#cwd, file), file);
    const text = bundle.text(file.slice(bundle.shown.length + 1));
    if (text === undefined) throw new Failure(`${harmless(file)} cannot be read: there is no such file`);
    return text;
  }

  /** Why a figure that a file names cannot be used, beside that file or in its bundle; undefined when it can. */
  lacking(fromFile: string, name: string): string | undefined {
    const bundle = this.bundleOf(fromFile);
    if (bundle === undefined)
      return whyNotReferenced(dirname(resolve(this.#cwd, fromFile)), name, LARGEST_FIGURE);
    const inner = posix.join(posix.dirname(fromFile.slice(bundle.shown.length + 1)), name);
    return bundle.manifest.files.some((f) => f.name === inner) ? undefined : 'the bundle does not hold it';
  }

  /** The bytes of a figure that a file names, beside that file or in its bundle, or why it cannot be used. */
  figure(fromFile: string, name: string): FigureBytes {
    const bundle = this.bundleOf(fromFile);
    if (bundle === undefined)
      return readReferencedFile(dirname(resolve(this.#cwd, fromFile)), name, LARGEST_FIGURE);
    const problem = this.lacking(fromFile, name);
    if (problem !== undefined) return { ok: false, problem };
    const inner = posix.join(posix.dirname(fromFile.slice(bundle.shown.length + 1)), name);
    return { ok: true, bytes: bundle.figure(inner) };
  }

  /**
   * The file of a key that a person named: that of a bundle where they named one (or a key in it, as messages
   * do), else as `named` has it. Bundles are rare, and what reads them is loaded only for them. Throws a
   * Failure for a bundle that is not as it was made.
   */
  async opened(reference: string): Promise<string> {
    const path = resolve(this.#cwd, reference);
    for (let at = path; at !== dirname(at); at = dirname(at)) {
      if (!isFile(at)) continue;
      if (!isArchiveFile(at)) break;
      const bundle = await this.#bundle(at);
      const inner = at === path ? bundle.manifest.key.file : relative(at, path).split(sep).join('/');
      if (bundle.text(inner) === undefined) break;
      return bundle.nameOf(inner);
    }
    return this.named(reference);
  }

  /**
   * The file of a key that a person named: a path (any, it is theirs) or an id in the folders where keys are looked for.
   * Throws a Failure that says where it was looked for.
   */
  named(reference: string): string {
    const path = resolve(this.#cwd, reference);
    if (isFile(path)) return this.#shown(path);
    const byId = this.#look(reference, this.#folders, false, false);
    if (byId.ok) return byId.file;
    if (byId.there) throw new Failure(`key ${harmless(reference)} cannot be used: ${byId.problem}`);
    if (reference.includes('/') || reference.endsWith('.yaml')) throw noFile(path, harmless(reference));
    const near = this.#nearIds(reference);
    const hint = near.length === 0 ? undefined : `did you mean ${listed(near, 'or')}?`;
    throw new Failure(
      `there is no key ${harmless(reference)}: no file of that name, and none of that id in ${this.#folders.map((f) => this.#shown(f)).join(', ')}`,
      defined({ hint }),
    );
  }

  async #bundle(path: string): Promise<Bundle> {
    const known = this.#bundles.get(path);
    if (known !== undefined) return known;
    const { openBundle } = await import('./bundle.js');
    const bundle = openBundle(path, this.#shown(path));
    this.#bundles.set(path, bundle);
    return bundle;
  }

  #look(reference: string, folders: readonly string[], asPath: boolean, withText = true): LookedUp {
    const known: string[] = [];
    for (const folder of new Set(folders)) {
      if (asPath) {
        const outside = this.#outside(reference, folder);
        if (outside)
          return {
            ok: false,
            there: true,
            problem: 'it lies outside the folder of the key, and only what stands beside it is read',
          };
        const path = join(folder, reference);
        if (isFile(path)) return this.#open(path, folder, withText);
        known.push(...this.#namesIn(folder));
        continue;
      }
      const ids = this.#idsIn(folder);
      const [path, ...others] = ids.get(reference) ?? [];
      if (path !== undefined && others.length > 0) {
        const files = listed([path, ...others].map((p) => harmless(this.#shown(p))));
        return {
          ok: false,
          there: true,
          problem: `the files ${files} have the same id, so it is not clear which is meant`,
        };
      }
      if (path !== undefined) {
        this.#noteNamesake(reference, path, folders);
        return this.#open(path, folder, withText);
      }
      known.push(...ids.keys());
    }
    const near = nearest(reference, known);
    const where = [...new Set(folders)].map((f) => harmless(this.#shown(f))).join(', ');
    const problem = `there is none in ${where}`;
    return { ok: false, there: false, problem, ...defined({ nearest: near }) };
  }

  /** Remembers a key that has the id of one that was found nearer; the same text is no other key. */
  #noteNamesake(id: string, path: string, folders: readonly string[]): void {
    if (this.#namesakes.has(id)) return;
    for (const folder of new Set(folders)) {
      const other = this.#idsIn(folder)
        .get(id)
        ?.find((p) => p !== path && !sameText(p, path));
      if (other === undefined) continue;
      this.#namesakes.set(id, { id, file: this.#shown(path), other: this.#shown(other) });
      return;
    }
  }

  #namesIn(folder: string): readonly string[] {
    try {
      return filesEnding(folder, '.yaml');
    } catch (error) {
      if (error instanceof Failure && this.#further.has(folder)) return [];
      throw error;
    }
  }

  #nearIds(id: string): string[] {
    return nearestFew(id, new Set(this.#folders.flatMap((f) => [...this.#idsIn(f).keys()])), 3);
  }

  #outside(reference: string, folder: string): boolean {
    if (isAbsolute(reference)) return true;
    const path = relative(folder, resolve(folder, reference));
    return path === '..' || path.startsWith(`..${sep}`);
  }

  #open(path: string, folder: string, withText: boolean): LookedUp {
    try {
      const real = relative(realpathSync(folder), realpathSync(path));
      if (real === '..' || real.startsWith(`..${sep}`) || isAbsolute(real))
        return { ok: false, there: true, problem: 'it is a link that leads out of its folder' };
      return { ok: true, file: this.#shown(path), text: withText ? readKeyText(path) : '' };
    } catch (error) {
      return {
        ok: false,
        there: true,
        problem: error instanceof Failure ? error.message : `${basename(path)} ${whyNot(error)}`,
      };
    }
  }

  #shown(path: string): string {
    const below = relative(this.#cwd, path);
    return below === '' ? '.' : below.startsWith('..') || isAbsolute(below) ? path : below;
  }

  #idsIn(folder: string): ReadonlyMap<string, readonly string[]> {
    const known = this.#ids.get(folder);
    if (known !== undefined) return known;
    const ids = this.#further.has(folder) ? readableIdsIn(folder) : keyIdsIn(folder);
    this.#ids.set(folder, ids);
    return ids;
  }
}

/** A key found by its id, and another one of that id. */
interface Namesake {
  readonly id: string;
  readonly file: string;
  readonly other: string;
}

/** The ids in a folder; none where it cannot be read. */
function readableIdsIn(folder: string): ReadonlyMap<string, readonly string[]> {
  try {
    return keyIdsIn(folder);
  } catch (error) {
    if (error instanceof Failure) return new Map();
    throw error;
  }
}

/** Whether two files hold the same; what cannot be read is told when it is opened. */
function sameText(a: string, b: string): boolean {
  try {
    return realpathSync(a) === realpathSync(b) || readFileSync(a).equals(readFileSync(b));
  } catch {
    return true;
  }
}

/** Reads a key file, refusing one that is too large before it is read. */
export function readKeyText(path: string, shown = path): string {
  const size = statOf(path, shown)?.size ?? 0;
  if (size > LARGEST_TEXT)
    throw new Failure(
      `${shown} is ${Math.round(size / 1048576)} MB; ${LARGEST_TEXT / 1048576} MB is the most that a key may have`,
    );
  return readText(path, shown);
}

/** A folder that a person named. One that does not exist is an error: it is probably mistyped. */
function givenFolder(folder: string, cwd: string): string {
  const path = resolve(cwd, folder);
  const found = statOf(path, harmless(folder));
  if (found?.isDirectory() === true) return path;
  throw new Failure(
    `${harmless(folder)} cannot be searched for keys: ${found === undefined ? 'there is no such folder' : 'it is not a folder'}`,
  );
}
