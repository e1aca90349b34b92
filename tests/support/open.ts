import { type CompiledKey, compile } from '../../src/engine/compile.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf, type Shelf } from '../../src/key/load.js';
import type { Character } from '../../src/traits/character.js';
import type { Collection, Observation } from '../../src/traits/collection.js';
import { readValue } from '../../src/traits/value.js';
import { findingLines } from '../../src/words/findings.js';

/** Compiles a key given as data (JSON is YAML) or as YAML text; throws with the findings when it is not sound. */
export function open(key: object | string, shelf: Shelf = emptyShelf): CompiledKey {
  const text = typeof key === 'string' ? key : JSON.stringify(key);
  const { chain, findings } = loadChain(text, 'test.key.yaml', shelf);
  if (chain === undefined) throw new Error(findingLines(findings).join('\n'));
  return compile(chain);
}

/** What was written of each character, as observations on one specimen. */
export function observed(
  key: CompiledKey,
  written: Record<string, string>,
  on: { specimen?: string; stage?: string } = {},
): Observation[] {
  return Object.entries(written).flatMap(([id, text]) => {
    if (text === '') return [];
    const read = readValue(key.chain.characters.get(id) as Character, text);
    if (!read.ok) throw new Error(read.problem);
    return [{ character: id, value: read.value, ...on }];
  });
}

/** A collection with nothing but observations. */
export function find(observations: readonly Observation[], more: Partial<Collection> = {}): Collection {
  return { id: 'f', observations, choices: [], stages: [], expect: [], ...more };
}
