import { closeSync, openSync, readdirSync, readSync } from 'node:fs';
import { join } from 'node:path';
import { systemFailure } from '../diagnostic/system-error.js';
import { isFile } from './texts.js';

/** The ending of the names of key files. */
export const KEY_ENDING = '.key.yaml';

/** The id that a key states near its top, without parsing it. */
export function idInText(head: string): string | undefined {
  return /^id:\s*["']?([a-z0-9][a-z0-9-]*)/m.exec(head)?.[1];
}

/** The ids of the keys in a folder, each with its files: the id stated near the top, or else the name of the file. */
export function keyIdsIn(folder: string): ReadonlyMap<string, readonly string[]> {
  const ids = new Map<string, string[]>();
  for (const name of filesEnding(folder, KEY_ENDING)) {
    const path = join(folder, name);
    if (!isFile(path)) continue;
    const id = idIn(path) ?? name.slice(0, -KEY_ENDING.length);
    ids.set(id, [...(ids.get(id) ?? []), path]);
  }
  return ids;
}

/**
 * The names in a folder that end in a certain way, sorted; none when there is no such folder. Throws a Failure when it
 * cannot be read.
 */
export function filesEnding(folder: string, ending: string): string[] {
  try {
    return readdirSync(folder)
      .filter((name) => name.endsWith(ending))
      .sort();
  } catch (error) {
    // A folder that is not there holds no keys.
    if (['ENOENT', 'ENOTDIR'].includes((error as { code?: string }).code ?? '')) return [];
    throw systemFailure(error, folder);
  }
}

/** The id that a key file states near its top, without parsing it: a folder may hold many keys. */
function idIn(path: string): string | undefined {
  try {
    const file = openSync(path, 'r');
    try {
      const head = Buffer.alloc(16_384);
      const read = readSync(file, head, 0, head.length, 0);
      return idInText(head.toString('utf8', 0, read));
    } finally {
      closeSync(file);
    }
  } catch {
    return undefined; // What cannot be read is reported when it is opened.
  }
}
