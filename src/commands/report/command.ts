import { dirname, join, relative, resolve, sep } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { type RecordText, recordText as recordTextOf, recordTexts } from '../../files/record-files.js';
import { whyNotReferenced } from '../../files/referenced-file.js';
import { readRecord } from '../../record/read.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { PLAIN } from '../../text/paint.js';
import { textWidth } from '../../text/wrap.js';
import { checkOut, writeOut } from '../output.js';
import { recordMarkdown, recordText } from './markdown.js';
import { type RecordReport, recordReport } from './sections.js';

/** The options of `report`. */
interface ReportOptions {
  readonly format: 'text' | 'markdown';
  /** Whether everything of the record is reported, or one screen. */
  readonly full?: boolean;
  /** The find of an archive that is reported; without it all of them. */
  readonly find?: string;
  readonly out?: string;
  readonly overwrite?: boolean;
}

/** Reports records for people. 0 = reported, 2 = one of them could not be read; the others are reported all the same. */
export async function action(
  [file = '']: readonly string[],
  options: ReportOptions,
  world: World,
): Promise<number> {
  checkOut(options, 'report');
  const path = resolve(world.cwd, file);
  const records =
    options.find === undefined ? recordTexts(path, file) : [recordTextOf(path, file, options.find, '--find')];
  const around = {
    full: options.full === true,
    centre: world.env.KEYWRIGHT_POISON_CENTRE,
    signature: `Reported by keywright ${world.version}.`,
  };
  const toFile = options.out !== undefined;
  const setting = {
    width: textWidth(toFile ? undefined : world.columns('stdout')),
    paint: toFile ? PLAIN : await paintFor(world.colour.stdout),
  };
  const texts: string[] = [];
  for (const one of records) {
    const report = 'text' in one ? reportOf(one, world) : refuse(one.file, [one.problem.message], world);
    if (report === undefined) continue;
    const whole = {
      ...around,
      // A photograph in an archive has no address.
      address: (name: string) =>
        'text' in one && !one.archived ? addressOf(name, dirname(path), options, world) : undefined,
    };
    texts.push(
      options.format === 'markdown' ? recordMarkdown(report, whole) : recordText(report, setting, whole),
    );
  }
  if (texts.length > 0) writeOut(texts.join(BETWEEN[options.format]), options, world);
  return texts.length === records.length ? 0 : 2;
}

/** What stands between the reports of several finds. */
const BETWEEN = { text: `\n${'-'.repeat(8)}\n\n`, markdown: '\n---\n\n' };

/** The report of a record; undefined, with all that is wrong said, where it is not whole. */
function reportOf({ file, text, archived }: RecordText, world: World): RecordReport | undefined {
  const read = readRecord(text, file);
  if (read.ok) return recordReport(read.record);
  const [first = '', ...more] = read.problems;
  if (more.length === 0 && !archived) throw new Failure(`${first}; there is nothing to report`);
  return refuse(file, read.problems, world);
}

function refuse(file: string, problems: readonly string[], world: World): undefined {
  for (const problem of problems) world.stderr.write(`${harmless(problem)}\n`);
  world.stderr.write(`keywright: ${harmless(file)} cannot be reported: it is not as it was written\n`);
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
