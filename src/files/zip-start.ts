import { closeSync, openSync, readSync } from 'node:fs';

/** Whether something that begins like this is a zip archive. */
export function isArchive(start: Uint8Array): boolean {
  const [p, k, third, fourth] = start;
  return p === 0x50 && k === 0x4b && ((third === 3 && fourth === 4) || (third === 5 && fourth === 6));
}

/** Whether a file begins as a zip archive does. */
export function isArchiveFile(path: string): boolean {
  try {
    const file = openSync(path, 'r');
    try {
      const start = new Uint8Array(4);
      return readSync(file, start, 0, 4, 0) === 4 && isArchive(start);
    } finally {
      closeSync(file);
    }
  } catch {
    return false; // What cannot be read is told when it is opened.
  }
}
