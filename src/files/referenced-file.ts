import { readFileSync, realpathSync, statSync } from 'node:fs';
import { isAbsolute, join, relative, sep } from 'node:path';
import { inMegabytes } from '../archive/directory.js';
import { whyNot } from '../diagnostic/system-error.js';
import { noteRead } from './run-files.js';
import { isFile } from './texts.js';

/** The bytes of a file, or why it could not be read. */
type ReferencedFile =
  | { readonly ok: true; readonly path: string; readonly bytes: Uint8Array }
  | { readonly ok: false; readonly problem: string };

/** More than any drawing of a key needs. */
export const LARGEST_FIGURE = 20 * 1024 * 1024;

/**
 * Reads a file that another one names, from the folder of that one or below it; nothing outside, nor past `most`
 * bytes.
 */
export function readReferencedFile(folder: string, name: string, most: number): ReferencedFile {
  const path = join(folder, name);
  const problem = whyNotReferenced(folder, name, most);
  if (problem !== undefined) return { ok: false, problem };
  try {
    noteRead(path);
    return { ok: true, path, bytes: readFileSync(path) };
  } catch (error) {
    return { ok: false, problem: `it ${whyNot(error)}` };
  }
}

/** Why a file that another one names cannot be used, without reading it; undefined when it can. */
export function whyNotReferenced(folder: string, name: string, most: number): string | undefined {
  const path = join(folder, name);
  if (!isFile(path)) return 'there is no such file';
  try {
    const real = relative(realpathSync(folder), realpathSync(path));
    if (real === '..' || real.startsWith(`..${sep}`) || isAbsolute(real))
      return 'it lies outside the folder of the file that names it';
    const { size } = statSync(path);
    if (size > most) return `it has ${inMegabytes(size)}, and ${inMegabytes(most)} is the most that is taken`;
    return undefined;
  } catch (error) {
    return `it ${whyNot(error)}`;
  }
}
