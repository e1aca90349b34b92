import { measure } from '../../analysis/key-measures.js';
import { openReadableKey, type ReadableKey } from '../../inputs/readable-key.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { textWidth, wrapLines } from '../../text/wrap.js';
import { codeDespite } from '../output.js';
import { showJson } from './json.js';
import { showText } from './text.js';

/** The options of `show`. */
interface ShowFlags {
  readonly format: 'text' | 'json';
  readonly keys?: readonly string[];
}

/** Shows what a key is like. 0 = shown, 1 = shown though the key has errors, 2 = not shown. */
export async function action(
  [reference = '']: readonly string[],
  flags: ShowFlags,
  world: World,
): Promise<number> {
  const opened = await openReadableKey(reference, flags.keys, world);
  if (opened === undefined) return 2;
  const { chain, errors, file } = opened;
  const shown = {
    chain,
    own: measure(chain, false),
    whole: chain.keys.length > 1 ? measure(chain, true) : undefined,
  };
  const setting = { width: textWidth(world.columns('stdout')), paint: await paintFor(world.colour.stdout) };
  world.stdout.write(flags.format === 'json' ? showJson(shown, world.version) : showText(shown, setting));
  if (flags.format === 'text') world.stdout.write(`${whereKeysAre(opened, setting.width).join('\n')}\n`);
  return codeDespite(errors, file, 'is shown', world);
}

/** Where keys are looked for. */
function whereKeysAre({ shelf }: ReadableKey, width: number): string[] {
  const text = `Keys are looked for by id in ${shelf.places.join(', ')}.`;
  return ['', ...wrapLines(harmless(text), width)];
}
