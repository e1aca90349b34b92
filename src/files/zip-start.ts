import { closeSync, openSync, readSync } from 'node:fs';

/** Whether bytes that begin like this are a zip archive. */
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
    return false; // A file that cannot be read is reported when it is opened.
  }
}
