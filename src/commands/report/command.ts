import { dirname, join, relative, resolve, sep } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { whyNotReferenced } from '../../files/referenced-file.js';
import { readText } from '../../files/texts.js';
import { readRecord } from '../../record/read.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { PLAIN } from '../../text/paint.js';
import { textWidth } from '../../text/wrap.js';
import { checkOut, writeOut } from '../output.js';
import { recordMarkdown, recordText } from './markdown.js';
import { recordReport } from './sections.js';

/** The options of `report`. */
interface ReportOptions {
  readonly format: 'text' | 'markdown';
  /** Whether everything of the record is reported, or one screen. */
  readonly full?: boolean;
  readonly out?: string;
  readonly overwrite?: boolean;
}

/** Reports a record for people. 0 = reported, 2 = the record could not be read. */
export async function action(
  [file = '']: readonly string[],
  options: ReportOptions,
  world: World,
): Promise<number> {
  checkOut(options, 'report');
  const path = resolve(world.cwd, file);
  const read = readRecord(readText(path, file), file);
  if (!read.ok) {
    const [first = '', ...more] = read.problems;
    if (more.length === 0) throw new Failure(`${first}; there is nothing to report`);
    for (const problem of read.problems) world.stderr.write(`${harmless(problem)}\n`);
    world.stderr.write(`keywright: ${harmless(file)} cannot be reported: it is not as it was written\n`);
    return 2;
  }
  const report = recordReport(read.record);
  const around = {
    full: options.full === true,
    centre: world.env.KEYWRIGHT_POISON_CENTRE,
    address: (name: string) => addressOf(name, dirname(path), options, world),
    signature: `Reported by keywright ${world.version}.`,
  };
  const toFile = options.out !== undefined;
  const setting = {
    width: textWidth(toFile ? undefined : world.columns('stdout')),
    paint: toFile ? PLAIN : await paintFor(world.colour.stdout),
  };
  const text =
    options.format === 'markdown' ? recordMarkdown(report, around) : recordText(report, setting, around);
  writeOut(text, options, world);
  return 0;
}

/**
 * The address of a photograph from the report, which stands where `--out` puts it or else beside the record. Only what is a
 * file in the folder of the record or below it has one.
 */
function addressOf(name: string, folder: string, { out }: ReportOptions, world: World): string | undefined {
  if (whyNotReferenced(folder, name, Number.POSITIVE_INFINITY) !== undefined) return undefined;
  const from = out === undefined ? folder : dirname(resolve(world.cwd, out));
  return relative(from, join(folder, name))
    .split(sep)
    .map((part) => encodeURIComponent(part).replace(/[()!*']/g, (c) => `%${c.charCodeAt(0).toString(16)}`))
    .join('/');
}
