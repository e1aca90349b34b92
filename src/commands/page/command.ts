import { UsageError } from '../../diagnostic/usage-error.js';
import { OutFile } from '../../files/out.js';
import { tellNamesakes } from '../../inputs/key-shelf.js';
import { lintedKey } from '../../inputs/linted-key.js';
import type { Key } from '../../key/key.js';
import type { PageData } from '../../page/data.js';
import { keyMark } from '../../record/key-mark.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { count } from '../../text/words.js';
import { findingCount, findingLines } from '../../words/findings.js';
import { contentsOf } from './contents.js';
import { pageFigures } from './figures.js';
import { pageHtml } from './html.js';

/** The options of `page`. */
interface PageFlags {
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly poisonCentre?: string;
  /** The kilobytes that all pictures together may have. */
  readonly pictures: string;
  readonly keys?: readonly string[];
}

/** Makes the page of a key. 0 = made, 1 = refused for what is wrong with the key, 2 = the work could not be done. */
export async function action(
  [reference = '']: readonly string[],
  flags: PageFlags,
  world: World,
): Promise<number> {
  const say = (text: string) => world.stderr.write(`keywright: ${harmless(text)}\n`);
  if (!/^\d{1,6}$/.test(flags.pictures))
    throw new UsageError(
      `--pictures ${quoted(flags.pictures)}: expected how many kilobytes all pictures together may have, such as 2000`,
      'page',
    );
  const opened = await lintedKey(reference, flags.keys, world);
  if (opened === undefined) return 2;
  const { file, text, shelf, report } = opened;
  const contents = contentsOf(text, file, shelf);
  tellNamesakes(shelf, world);
  const errors = report.findings.filter((f) => f.level === 'error');
  if (contents === undefined || errors.length > 0) {
    for (const line of findingLines(errors)) world.stderr.write(`${line}\n`);
    say(
      `no page is made of ${file}: ${findingCount(errors)} must be fixed first; keywright lint shows each with an example`,
    );
    return 1;
  }
  const { main } = contents.chain;
  const pictures = await pageFigures(contents.sources, Number(flags.pictures) * 1024, (from, figure) =>
    shelf.figure(from, figure),
  );
  for (const left of pictures.leftOut) say(left);
  const centre = (flags.poisonCentre ?? world.env.KEYWRIGHT_POISON_CENTRE)?.trim();
  const data: PageData = {
    program: `keywright ${world.version}`,
    made: world.now().toISOString().slice(0, 10),
    ...defined({ centre: centre === '' ? undefined : centre }),
    mark: keyMark(contents.chain),
    main: file,
    files: contents.files.map((own) => ({ ...own, data: pictures.renamed(own.name, own.data) })),
    figures: pictures.figures,
  };
  const html = pageHtml(data, main);
  const out = flags.out ?? `${nameFor(main)}.html`;
  new OutFile(world.cwd, out, flags.overwrite).write(html);
  say(`${out} written: ${count(Math.ceil(Buffer.byteLength(html) / 1024), 'kilobyte')}`);
  return 0;
}

/** `tarn-wood-tufts-0.4.0`: a version may hold what no file name should. */
function nameFor({ id, version }: Key): string {
  return `${id}-${version.replace(/[^\w.+-]+/g, '-')}`;
}
