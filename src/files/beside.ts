import { readFileSync, realpathSync, statSync } from 'node:fs';
import { isAbsolute, join, relative, sep } from 'node:path';
import { whyNot } from '../diagnostic/systemerror.js';
import { noteRead } from './reads.js';
import { isFile } from './texts.js';
import { inMegabytes } from './zipdirectory.js';

/** The bytes of a file, or why they could not be had. */
export type BesideFile =
  | { readonly ok: true; readonly path: string; readonly bytes: Uint8Array }
  | { readonly ok: false; readonly problem: string };

/** Reads a file that another one names, from the folder of that one or below it; nothing outside, nor past `most` bytes. */
export function readBeside(folder: string, name: string, most: number): BesideFile {
  const path = join(folder, name);
  if (!isFile(path)) return { ok: false, problem: 'there is no such file' };
  try {
    const real = relative(realpathSync(folder), realpathSync(path));
    if (real === '..' || real.startsWith(`..${sep}`) || isAbsolute(real))
      return { ok: false, problem: 'it lies outside the folder of the file that names it' };
    const { size } = statSync(path);
    if (size > most)
      return {
        ok: false,
        problem: `it has ${inMegabytes(size)}, and ${inMegabytes(most)} is the most that is taken`,
      };
    noteRead(path);
    return { ok: true, path, bytes: readFileSync(path) };
  } catch (error) {
    return { ok: false, problem: `it ${whyNot(error)}` };
  }
}
