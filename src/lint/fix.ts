import type { Finding } from '../diagnostic/finding.js';
import { edited, overlap } from '../key/edits.js';
import { emptyShelf, type Shelf } from '../key/load.js';
import { type LintInput, type LintOptions, type LintReport, lintAll } from './lint.js';

/** A file before and after its fixes. */
interface FixedFile {
  readonly file: string;
  readonly before: string;
  readonly after: string;
  /** What was done, in the order in which it was done. */
  readonly titles: readonly string[];
}

/** Files after their fixes, and what is still found in them. */
export interface Fixed {
  /** Only those that changed. */
  readonly files: readonly FixedFile[];
  readonly report: LintReport;
}

// Each round can lay bare further fixes; a key is sound after two or three.
const MOST_ROUNDS = 10;

/**
 * Makes the fixes that findings offer in the files that were asked for. Fixes that touch the same stretch are made one
 * after the other, with the files checked again in between. A fix after which a file cannot be read as well as before
 * is taken back.
 */
export function fixAll(
  inputs: readonly LintInput[],
  options: LintOptions = {},
  chosen: (report: LintReport) => readonly Finding[] = (report) => report.findings,
): Fixed {
  const texts = new Map(inputs.map((i) => [i.file, i.text]));
  const titles = new Map<string, string[]>();
  const spoilt = new Set<string>();
  const shelf = withTexts(options.shelf ?? emptyShelf, texts);
  const check = () =>
    lintAll(
      [...texts].map(([file, text]) => ({ file, text })),
      { ...options, shelf },
    );
  let report = check();
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const before = new Map(texts);
    const latest = new Map<string, string[]>();
    const changed = [...texts.keys()].filter((file) => {
      if (spoilt.has(file)) return false;
      const own = chosen(report).filter((f) => f.place.file === file && f.fix !== undefined);
      const [after, made] = fixOnce(texts.get(file) as string, own);
      if (after === texts.get(file)) return false;
      texts.set(file, after);
      latest.set(file, made);
      return true;
    });
    if (changed.length === 0) break;
    const now = check();
    const worse = changed.filter((file) => hindering(now, file) > hindering(report, file));
    for (const file of changed) {
      if (worse.includes(file)) {
        texts.set(file, before.get(file) as string);
        spoilt.add(file);
      } else titles.set(file, [...(titles.get(file) ?? []), ...(latest.get(file) ?? [])]);
    }
    report = worse.length === 0 ? now : check();
  }
  const files = inputs.flatMap(({ file, text }): FixedFile[] => {
    const after = texts.get(file) as string;
    return after === text ? [] : [{ file, before: text, after, titles: titles.get(file) ?? [] }];
  });
  return { files, report };
}

/** A text after those fixes that do not touch the same stretch, the first of the file first, and what was done. */
function fixOnce(text: string, findings: readonly Finding[]): [string, string[]] {
  const made: NonNullable<Finding['fix']>[] = [];
  for (const { fix } of findings) {
    if (fix === undefined) continue;
    const taken = made.some((m) => m.edits.some((a) => fix.edits.some((b) => overlap(a, b))));
    if (!taken) made.push(fix);
  }
  // Offsets count from after the mark that some editors put at the beginning of a file.
  const mark = text.startsWith('\ufeff') ? 1 : 0;
  const after =
    text.slice(0, mark) +
    edited(
      text.slice(mark),
      made.flatMap((m) => m.edits),
    );
  return [after, made.map((m) => m.title)];
}

function hindering(report: LintReport, file: string): number {
  return [...report.binding].filter((f) => f.place.file === file).length;
}

/** A shelf on which some files have another text. */
function withTexts(shelf: Shelf, texts: ReadonlyMap<string, string>): Shelf {
  return {
    key: (reference, fromFile) => {
      const found = shelf.key(reference, fromFile);
      const text = found.ok ? texts.get(found.file) : undefined;
      return found.ok && text !== undefined ? { ...found, text } : found;
    },
    terms: (reference, fromFile) => shelf.terms(reference, fromFile),
  };
}
