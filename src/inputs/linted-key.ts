import { compareFindings, type Finding, type Related } from '../diagnostic/finding.js';
import type { FolderShelf } from '../files/shelf.js';
import { loadChain } from '../key/chain.js';
import type { Key } from '../key/key.js';
import { type LintInput, type LintReport, lintAll } from '../lint/lint.js';
import { reviewMarks, waiting } from '../lint/review-marks.js';
import { importReviewed } from '../lint/rules/import-reviewed.js';
import { rules } from '../lint/rules/index.js';
import { standInsReplaced } from '../lint/rules/stand-ins-replaced.js';
import { KnownRules } from '../lint/settings.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';
import { shellWord } from '../text/shell-word.js';
import { findingCount, findingLines } from '../words/findings.js';
import { keyShelf } from './key-shelf.js';
import { SettingsOfFiles } from './lint-inputs.js';

/** A key that is to be given to others, and what lint says of it. */
export interface LintedKey {
  /** Its name in messages, relative to the current folder. */
  readonly file: string;
  readonly text: string;
  readonly shelf: FolderShelf;
  readonly report: LintReport;
}

/**
 * Opens the key that a person named and lints it with every key it continues in. Where the settings of lint cannot be used, says so on stderr and gives
 * undefined: the command then ends with exit code 2.
 */
export async function lintedKey(
  reference: string,
  folders: readonly string[] | undefined,
  world: World,
): Promise<LintedKey | undefined> {
  const shelf = keyShelf(world, folders);
  const file = await shelf.opened(reference);
  const text = shelf.text(file);
  const report = lintedText({ file, text }, shelf, world);
  return report === undefined ? undefined : { file, text, shelf, report };
}

/** The same for a key that was read. */
export function lintedText(input: LintInput, shelf: FolderShelf, world: World): LintReport | undefined {
  const settings = new SettingsOfFiles([], new KnownRules(rules), world);
  // Whoever gets the key gets these as well.
  const others = loadChain(input.text, input.file, shelf)
    .loaded.slice(1)
    .map(({ yaml }) => ({ file: yaml.file, text: yaml.lines.text }));
  const report = lintAll([input, ...others], {
    shelf,
    settings: (f) => settings.of(f),
    rules,
    lacking: (from, figure) => shelf.lacking(from, figure),
  });
  for (const { problem } of settings.problems) world.stderr.write(`keywright: ${harmless(problem)}\n`);
  return settings.problems.length > 0 ? undefined : report;
}

/**
 * What must be put right before a key is given to others, all as errors: errors of lint, stand-ins that its author has not
 * replaced, and what was imported with doubt, or proposed, and nobody has looked at.
 */
export function hindrances({ findings, keys }: LintReport): Finding[] {
  return findings.flatMap((finding): Finding[] => {
    const { rule, level, place } = finding;
    if (rule === importReviewed.id && level !== 'note')
      return [{ ...finding, level: 'error', related: doubts(keys.get(place.file), finding) }];
    return level === 'error' || rule === standInsReplaced.id ? [{ ...finding, level: 'error' }] : [];
  });
}

/** Where the doubtful couplets of a key stand. */
function doubts(key: Key | undefined, { place, related = [] }: Finding): readonly Related[] {
  const marked = key === undefined ? [] : [...reviewMarks(key)];
  const doubtful = marked.flatMap(([id, marks]): Related[] => {
    if (marks.head === undefined || waiting(marks) !== 'doubtful') return [];
    const { start } = marks.head.comment;
    return [{ message: `couplet ${id} is doubtful`, place: { ...place, start, end: start } }];
  });
  return [...doubtful, ...related];
}

/** Says on stderr why a key is not given to others: `refused` is what was not done. */
export function tellHindrances(found: readonly Finding[], refused: string, { stderr }: World): void {
  const say = (text: string) => stderr.write(`keywright: ${harmless(text)}\n`);
  for (const line of findingLines([...found].sort(compareFindings))) stderr.write(`${line}\n`);
  say(`${refused}: ${findingCount(found)} must be fixed first; keywright lint shows each with an example`);
  const imported = found.filter((f) => f.rule === importReviewed.id).map((f) => f.place.file);
  for (const file of new Set(imported))
    say(`keywright import ${shellWord(file)} --review walks through what is to be reviewed`);
}
