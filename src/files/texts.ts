import { mkdirSync, readFileSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import { Failure } from '../diagnostic/failure.js';
import { utf8Text } from '../diagnostic/utf8.js';

/**
 * Reads a whole text file in UTF-8; a byte order mark stays. Throws a Failure that says in words why it could not be read.
 */
export function readText(path: string, shown = path): string {
  try {
    return utf8Text(readFileSync(path), shown);
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw new Failure(`${shown} ${whyNot(error)}`, { cause: error });
  }
}

/**
 * Writes a whole file so that it is never seen half written: a crash leaves the old one or the new one. Throws a
 * Failure when the folder cannot be written.
 */
export function writeWhole(path: string, text: string | Uint8Array): void {
  try {
    mkdirSync(dirname(path), { recursive: true });
    writeFileAtomic.sync(path, typeof text === 'string' ? text : Buffer.from(text));
  } catch (error) {
    throw new Failure(`${path} ${whyNot(error, 'written')}`, { cause: error });
  }
}

/** Whether a file (not a folder) stands there. */
export function isFile(path: string): boolean {
  try {
    return statSync(path, { throwIfNoEntry: false })?.isFile() ?? false;
  } catch {
    return false; // A name that no file can have: too long, or with a zero character in it.
  }
}

/** Whether something stands there that is no file: a folder, a device. Writing would not keep anything, or harm it. */
export function isNoFile(path: string): boolean {
  const found = statSync(path, { throwIfNoEntry: false });
  return found !== undefined && !found.isFile();
}

/** Why a file cannot be read or written, after its name: `cannot be read: there is no such file`. */
export function whyNot(error: unknown, done: 'read' | 'written' = 'read'): string {
  const code = (error as { code?: string }).code;
  const reasons: Record<string, string> = {
    ENOENT: 'there is no such file',
    EACCES: 'access is denied',
    EPERM: 'access is denied',
    EISDIR: 'it is a folder',
    ENOTDIR: 'part of its path is not a folder',
    ENOSPC: 'the disk is full',
    EROFS: 'the disk can only be read',
    ERR_STRING_TOO_LONG: 'it is too large',
    ERR_FS_FILE_TOO_LARGE: 'it is too large',
  };
  return `cannot be ${done}: ${reasons[code ?? ''] ?? String((error as Error).message)}`;
}
