/**
 * keywright as a library for programs on Node: keys, shelves of folders and archives on the disk. All else is in
 * `keywright`. A file that cannot be read is a `Failure`; what is wrong within one comes as findings.
 */
import { resolve } from 'node:path';
import { writeArchive as packed } from './archive/archive.js';
import { Failure } from './diagnostic/failure.js';
import { writeAtomically, writeNew } from './files/atomic-write.js';
import { FolderShelf } from './files/shelf.js';
import { fileTable } from './files/table-source.js';
import { isFile, isNoFile } from './files/texts.js';
import { type ArchiveFiles, type ArchiveTexts, type Loaded, loadKey, type Shelf } from './index.js';

/** Where keys are looked for. */
export interface ShelfOptions {
  /** What relative paths start from, and where the folder `keys` is looked into. Default: the folder of the process. */
  readonly cwd?: string;
  /** Further folders in which keys are looked up by id. */
  readonly folders?: readonly string[];
}

/**
 * A shelf of folders: a chained key is looked up by id or relative path in the folder of the key that names it, in
 * `./keys`, and in the given folders; nothing outside of these is read. Throws a Failure for a folder that is not there.
 */
export function folderShelf(options: ShelfOptions = {}): Shelf {
  return shelfOf(options);
}

/** A key from the disk, with the file it was found in. */
export interface Opened extends Loaded {
  /** As it is called in findings. */
  readonly file: string;
  /** Its whole text, as `lintKey` and `trimKey` take it. */
  readonly text: string;
  /** Where the keys that it continues in were looked up. */
  readonly shelf: Shelf;
}

/**
 * Opens a key by its path (a key file, or a bundle of `keywright bundle`) or by its id in `./keys` and the given folders,
 * with every key it continues in. Throws a Failure that says where it was looked for.
 */
export async function openKey(reference: string, options: ShelfOptions = {}): Promise<Opened> {
  const shelf = shelfOf(options);
  const file = await shelf.opened(reference);
  const text = shelf.text(file);
  return { ...loadKey(text, { file, shelf }), file, text, shelf };
}

function shelfOf({ cwd, folders }: ShelfOptions): FolderShelf {
  return new FolderShelf(resolve(cwd ?? '.'), folders);
}

/** A Darwin Core archive on the disk. It stays open until it is closed. */
export interface OpenArchive extends ArchiveTexts {
  close(): void;
}

/** Opens a Darwin Core archive for `identifyArchive`, which reads it piece by piece. Throws a Failure when it is no zip file. */
export async function readArchive(path: string): Promise<OpenArchive> {
  const source = await fileTable(resolve(path), path, 'archive');
  if (source.kind !== 'archive') throw new Failure(`${path} is no zip archive`);
  return { ...source.texts, close: () => source.close() };
}

/** How a file is written. */
export interface WriteOptions {
  /** Replace a file that is there. Default false: a Failure is thrown, and the file left as it is. */
  readonly overwrite?: boolean;
}

/** Packs the files of an archive into a zip file, whole or not at all. Throws a Failure where that cannot be. */
export function writeArchive(path: string, files: ArchiveFiles, options: WriteOptions = {}): void {
  const at = resolve(path);
  const bytes = packed(Object.entries(files));
  if (isNoFile(at, path)) throw new Failure(`${path} is not a file, so nothing can be written there`);
  if (options.overwrite === true && isFile(at)) writeAtomically(at, bytes, path);
  else writeNew(at, bytes, path, 'give another name, or overwrite: true');
}
