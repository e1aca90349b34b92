import type { Path } from '../diagnostic/finding.js';
import type { Data } from '../key/document.js';
import type { Key, Lead } from '../key/key.js';

/** What an author wrote at a path of a key's file; undefined when nothing stands there. */
export function writtenAt(key: Key, path: Path): Data | undefined {
  let data: unknown = key.yaml.data;
  for (const step of path) {
    if (typeof data !== 'object' || data === null) return undefined;
    data = (data as Record<string | number, unknown>)[step];
  }
  return data as Data | undefined;
}

/** The path of what a lead asks of a character: its own line where it stands directly under `when`. */
export function askedPath(key: Key, lead: Lead, character: string): Path {
  const when = [...lead.path, 'when'];
  const own = [...when, character];
  return writtenAt(key, own) === undefined ? when : own;
}
