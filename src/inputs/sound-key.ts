import { type CompiledKey, compile } from '../engine/compile.js';
import { loadChain } from '../key/chain.js';
import type { World } from '../terminal/world.js';
import { findingCount, findingLines } from '../words/findings.js';
import { keyShelf, tellNamesakes } from './key-shelf.js';

/**
 * Opens the key that a person named, with every key it continues in, ready to be followed. When any of them is not sound
 * enough to run, says what is wrong on stderr and gives undefined: the command then ends with exit code 2.
 */
export async function openSoundKey(
  reference: string,
  folders: readonly string[] | undefined,
  world: World,
): Promise<CompiledKey | undefined> {
  const shelf = keyShelf(world, folders);
  const file = await shelf.opened(reference);
  const { chain, findings } = loadChain(shelf.text(file), file, shelf);
  tellNamesakes(shelf, world);
  const errors = findings.filter((f) => f.level === 'error');
  if (chain !== undefined && errors.length === 0) return compile(chain);
  for (const line of findingLines(errors)) world.stderr.write(`${line}\n`);
  world.stderr.write(`keywright: ${file} cannot be run: ${findingCount(errors)} must be fixed first\n`);
  return undefined;
}
