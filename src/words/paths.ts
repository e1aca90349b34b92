import type { CompiledKey } from '../engine/compile.js';
import type { Chain } from '../key/chain.js';
import { harmless } from '../text/harmless.js';

/** A label that may carry the id of its key: `7b`, or `key-id/7b` -> [key-id, 7b]. */
export function splitLabel(label: string): [key: string | undefined, own: string] {
  const slash = label.lastIndexOf('/');
  return slash < 0 ? [undefined, label] : [label.slice(0, slash), label.slice(slash + 1)];
}

/**
 * How a key of a chain is called in passing: its id without the words that the ids of all keys of the chain begin with,
 * `rust-spored` for tarn-rust-spored beside tarn-wood-tufts.
 */
export function shortKeyId(id: string, { keys }: Pick<Chain, 'keys'>): string {
  const words = keys.map((k) => k.id.split('-'));
  const [first = []] = words;
  const parting = first.findIndex((word, i) => words.some((w) => w[i] !== word));
  const short = id
    .split('-')
    .slice(parting < 0 ? first.length : parting)
    .join('-');
  // The rest of one id may be the whole id of another key.
  return short === '' || keys.some((k) => k.id === short) ? id : short;
}

/** A path as keys usually write it: `1a 2b 7a`; where it continues in another key, `1a 2b, then key-id 1a 3b`. */
export function shortPath(path: readonly string[], key: CompiledKey): string {
  return pathFrom(path, key.chain.main.id);
}

/** The same of a path that begins in the key of that id. */
export function pathFrom(path: readonly string[], main: string): string {
  let at: string | undefined = main;
  let text = '';
  for (const label of path) {
    const [owner = main, own] = splitLabel(label);
    if (owner !== at) text += `${text === '' ? '' : ', then '}${owner}`;
    at = owner;
    text += `${text === '' ? '' : ' '}${own}`;
  }
  return harmless(text);
}
