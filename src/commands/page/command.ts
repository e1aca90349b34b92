import { join } from 'node:path';
import { UsageError } from '../../diagnostic/usage-error.js';
import { OutFile } from '../../files/out.js';
import type { FolderShelf } from '../../files/shelf.js';
import { keyShelf, tellNamesakes } from '../../inputs/key-shelf.js';
import { readInputs } from '../../inputs/lint-inputs.js';
import { hindrances, lintedText, tellHindrances } from '../../inputs/linted-key.js';
import type { Key } from '../../key/key.js';
import type { LintInput } from '../../lint/lint.js';
import type { PageData } from '../../page/data.js';
import { keyMark } from '../../record/key-mark.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { count } from '../../text/words.js';
import { contentsOf } from './contents.js';
import { pageFigures } from './figures.js';
import { pageHtml } from './html.js';
import { indexPage, type MadePage } from './index-page.js';

/** The options of `page`. */
interface PageFlags {
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly poisonCentre?: string;
  /** The kilobytes that all pictures together may have. */
  readonly pictures: string;
  readonly keys?: readonly string[];
}

/**
 * Makes the pages of keys: one file for one key, else a folder with a page for each and one that names them.
 * 0 = made, 1 = a key was refused for what is wrong with it, 2 = the work could not be done.
 */
export async function action(references: readonly string[], flags: PageFlags, world: World): Promise<number> {
  if (!/^\d{1,6}$/.test(flags.pictures))
    throw new UsageError(
      `--pictures ${quoted(flags.pictures)}: expected how many kilobytes all pictures together may have, such as 2000`,
      'page',
    );
  const shelf = keyShelf(world, flags.keys);
  const { inputs, unreadable, folders } = await readInputs(references, shelf, world, undefined);
  for (const { problem } of unreadable) sayTo(world, problem);
  const several = inputs.length > 1 || folders.length > 0;
  if (several && flags.out === undefined)
    throw new UsageError('pages of several keys need a folder: --out FOLDER', 'page');
  const pages = new Map<string, MadePage & { readonly html: string }>();
  let code = unreadable.length > 0 ? 2 : 0;
  for (const input of inputs) {
    const made = await pageOf(input, shelf, flags, world);
    if (typeof made === 'number') {
      code = Math.max(code, made);
      continue;
    }
    const file = `${nameFor(made.key)}.html`;
    const before = pages.get(file);
    if (before === undefined) pages.set(file, { ...made, file });
    else if (before.html !== made.html) {
      sayTo(
        world,
        `${input.file} has the id and version of another key, so that both pages would be ${file}`,
      );
      code = Math.max(code, 1);
    }
  }
  tellNamesakes(shelf, world);
  const write = (out: string, html: string) => {
    new OutFile(world.cwd, out, flags.overwrite).write(html);
    sayTo(world, `${out} written: ${count(Math.ceil(Buffer.byteLength(html) / 1024), 'kilobyte')}`);
  };
  for (const { file, html } of pages.values())
    write(several ? join(flags.out ?? '', file) : (flags.out ?? file), html);
  if (several && pages.size > 0)
    write(join(flags.out ?? '', 'index.html'), indexPage([...pages.values()], today(world)));
  return code;
}

/** The page of one key, or the exit code with which it was refused. */
async function pageOf(
  { file, text }: LintInput,
  shelf: FolderShelf,
  flags: PageFlags,
  world: World,
): Promise<{ readonly key: Key; readonly html: string } | number> {
  const report = lintedText({ file, text }, shelf, world);
  if (report === undefined) return 2;
  const contents = contentsOf(text, file, shelf);
  const errors = hindrances(report);
  if (contents === undefined || errors.length > 0) {
    tellHindrances(errors, `no page is made of ${file}`, world);
    return 1;
  }
  const { main } = contents.chain;
  const pictures = await pageFigures(contents.sources, Number(flags.pictures) * 1024, (from, figure) =>
    shelf.figure(from, figure),
  );
  for (const left of pictures.leftOut) sayTo(world, left);
  const centre = (flags.poisonCentre ?? world.env.KEYWRIGHT_POISON_CENTRE)?.trim();
  const data: PageData = {
    program: `keywright ${world.version}`,
    made: today(world),
    ...defined({ centre: centre === '' ? undefined : centre }),
    mark: keyMark(contents.chain),
    main: file,
    files: contents.files.map((own) => ({ ...own, data: pictures.renamed(own.name, own.data) })),
    figures: pictures.figures,
  };
  return { key: main, html: pageHtml(data, main) };
}

function sayTo(world: World, text: string): void {
  world.stderr.write(`keywright: ${harmless(text)}\n`);
}

function today(world: World): string {
  return world.now().toISOString().slice(0, 10);
}

/** `tarn-wood-tufts-0.4.0`: a version may hold what no file name should. */
function nameFor({ id, version }: Key): string {
  return `${id}-${version.replace(/[^\w.+-]+/g, '-')}`;
}
