import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type CompiledKey, compile } from '../../src/engine/compile.js';
import { FolderShelf, readKeyText } from '../../src/files/shelf.js';
import { loadChain } from '../../src/key/chain.js';
import { SeenIds } from '../../src/tables/ids.js';
import { openTable } from '../../src/tables/reader.js';
import { vocabularyOf } from '../../src/tables/vocabulary.js';
import type { Collection } from '../../src/traits/collection.js';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** The key to the tufts of Tarn Hollow, as it ships. */
export function tufts(): CompiledKey {
  const file = 'keys/tarn-wood-tufts.key.yaml';
  const { chain } = loadChain(readKeyText(join(root, file)), file, new FolderShelf(root, []));
  if (chain === undefined) throw new Error('the key that ships is not sound');
  return compile(chain);
}

/** The finds of the example season, by the last three digits of their numbers. */
export function season(key: CompiledKey): ReadonlyMap<string, Collection> {
  const text = readFileSync(join(root, 'examples/season-2026.yaml'), 'utf8');
  const options = { vocabulary: vocabularyOf(key.chain), file: 'season-2026.yaml', seen: new SeenIds() };
  const reader = openTable('yaml', text.slice(0, 100), options);
  return new Map(
    [...reader.read(text), ...reader.end()].map((e) => [e.collection.id.slice(-3), e.collection]),
  );
}
