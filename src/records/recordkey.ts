import { createHash } from 'node:crypto';
import type { Chain } from '../key/chain.js';

/** Which key a determination was made with, and exactly which text of it. */
export interface KeyMark {
  readonly id: string;
  readonly version: string;
  readonly title: string;
  /** The keys that it goes on in, with their versions. */
  readonly through?: readonly string[];
  /** Changes with any change to the key, the keys it goes on in, or the shared terms they use. */
  readonly hash: string;
}

/** The mark of a key with all keys that it goes on in. */
export function keyMark(chain: Chain): KeyMark {
  const hash = createHash('sha256');
  for (const key of chain.keys) hash.update(`${key.id}\0${key.yaml.lines.text}\0`);
  // Characters may stand in shared terms, whose text the keys do not carry.
  for (const c of chain.characters.values()) hash.update(`${JSON.stringify(c, plain)}\0`);
  const through = chain.keys.filter((k) => k !== chain.main).map((k) => `${k.id} ${k.version}`);
  const { id, version, title } = chain.main;
  return {
    id,
    version,
    title,
    ...(through.length === 0 ? {} : { through }),
    hash: `sha256:${hash.digest('hex')}`,
  };
}

/** What JSON cannot write, as text. */
function plain(_: string, value: unknown): unknown {
  if (typeof value === 'bigint' || value === Infinity || value === -Infinity) return String(value);
  return value instanceof Map ? [...value] : value;
}
