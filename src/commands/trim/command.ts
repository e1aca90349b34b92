import { basename, dirname, resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import type { Finding } from '../../diagnostic/finding.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import { compile } from '../../engine/compile.js';
import { OutFile } from '../../files/out.js';
import { wholeText } from '../../files/pieces.js';
import type { FolderShelf } from '../../files/shelf.js';
import { readText } from '../../files/texts.js';
import { keyShelf, tellNamesakes } from '../../inputs/key-shelf.js';
import { loadChain } from '../../key/chain.js';
import { LARGEST_TEXT } from '../../key/document.js';
import { lintKey } from '../../lint/lint.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted, visibleJson } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { slug } from '../../text/slug.js';
import { count } from '../../text/words.js';
import { textWidth } from '../../text/wrap.js';
import { findingCount, findingLines } from '../../words/findings.js';
import { type Checklist, readChecklist } from './checklist.js';
import { type LintChange, trimData, trimReport } from './report.js';
import { type Trimmed, trimKey } from './trim.js';

/** The options of `trim`. */
interface TrimFlags {
  readonly to?: string;
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly keepNumbers?: boolean;
  readonly keepUnused?: boolean;
  readonly dropHarmful?: boolean;
  readonly id?: string;
  readonly title?: string;
  readonly report?: string;
  readonly strict?: boolean;
  readonly keys?: readonly string[];
}

const ID = /^[a-z0-9][a-z0-9-]*$/;

/** Trims a key to a list. 0 = done, 1 = done with new errors, unclear names or (--strict) unknown ones, 2 = not done. */
export async function action(
  [reference = '']: readonly string[],
  flags: TrimFlags,
  world: World,
): Promise<number> {
  const wrong = wrongFlag(flags);
  if (wrong !== undefined) throw new UsageError(wrong, 'trim');
  const name = flags.to ?? '';
  const shelf = keyShelf(world, flags.keys);
  const file = await shelf.opened(reference);
  const text = shelf.text(file);
  const { chain, findings } = loadChain(text, file, shelf);
  tellNamesakes(shelf, world);
  const errors = findings.filter((f) => f.level === 'error');
  if (chain === undefined || errors.length > 0)
    return refuse(`${file} cannot be trimmed: ${findingCount(errors)} must be fixed first`, errors, world);
  const shown = name === '-' ? 'standard input' : name;
  const list = readChecklist(await listText(name, world), shown);
  if (list.findings.length > 0)
    return refuse(`${shown} cannot be read as a list of taxa`, list.findings, world);
  const stem = name === '-' ? 'list' : basename(name).replace(/\.[^.]*$/, '');
  const { main } = chain;
  const result = trimKey(text, compile(chain), list, shelf, {
    list: name === '-' ? 'from the standard input' : basename(name),
    id: flags.id ?? (slug(`${main.id}-${stem}`) || main.id),
    title: flags.title ?? `${main.title}, trimmed to ${stem}`,
    date: world.now().toISOString().slice(0, 10),
    keepNumbers: flags.keepNumbers === true,
    keepUnused: flags.keepUnused === true,
    dropHarmful: flags.dropHarmful === true,
  });
  if (result.trimmed === undefined) throw nothingKnown(list, result.list.strange, shown, main.id);
  const { trimmed } = result;
  const { change, fresh } = lintChange(trimmed, text, file, shelf);
  const report =
    flags.report === undefined ? undefined : new OutFile(world.cwd, flags.report, flags.overwrite);
  report?.check();
  write(trimmed, flags, file, world);
  report?.write(`${visibleJson(JSON.stringify(trimData(trimmed, shown, change), null, 2))}\n`);
  const lines = trimReport(trimmed, shown, change, textWidth(world.columns('stderr')));
  if (list.absent > 0)
    lines.push('', `Skipped: ${count(list.absent, 'row')} of the list with occurrenceStatus absent.`);
  world.stderr.write(`${lines.join('\n')}\n`);
  for (const line of findingLines(fresh)) world.stderr.write(`${line}\n`);
  if (fresh.length > 0 || result.list.unclear.length > 0) return 1;
  return flags.strict === true && result.list.strange.length > 0 ? 1 : 0;
}

function wrongFlag(flags: TrimFlags): string | undefined {
  if (flags.to === undefined) return '--to is missing: the list of the taxa to keep';
  if (flags.id !== undefined && !ID.test(flags.id))
    return `--id takes lower-case letters, digits and hyphens, not '${flags.id}'`;
  if (flags.title?.trim() === '') return '--title takes words';
  if (flags.overwrite === true && flags.out === undefined && flags.report === undefined)
    return '--overwrite is for --out FILE';
  return undefined;
}

async function listText(name: string, world: World): Promise<string> {
  return name === '-'
    ? wholeText(world.stdin, 'the standard input', LARGEST_TEXT)
    : readText(resolve(world.cwd, name), name);
}

function refuse(why: string, findings: readonly Finding[], world: World): number {
  for (const line of findingLines(findings)) world.stderr.write(`${line}\n`);
  world.stderr.write(`keywright: ${harmless(why)}\n`);
  return 2;
}

function nothingKnown(
  list: Checklist,
  strange: readonly {
    readonly name: { readonly line: number; readonly written: string };
    readonly nearest: string | undefined;
  }[],
  shown: string,
  id: string,
): Failure {
  if (list.names.length === 0) return new Failure(`${harmless(shown)} holds no names`);
  const near = strange.find((s) => s.nearest !== undefined);
  return new Failure(
    `no name of ${harmless(shown)} (${count(list.names.length, 'name')}) is known to ${id}, so nothing would be left`,
    defined({
      hint:
        near &&
        harmless(`line ${near.name.line}: ${quoted(near.name.written)}; did you mean ${near.nearest}?`),
    }),
  );
}

function write(trimmed: Trimmed, flags: TrimFlags, file: string, world: World): void {
  if (flags.out === undefined) {
    world.stdout.write(trimmed.text);
    return;
  }
  const path = resolve(world.cwd, flags.out);
  new OutFile(world.cwd, flags.out, flags.overwrite).write(trimmed.text);
  if (dirname(path) === dirname(resolve(world.cwd, file))) return;
  const { findings } = loadChain(trimmed.text, path, keyShelf(world, flags.keys));
  for (const { rule, message } of findings)
    if (rule === 'target-exists')
      world.stderr.write(
        `keywright: from ${harmless(flags.out)}, ${message}; put it beside the trimmed key\n`,
      );
}

/** What lint finds in the key before and after, and the errors that are new. */
function lintChange(
  { text: after, before }: Trimmed,
  text: string,
  file: string,
  shelf: FolderShelf,
): { readonly change: LintChange; readonly fresh: readonly Finding[] } {
  const own = before.chain.main.file;
  const [old, now] = [text, after].map((t) =>
    lintKey(t, file, { shelf }).findings.filter((f) => f.place.file === own),
  ) as [Finding[], Finding[]];
  const counted = (findings: readonly Finding[]) => ({
    errors: findings.filter((f) => f.level === 'error').length,
    warnings: findings.filter((f) => f.level === 'warning').length,
  });
  const change = { before: counted(old), after: counted(now) };
  const worse = change.after.errors > change.before.errors;
  return { change, fresh: worse ? now.filter((f) => f.level === 'error') : [] };
}
