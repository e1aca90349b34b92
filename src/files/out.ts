import { linkSync, mkdirSync, realpathSync, unlinkSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import { isFile, isNoFile, readText, whyNot, writeWhole } from './texts.js';

/** What may be replaced by what a command writes. */
export interface OutPermission {
  /** As the person wrote it. */
  readonly shown: string;
  /** By what a text is known as one that the program made, and may make again. */
  readonly ours: RegExp;
  /** The person said that any file may be replaced. */
  readonly overwrite: boolean;
  /** Files that are read for the work: these are never replaced. */
  readonly read: readonly string[];
}

/**
 * Writes what was asked for to a file, as a whole. A file that stands there is replaced only when it is known as one of
 * ours, or when the person said so; a file that was read for the work never is. Throws a Failure otherwise.
 */
export function writeOut(path: string, text: string, { ours, ...permission }: OutPermission): void {
  checkOut(path, { ...permission, ours: () => ours.test(readText(path, permission.shown)) });
  writeWhole(path, text);
}

/** The same for what is written in another way: throws a Failure when a file may not be replaced. */
export function checkOut(
  path: string,
  { shown, ours, overwrite, read }: Omit<OutPermission, 'ours'> & { readonly ours: () => boolean },
): void {
  if (isNoFile(path)) throw new Failure(`${shown} is not a file, so nothing can be written there`);
  if (!isFile(path)) return;
  if (read.some((other) => isFile(other) && realpathSync(other) === realpathSync(path)))
    throw new Failure(`${shown} is read for this very work; it is left as it is`, {
      hint: 'give another name',
    });
  if (!overwrite && !ours())
    throw new Failure(`${shown} is there already and was not written by this command; it is left as it is`, {
      hint: 'give another name, or add --overwrite',
    });
}

/** Writes a new file, whole or not at all. Throws a Failure, and leaves what stands there alone, when the name is taken. */
export function writeNew(path: string, text: string, shown = path): void {
  const part = `${path}.${process.pid}.part`;
  try {
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(part, text, { flag: 'wx' });
    try {
      // A link is made only where nothing has the name, however quickly somebody else may be.
      linkSync(part, path);
    } finally {
      unlinkSync(part);
    }
  } catch (error) {
    if ((error as { code?: string }).code === 'EEXIST')
      throw new Failure(`${shown} is there already; it is left as it is`, {
        cause: error,
        hint: 'give another name',
      });
    throw new Failure(`${shown} ${whyNot(error, 'written')}`, { cause: error });
  }
}
