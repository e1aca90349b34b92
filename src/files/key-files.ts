import { readdirSync, statSync } from 'node:fs';
import { dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import { systemFailure } from '../diagnostic/system-error.js';
import { byCodeUnit } from '../text/words.js';
import { KEY_ENDING } from './key-id.js';
import { isFile } from './texts.js';

/** Whether a folder stands there. */
export function isFolder(path: string): boolean {
  try {
    return statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;
  } catch {
    return false; // A path below a file, or a name that no file can have.
  }
}

/** The key files of a folder. */
interface FolderOfKeys {
  /** Its key files and those of the folders in it, by name. */
  readonly files: readonly string[];
  /** The folder itself and those in it that were looked into. */
  readonly folders: readonly string[];
}

/**
 * The key files in a folder and in the folders below it; hidden ones and those of packages are skipped, and links
 * to folders are not followed. `path` and what is given back are relative to `cwd` or absolute, as `path` is.
 */
export function keysBelow(path: string, cwd: string): FolderOfKeys {
  const files: string[] = [];
  const folders: string[] = [];
  const look = (folder: string): void => {
    folders.push(folder);
    for (const entry of entriesOf(folder, cwd)) {
      const inside = folder === '.' ? entry.name : join(folder, entry.name);
      if (entry.isDirectory()) {
        if (!entry.name.startsWith('.') && entry.name !== 'node_modules') look(inside);
      } else if (entry.name.endsWith(KEY_ENDING) && isFile(resolve(cwd, inside))) files.push(inside);
    }
  };
  look(join(path, '.').replace(/[/\\]$/, ''));
  return { files, folders };
}

function entriesOf(folder: string, cwd: string) {
  try {
    const entries = readdirSync(resolve(cwd, folder), { withFileTypes: true });
    return entries.sort((a, b) => byCodeUnit(a.name, b.name));
  } catch (error) {
    throw systemFailure(error, folder);
  }
}

/** The nearest file of a name in the folder of a file or, where that lies below `cwd`, in the folders up to `cwd`. */
export function nearestAbove(name: string, file: string, cwd: string): string | undefined {
  let folder = dirname(resolve(cwd, file));
  const below = relative(cwd, folder);
  const inside = below !== '..' && !below.startsWith(`..${sep}`) && !isAbsolute(below);
  for (;;) {
    const path = join(folder, name);
    if (isFile(path)) return inside ? relative(cwd, path) : path;
    if (!inside || folder === cwd) return undefined;
    folder = dirname(folder);
  }
}
