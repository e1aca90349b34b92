import { readFileSync, type Stats, statSync } from 'node:fs';
import { Failure } from '../diagnostic/failure.js';
import { systemFailure } from '../diagnostic/system-error.js';
import { utf8Text } from '../diagnostic/utf8.js';
import { noteRead } from './run-files.js';

/**
 * Reads a whole text file in UTF-8; a byte order mark stays. Throws a Failure that says in words why it could not be read.
 */
export function readText(path: string, shown = path): string {
  try {
    noteRead(path);
    return utf8Text(readFileSync(path), shown);
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw systemFailure(error, shown);
  }
}

/** What the system knows of a file or folder; undefined when there is none. Throws a Failure when it cannot be asked. */
export function statOf(path: string, shown = path): Stats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false });
  } catch (error) {
    throw systemFailure(error, shown);
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

/**
 * Whether something stands there that is no file: a folder, a device. Writing would not keep anything, or harm it.
 * Throws a Failure when that cannot be known.
 */
export function isNoFile(path: string, shown = path): boolean {
  const found = statOf(path, shown);
  return found !== undefined && !found.isFile();
}

/** Why a path that a person gave is no file that could be read. */
export function noFile(path: string, shown: string): Failure {
  try {
    const found = statSync(path);
    const what = found.isDirectory() ? 'it is a folder' : 'it is a device';
    return new Failure(`${shown} cannot be read: ${what}`, { hint: 'give the name of a file' });
  } catch (error) {
    return systemFailure(error, shown);
  }
}
