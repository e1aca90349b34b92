import { UsageError } from '../../diagnostic/usage-error.js';
import { openReadableKey } from '../../inputs/readable-key.js';
import { DEEPEST } from '../../printed/indented-blocks.js';
import { toPrinted } from '../../printed/key.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { PLAIN } from '../../text/paint.js';
import { textWidth } from '../../text/wrap.js';
import { cautions } from '../../words/cautions.js';
import { checkOut, codeDespite, writeOut } from '../output.js';
import { type PaperSize, printHtml } from './html.js';
import { printMarkdown } from './markdown.js';
import { putInOrder } from './put-in-order.js';
import { type KeyLayout, printText } from './text.js';

/** The options of `print`. */
interface PrintFlags {
  readonly layout: KeyLayout;
  readonly format: 'text' | 'markdown' | 'html';
  readonly width?: number;
  readonly paper?: PaperSize;
  readonly levels?: number;
  readonly renumber?: boolean;
  readonly write?: boolean;
  readonly chain?: boolean;
  readonly brief?: boolean;
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly keys?: readonly string[];
}

/** Prints a key. 0 = printed, 1 = printed though the key has errors, 2 = not printed. */
export async function action(
  [reference = '']: readonly string[],
  flags: PrintFlags,
  world: World,
): Promise<number> {
  const conflict = conflictOf(flags);
  if (conflict !== undefined) throw new UsageError(conflict, 'print');
  checkOut(flags, 'print');
  let opened = await openReadableKey(reference, flags.keys, world);
  if (opened === undefined) return 2;
  if (flags.write === true) {
    putInOrder(opened, flags.keys ?? [], world);
    opened = (await openReadableKey(reference, flags.keys, world)) ?? opened;
  }
  const { chain, file, errors } = opened;
  const key = toPrinted(chain, { renumber: flags.renumber === true, chain: flags.chain === true });
  const setting = {
    layout: flags.layout,
    levels: flags.levels ?? DEEPEST,
    cautions: cautions(world.env.KEYWRIGHT_POISON_CENTRE),
    brief: flags.brief === true,
    signature: `Printed by keywright ${world.version} from ${chain.main.id} ${chain.main.version}.`,
  };
  const toFile = flags.out !== undefined;
  const text = await {
    text: async () =>
      printText(key, {
        ...setting,
        width: flags.width ?? textWidth(toFile ? undefined : world.columns('stdout')),
        paint: toFile || world.colour.stdout === 0 ? PLAIN : await paintFor(world.colour.stdout),
      }),
    markdown: async () => printMarkdown(key, setting),
    html: async () => printHtml(key, { ...setting, paper: flags.paper }),
  }[flags.format]();
  writeOut(text, flags, world);
  return codeDespite(errors, file, 'was printed', world);
}

function conflictOf({ format, width, paper, write, renumber }: PrintFlags): string | undefined {
  if (width !== undefined && format !== 'text') return '--width is for --format text';
  if (paper !== undefined && format !== 'html') return '--paper is for --format html';
  if (write === true && renumber === true)
    return '--write numbers the couplets already; leave --renumber out';
  return undefined;
}
