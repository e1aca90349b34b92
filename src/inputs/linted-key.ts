import type { FolderShelf } from '../files/shelf.js';
import { type LintInput, lintAll } from '../lint/lint.js';
import { rules } from '../lint/rules/index.js';
import { KnownRules } from '../lint/settings.js';
import type { World } from '../terminal/world.js';
import { harmless } from '../text/harmless.js';
import { keyShelf } from './key-shelf.js';
import { SettingsOfFiles } from './lint-inputs.js';

/** A key that is to be given to others, and what lint says of it. */
export interface LintedKey {
  /** Its name in messages, relative to the current folder. */
  readonly file: string;
  readonly text: string;
  readonly shelf: FolderShelf;
  readonly report: ReturnType<typeof lintAll>;
}

/**
 * Opens the key that a person named and lints it. Where the settings of lint cannot be used, says so on stderr and gives
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
export function lintedText(
  input: LintInput,
  shelf: FolderShelf,
  world: World,
): ReturnType<typeof lintAll> | undefined {
  const settings = new SettingsOfFiles([], new KnownRules(rules), world);
  const report = lintAll([input], {
    shelf,
    settings: (f) => settings.of(f),
    rules,
    lacking: (from, figure) => shelf.lacking(from, figure),
  });
  for (const { problem } of settings.problems) world.stderr.write(`keywright: ${harmless(problem)}\n`);
  return settings.problems.length > 0 ? undefined : report;
}
