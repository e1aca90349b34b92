import { createHash } from 'node:crypto';
import type { Chain } from '../key/chain.js';
import { filled } from '../text/optional.js';
import { listed } from '../text/words.js';

/** Which key a determination was made with, and exactly which text of it. */
export interface KeyMark {
  /** Of the main key. */
  readonly id: string;
  /** Of the main key. */
  readonly version: string;
  /** Of the main key. */
  readonly title: string;
  /** The keys that it continues in, with their versions. */
  readonly through?: readonly string[];
  /** By the id of each of these keys, a hash of its own text; earlier records do not have them. */
  readonly contents?: Readonly<Record<string, string>>;
  /** Changes with any change to the key, the keys it continues in, or the shared terms they use. */
  readonly hash: string;
}

const KNOWN = new WeakMap<Chain, KeyMark>();

/** Says what the mark of a chain is, where its keys came without their texts. */
export function setKeyMark(chain: Chain, mark: KeyMark): void {
  KNOWN.set(chain, mark);
}

/** The mark of a key with all keys that it continues in; worked out once for a chain. */
export function keyMark(chain: Chain): KeyMark {
  const known = KNOWN.get(chain) ?? markOf(chain);
  KNOWN.set(chain, known);
  return known;
}

function markOf(chain: Chain): KeyMark {
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
    ...filled({ through }),
    contents: Object.fromEntries(chain.keys.map((k) => [k.id, contentHash(k.yaml.lines.text)])),
    hash: `sha256:${hash.digest('hex')}`,
  };
}

function contentHash(text: string): string {
  return `sha256:${createHash('sha256').update(text).digest('hex')}`;
}

/** What has changed in a key, the keys that it continues in and the terms that they share, one sentence each; none when all
 * is the same. Two marks of one main key.
 */
export function keyChanges(before: KeyMark, now: KeyMark): string[] {
  if (before.hash === now.hash) return [];
  const [was, is] = [keyVersions(before), keyVersions(now)];
  const changes = [...new Set([...was.keys(), ...is.keys()])].flatMap((id): string[] => {
    const [old, version] = [was.get(id), is.get(id)];
    if (old === undefined) return [`the key now continues in ${id} ${version}`];
    if (version === undefined) return [`the key no longer continues in ${id} ${old}`];
    if (old !== version) return [`${id} ${old} is now ${version}`];
    const [text, other] = [before.contents?.[id], now.contents?.[id]];
    return text === undefined || other === undefined || text === other
      ? []
      : [`${id} has changed, though its version is still ${version}`];
  });
  if (changes.length > 0) return changes;
  return before.contents === undefined || now.contents === undefined
    ? [`${listed([...is.keys(), 'the terms in use'], 'or')} have changed, though the versions are the same`]
    : ['the shared terms have changed, the keys have not'];
}

/** Whether the text of the main key itself is the same; undefined where a mark does not tell. */
export function sameMainKey(before: KeyMark, now: KeyMark): boolean | undefined {
  const [text, other] = [before.contents?.[before.id], now.contents?.[now.id]];
  return text === undefined || other === undefined ? undefined : before.id === now.id && text === other;
}

/** The versions of a key and of those that it continues in, by their ids. */
export function keyVersions({ id, version, through = [] }: KeyMark): ReadonlyMap<string, string> {
  const others = through.map((text): [string, string] => {
    const [other = '', ...words] = text.split(' ');
    return [other, words.join(' ')];
  });
  return new Map([[id, version], ...others]);
}

/** What JSON cannot write, as text. */
function plain(_: string, value: unknown): unknown {
  if (typeof value === 'bigint' || value === Infinity || value === -Infinity) return String(value);
  return value instanceof Map ? [...value] : value;
}
