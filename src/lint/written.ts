import type { Path } from '../diagnostic/finding.js';
import { valueAt } from '../key/data-path.js';
import type { Data } from '../key/document.js';
import type { Key, Lead } from '../key/key.js';

/** What an author wrote at a path of a key's file; undefined when nothing stands there. */
export function writtenAt(key: Key, path: Path): Data | undefined {
  return valueAt(key.yaml.data, path) as Data | undefined;
}

/** The path of what a lead asks of a character: its own line where it stands directly under `when`. */
export function askedPath(key: Key, lead: Lead, character: string): Path {
  const when = [...lead.path, 'when'];
  const own = [...when, character];
  return writtenAt(key, own) === undefined ? when : own;
}
