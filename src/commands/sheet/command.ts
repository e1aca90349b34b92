import { sheetColumns, sheetFor } from '../../analysis/field-sheet.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import { openReadableKey } from '../../inputs/readable-key.js';
import type { Chain } from '../../key/chain.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { PLAIN } from '../../text/paint.js';
import { listed } from '../../text/words.js';
import { textWidth } from '../../text/wrap.js';
import { findingCount } from '../../words/findings.js';
import { checkOut, writeOut } from '../output.js';
import { sheetHtml, sheetMarkdown } from './markup.js';
import { sheetText } from './text.js';

/** The options of `sheet`. */
export interface SheetFlags {
  readonly format?: 'text' | 'markdown' | 'html';
  readonly csv?: boolean;
  readonly specimens: number;
  readonly look?: boolean;
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly keys?: readonly string[];
}

/** More columns than this leave no room for what is looked at. */
const MOST_SPECIMENS = 6;

/** Makes a field sheet, or the empty table that goes with it. 0 = made, 1 = made though a key has errors, 2 = not made. */
export async function action(
  references: readonly string[],
  flags: SheetFlags,
  world: World,
): Promise<number> {
  const { csv, format, out, specimens } = flags;
  if (csv === true && format !== undefined)
    throw new UsageError('--csv is a table; leave --format out', 'sheet');
  checkOut(flags, 'sheet');
  if (specimens > MOST_SPECIMENS)
    throw new UsageError(`--specimens takes ${MOST_SPECIMENS} at most: more do not fit on a sheet`, 'sheet');
  const chains: Chain[] = [];
  const wrong: string[] = [];
  for (const reference of references) {
    const opened = await openReadableKey(reference, flags.keys, world);
    if (opened === undefined) return 2;
    chains.push(opened.chain);
    if (opened.errors.length > 0) wrong.push(`${opened.file} has ${findingCount(opened.errors)}`);
  }
  const sheet = sheetFor(chains);
  const setting = {
    specimens,
    look: flags.look === true,
    signature: `Made by keywright ${world.version} from ${listed(sheet.keys.map((k) => `${k.id} ${k.version}`))}.`,
  };
  const toFile = out !== undefined;
  const text =
    csv === true
      ? `${sheetColumns(sheet).join(',')}\n`
      : format === 'markdown'
        ? sheetMarkdown(sheet, setting)
        : format === 'html'
          ? sheetHtml(sheet, setting)
          : sheetText(sheet, {
              ...setting,
              width: textWidth(toFile ? undefined : world.columns('stdout')),
              paint: toFile || world.colour.stdout === 0 ? PLAIN : await paintFor(world.colour.stdout),
            });
  writeOut(text, flags, world);
  for (const text of wrong) world.stderr.write(`keywright: the sheet was made, but ${harmless(text)}\n`);
  return wrong.length === 0 ? 0 : 1;
}
