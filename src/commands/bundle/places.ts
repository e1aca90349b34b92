import { posix } from 'node:path';

/** A file that goes into a bundle, and how a key named it. */
export interface BundledText {
  readonly kind: 'key' | 'terms';
  /** Its absolute path, with `/` between folders. */
  readonly path: string;
  readonly file: string;
  readonly text: string;
  /** The file that names it; undefined for the key that is bundled. */
  readonly from: string | undefined;
}

/** Where each file of a bundle stands in it; or two that would stand in one place. */
type Places =
  | { readonly ok: true; readonly places: ReadonlyMap<string, string> }
  | { readonly ok: false; readonly name: string; readonly files: readonly [string, string] };

/**
 * Gives every key and terms file its place in a bundle, so that the paths by which they name each other still hold:
 * what stands below the folder of the file that names it keeps its place beside it; what was found in a folder of keys
 * stands as it stands there. `folders` are these folders. The key that is bundled comes first.
 */
export function placesFor(texts: readonly BundledText[], folders: readonly string[]): Places {
  const places = new Map<string, string>();
  /** By path, the folder whose place is the top of the bundle. */
  const tops = new Map<string, string>();
  const taken = new Map<string, BundledText>();
  for (const text of texts) {
    const { path, from } = text;
    const top = from === undefined ? posix.dirname(path) : topFor(path, from, tops, folders);
    const place = posix.relative(top, path);
    // Some disks do not distinguish upper and lower case.
    const other = taken.get(place.toLowerCase());
    if (other !== undefined) return { ok: false, name: place, files: [other.file, text.file] };
    taken.set(place.toLowerCase(), text);
    tops.set(path, top);
    places.set(path, place);
  }
  return { ok: true, places };
}

function topFor(
  path: string,
  from: string,
  tops: ReadonlyMap<string, string>,
  folders: readonly string[],
): string {
  if (isBelow(path, posix.dirname(from))) return tops.get(from) ?? posix.dirname(from);
  return folders.find((f) => isBelow(path, f)) ?? posix.dirname(path);
}

function isBelow(path: string, folder: string): boolean {
  const way = posix.relative(folder, path);
  return way !== '..' && !way.startsWith('../');
}
