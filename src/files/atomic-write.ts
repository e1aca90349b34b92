/** Files are written whole or not at all: to a temporary file beside their place, then moved there. */
import {
  accessSync,
  closeSync,
  constants,
  fchmodSync,
  fchownSync,
  fsyncSync,
  linkSync,
  openSync,
  realpathSync,
  renameSync,
  type Stats,
  statSync,
  writeSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import { systemFailure } from '../diagnostic/system-error.js';
import { noteWritten } from './run-files.js';
import {
  closeTemporary,
  makeFolder,
  openTemporary,
  removeLeftovers,
  removeTemporary,
} from './temporary-files.js';
import { statOf } from './texts.js';

/** Text, or bytes piece by piece. */
export type Content = string | Uint8Array | Iterable<Uint8Array>;

/**
 * Writes a whole file so that it is never seen half written: a crash leaves the old one or the new one. The target of
 * a link is replaced, not the link; permissions and owner stay. Throws a Failure when it is write-protected or the
 * system refuses.
 */
export function writeAtomically(path: string, content: Content, shown = path): void {
  requireWritable(path, shown);
  put(path, content, shown, (part) => renameSync(part, realPath(path)));
}

/** The same for a new file. Throws a Failure, and leaves what stands there alone, when the name is taken. */
export function writeNew(path: string, content: Content, shown = path, hint = 'give another name'): void {
  if (!tryWriteNew(path, content, shown))
    throw new Failure(`${shown} is there already; it is left as it is`, { hint });
}

/** Writes a new file; gives false, and leaves what stands there alone, when the name is taken. */
export function tryWriteNew(path: string, content: Content, shown = path): boolean {
  let made = false;
  put(path, content, shown, (part) => {
    made = moveNew(part, path);
  });
  return made;
}

/** Throws a Failure for a file that nobody may write: it is protected, though its folder may let it be replaced. */
export function requireWritable(path: string, shown: string): void {
  const found = statOf(path, shown);
  if (found === undefined) return;
  // The administrator may write everything, so the permissions are checked as well.
  const writable = (found.mode & 0o222) !== 0 && mayWrite(path);
  if (!writable)
    throw new Failure(`${shown} is write-protected; it is left as it is`, {
      hint: 'give another name, or allow writing to it first: chmod u+w',
    });
}

function mayWrite(path: string): boolean {
  try {
    accessSync(path, constants.W_OK);
    return true;
  } catch (error) {
    // Any other problem is reported when the file is written.
    return (error as { code?: string }).code !== 'EACCES';
  }
}

function put(path: string, content: Content, shown: string, move: (part: string) => void): void {
  let undo: (() => void) | undefined;
  let part: { readonly path: string; readonly file: number } | undefined;
  try {
    const target = realPath(path);
    const folder = dirname(target);
    undo = makeFolder(folder);
    removeLeftovers(folder);
    part = openTemporary(folder);
    const before = statSync(target, { throwIfNoEntry: false });
    if (before !== undefined) takeRights(part.file, before);
    for (const piece of piecesOf(content)) writeAll(part.file, piece);
    fsyncSync(part.file);
    closeSync(part.file);
    move(part.path);
    removeTemporary(part.path);
    noteWritten(path);
  } catch (error) {
    if (part !== undefined) {
      closeTemporary(part.file);
      removeTemporary(part.path);
    }
    undo?.();
    throw systemFailure(error, shown, 'written');
  }
}

/** Where a file really lies; the path itself where there is none. */
export function realPath(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    return path;
  }
}

/** Moves a file to a name that nothing has, without a race; returns whether the name was free. */
function moveNew(part: string, path: string): boolean {
  try {
    linkSync(part, path);
    return true;
  } catch (error) {
    if ((error as { code?: string }).code === 'EEXIST') return false;
  }
  // Memory cards and some network folders have no links. There the name is taken by an empty file first.
  try {
    closeSync(openSync(path, 'wx'));
  } catch (error) {
    if ((error as { code?: string }).code === 'EEXIST') return false;
    throw error;
  }
  try {
    renameSync(part, path);
    return true;
  } catch (error) {
    removeTemporary(path);
    throw error;
  }
}

function takeRights(file: number, { mode, uid, gid }: Stats): void {
  try {
    fchownSync(file, uid, gid);
  } catch {
    // Only the administrator may change the owner of a file.
  }
  try {
    fchmodSync(file, mode & 0o7777);
  } catch {
    // Some file systems have no permissions.
  }
}

function piecesOf(content: Content): Iterable<Uint8Array> {
  if (typeof content === 'string') return [Buffer.from(content)];
  return content instanceof Uint8Array ? [content] : content;
}

/** Writes all bytes to an open file; the system may need several calls. */
export function writeAll(file: number, bytes: Uint8Array): void {
  for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
}
