import { keyPlaces } from '../files/key-places.js';
import { FolderShelf } from '../files/shelf.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';

/** The keys that a command can find: in the folders that a person gave, and wherever else keys are kept. */
export function keyShelf(world: World, folders: readonly string[] = []): FolderShelf {
  return new FolderShelf(world.cwd, folders, keyPlaces(world));
}

/** Says on stderr which of the keys that were read has a namesake farther off. */
export function tellNamesakes(shelf: FolderShelf, world: World): void {
  for (const { id, file, other } of shelf.namesakes)
    world.stderr.write(
      `keywright: ${harmless(`${id} is read from ${file}; another key of that id stands in ${other}`)}\n`,
    );
}
