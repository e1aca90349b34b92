import { realpathSync, statSync } from 'node:fs';
import { resolve } from 'node:path';

/**
 * The files that this run has read, and those that it has written: nothing that a command writes may take their place.
 * Every reader of this folder notes its file here, so that no command has to remember what it read.
 */
const read = new Set<string>();
const written = new Set<string>();

/** Forgets what another run in this process has read and written. */
export function beginRun(): void {
  read.clear();
  written.clear();
}

/** Notes that a file is read, or is about to be. */
export function noteRead(path: string): void {
  read.add(resolve(path));
}

/** Notes that a file was written. */
export function noteWritten(path: string): void {
  written.add(resolve(path));
}

/** Whether this run has read the file, under this or another name: links to one file are one file. */
export function wasRead(path: string): boolean {
  return isAmong(path, read);
}

/** Whether this run has written the file, under this or another name. */
export function wasWritten(path: string): boolean {
  return isAmong(path, written);
}

function isAmong(path: string, files: ReadonlySet<string>): boolean {
  if (files.has(resolve(path))) return true;
  const own = identity(path);
  return own !== undefined && [...files].some((file) => identity(file) === own);
}

/** The identity of a file, the same under all its names; undefined when there is no such file. */
export function identity(path: string): string | undefined {
  try {
    const { dev, ino } = statSync(path, { bigint: true });
    // Some network drives and memory cards do not number files.
    return ino === 0n ? realpathSync(path) : `${dev}:${ino}`;
  } catch {
    return undefined;
  }
}
