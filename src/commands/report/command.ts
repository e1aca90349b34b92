import { resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import { OutFile } from '../../files/out.js';
import { readText } from '../../files/texts.js';
import { readRecord } from '../../record/read.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { PLAIN } from '../../text/paint.js';
import { textWidth } from '../../text/wrap.js';
import { cautions } from '../../words/cautions.js';
import { recordMarkdown, recordText } from './markdown.js';
import { recordReport } from './sections.js';

/** The options of `report`. */
export interface ReportOptions {
  readonly format: 'text' | 'markdown';
  readonly out?: string;
  readonly overwrite?: boolean;
}

/** Reports a record for people. 0 = reported, 2 = the record could not be read. */
export async function action(
  [file = '']: readonly string[],
  options: ReportOptions,
  world: World,
): Promise<number> {
  if (options.overwrite === true && options.out === undefined)
    throw new UsageError('--overwrite is for --out FILE', 'report');
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
    cautions: cautions(world.env.KEYWRIGHT_POISON_CENTRE),
    signature: `Reported by keywright ${world.version}.`,
  };
  const toFile = options.out !== undefined;
  const setting = {
    width: textWidth(toFile ? undefined : world.columns('stdout')),
    paint: toFile ? PLAIN : await paintFor(world.colour.stdout),
  };
  const text =
    options.format === 'markdown' ? recordMarkdown(report, around) : recordText(report, setting, around);
  if (options.out === undefined) world.stdout.write(text);
  else new OutFile(world.cwd, options.out, options.overwrite).write(text);
  return 0;
}
