import type { Finding } from '../diagnostic/finding.js';
import type { FolderShelf } from '../files/shelf.js';
import { type Chain, loadChain } from '../key/chain.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';
import { findingCount, findingLines } from '../words/findings.js';
import { keyShelf, tellNamesakes } from './key-shelf.js';

/** A key to be shown, not run. */
export interface ReadableKey {
  readonly chain: Chain;
  /** Its name in messages, relative to the current folder. */
  readonly file: string;
  readonly text: string;
  readonly shelf: FolderShelf;
  /** Leads that lead to nothing, and the like: the key can be shown but not run. */
  readonly errors: readonly Finding[];
}

/** Errors that leave every couplet, lead and end of a key in place. */
const HARMLESS_HERE: ReadonlySet<string> = new Set([
  'target-exists',
  'taxon-known',
  'character-known',
  'state-known',
  'number-form',
  'unit-known',
  'unit-fits',
]);

/**
 * Opens a key that a person named, with the keys it continues in, to show it. What is wrong with it is written to
 * stderr; for a key of which too little can be read the result is undefined, and the
 * command ends with exit code 2.
 */
export async function openReadableKey(
  reference: string,
  folders: readonly string[] | undefined,
  world: World,
): Promise<ReadableKey | undefined> {
  const shelf = keyShelf(world, folders);
  const file = await shelf.opened(reference);
  const text = shelf.text(file);
  const { chain, findings } = loadChain(text, file, shelf, {
    tolerate: ({ rule }) => HARMLESS_HERE.has(rule),
  });
  tellNamesakes(shelf, world);
  const errors = findings.filter((f) => f.level === 'error');
  for (const line of findingLines(errors)) world.stderr.write(`${line}\n`);
  if (chain !== undefined) return { chain, file, text, shelf, errors };
  world.stderr.write(
    `keywright: ${harmless(file)} cannot be shown: ${findingCount(errors)} must be fixed first\n`,
  );
  return undefined;
}
