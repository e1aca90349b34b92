import { Zip, ZipPassThrough } from 'fflate';
import { ZIP_TIME } from './archive.js';

/**
 * An archive of files as they are, not packed: without what packs them, a program is a good deal smaller. The same files
 * in the same order always give the same bytes. Throws an Error where two have one name.
 */
export function storedArchive(
  files: Iterable<readonly [name: string, content: string | Uint8Array]>,
): Uint8Array {
  const pieces: Uint8Array[] = [];
  const names = new Set<string>();
  const zip = new Zip((error, piece) => {
    if (error !== null) throw error;
    pieces.push(piece);
  });
  const encoder = new TextEncoder();
  for (const [name, content] of files) {
    if (names.has(name)) throw new Error(`two files are called ${name}`);
    names.add(name);
    const file = new ZipPassThrough(name);
    file.mtime = ZIP_TIME;
    zip.add(file);
    file.push(typeof content === 'string' ? encoder.encode(content) : content, true);
  }
  zip.end();
  const all = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    all.set(piece, at);
    at += piece.length;
  }
  return all;
}
