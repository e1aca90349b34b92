import { closeSync, openSync, readSync } from 'node:fs';
import { isArchive } from '../archive/directory.js';

/** Whether a file begins as a zip archive does. */
export function isArchiveFile(path: string): boolean {
  const start = fileStart(path, 4);
  return start.length === 4 && isArchive(start);
}

/** The first bytes of a file, at most so many; none where it cannot be read. */
export function fileStart(path: string, most: number): Uint8Array {
  try {
    const file = openSync(path, 'r');
    try {
      const start = new Uint8Array(most);
      return start.subarray(0, readSync(file, start, 0, most, 0));
    } finally {
      closeSync(file);
    }
  } catch {
    return new Uint8Array(); // A file that cannot be read is reported when it is opened.
  }
}
