import { resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import type { Finding } from '../../diagnostic/finding.js';
import { Lines } from '../../diagnostic/lines.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import { writeAtomically } from '../../files/atomic-write.js';
import { OutFile, replaceText } from '../../files/out.js';
import type { FolderShelf } from '../../files/shelf.js';
import { isFile, readText } from '../../files/texts.js';
import { FileWatcher } from '../../files/watch.js';
import { keyShelf } from '../../inputs/key-shelf.js';
import { readInputs, readStdin, recording, SettingsOfFiles } from '../../inputs/lint-inputs.js';
import {
  type Baseline,
  baselineText,
  compareBaseline,
  readBaseline,
  staleFinding,
} from '../../lint/baseline.js';
import { fingerprints } from '../../lint/fingerprint.js';
import { type Fixed, fixAll } from '../../lint/fix.js';
import { type AllowedFinding, type LintInput, type LintReport, lintAll } from '../../lint/lint.js';
import { lintGithub } from '../../lint/report/github.js';
import { lintJson } from '../../lint/report/json.js';
import { type LintResult, levelCounts, type Unreadable } from '../../lint/report/result.js';
import { lintSarif } from '../../lint/report/sarif.js';
import { lintScreen } from '../../lint/report/screen.js';
import { summaryLines } from '../../lint/report/summary.js';
import { lintText } from '../../lint/report/text.js';
import { unifiedDiff } from '../../lint/report/unified.js';
import { rules } from '../../lint/rules/index.js';
import { KnownRules, levelOf } from '../../lint/settings.js';
import { interruption } from '../../terminal/interrupt.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { PLAIN } from '../../text/paint.js';
import { count } from '../../text/words.js';

/** The options of `lint`, by the names of the table. */
interface LintFlags {
  readonly format: 'text' | 'json' | 'sarif' | 'github';
  readonly by: 'place' | 'couplet';
  readonly rule?: readonly string[];
  readonly keys?: readonly string[];
  readonly baseline?: string;
  readonly updateBaseline?: boolean;
  readonly fix?: boolean;
  readonly diff?: boolean;
  readonly maxWarnings?: number;
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly quiet?: boolean;
  readonly watch?: boolean;
  readonly stdinName?: string;
}

/** Checks keys. 0 = no errors, 1 = errors or too many warnings, 2 = something could not be read. */
export async function action(names: readonly string[], flags: LintFlags, world: World): Promise<number> {
  const conflict = conflictOf(names, flags);
  if (conflict !== undefined) throw new UsageError(conflict, 'lint');
  const stdin = names.includes('-') ? await readStdin(world, flags.stdinName ?? 'stdin') : undefined;
  const out = flags.out === undefined ? undefined : new OutFile(world.cwd, flags.out, flags.overwrite);
  if (flags.watch !== true) return (await lintOnce(names, flags, world, out, stdin)).code;
  return watching(names, flags, world, out);
}

function conflictOf(names: readonly string[], flags: LintFlags): string | undefined {
  const stdin = names.includes('-');
  if (flags.stdinName !== undefined && !stdin)
    return '--stdin-name names the text of stdin; add - to read it';
  if (stdin && flags.fix === true && flags.diff !== true)
    return '--fix cannot write to stdin; --diff shows what it would change';
  if (stdin && flags.watch === true) return '--watch cannot watch stdin';
  if (flags.updateBaseline === true && flags.baseline === undefined)
    return '--update-baseline needs --baseline FILE';
  if (flags.diff === true && flags.format !== 'text') return '--diff has its own format; leave --format out';
  if (flags.overwrite === true && flags.out === undefined) return '--overwrite is for --out FILE';
  if (flags.diff === true && flags.out !== undefined) return '--diff goes to stdout; leave --out out';
  if (flags.by === 'couplet' && flags.format !== 'text') return '--by couplet is for --format text';
  return undefined;
}

interface Once {
  readonly code: number;
  /** Every file whose change would change the result. */
  readonly touched: readonly string[];
  readonly folders: readonly string[];
}

async function lintOnce(
  names: readonly string[],
  flags: LintFlags,
  world: World,
  out: OutFile | undefined,
  stdin?: LintInput,
): Promise<Once> {
  const known = new KnownRules(rules);
  const settings = new SettingsOfFiles(flags.rule ?? [], known, world);
  const taken = new Set<string>();
  const folderShelf = keyShelf(world, flags.keys);
  const { inputs, unreadable, folders } = await readInputs(names, folderShelf, world, stdin);
  const baseline = baselineOf(flags, world);
  const options = {
    shelf: recording(folderShelf, taken),
    lacking: (file: string, figure: string) => folderShelf.lacking(file, figure),
    settings: (file: string) => settings.of(file),
    rules,
  };
  const chosen = (report: LintReport) => compareBaseline(report, baseline).findings;
  const fixing = flags.fix === true || flags.diff === true;
  const { report, files: fixed }: Fixed = fixing
    ? fixAll(inputs, options, chosen)
    : { report: lintAll(inputs, options), files: [] };
  const lists = flags.baseline === undefined ? [] : [flags.baseline];
  const touched = [...inputs.map((i) => i.file), ...taken, ...settings.files, ...lists];
  const problems = [...unreadable, ...settings.problems];
  const once = (code: number): Once => ({ code: problems.length > 0 ? 2 : code, touched, folders });

  if (flags.diff === true) {
    for (const file of fixed) world.stdout.write(safeDiff(unifiedDiff(file.file, file.before, file.after)));
    sayProblems(problems, world);
    if (flags.quiet !== true) say(world, `${count(fixed.length, 'file')} would change`);
    return once(fixed.length > 0 ? 1 : 0);
  }
  const inBundle = fixed.find(({ file }) => folderShelf.bundleOf(file) !== undefined);
  if (inBundle !== undefined)
    throw new Failure(`${harmless(inBundle.file)} lies in a bundle, and a bundle is never changed`, {
      hint: 'unpack it, fix the key there, and bundle it again',
    });
  out?.check();
  for (const { file, before, after, titles } of fixed) {
    replaceText(resolve(world.cwd, file), before, after, harmless(file));
    if (flags.quiet !== true) say(world, `${file} fixed: ${summed(titles)}`);
  }
  if (flags.updateBaseline === true && flags.baseline !== undefined) {
    const text = baselineText(report, baseline, world.now().toISOString().slice(0, 10));
    writeAtomically(resolve(world.cwd, flags.baseline), text, flags.baseline);
    say(world, `${flags.baseline} written; give each accepted finding its reason there`);
  }
  const now = flags.updateBaseline === true ? baselineOf(flags, world) : baseline;
  const compared = compareBaseline(report, now);
  const staleLevel = staleRuleLevel(known, settings, flags);
  const stale =
    staleLevel === undefined ? [] : compared.stale.map((e) => ({ ...staleFinding(e), level: staleLevel }));
  const findings = [...compared.findings, ...stale];
  const result = resultOf(report, findings, compared.accepted, problems, flags, folderShelf, world);
  await show(result, flags, world, out);
  const { error, warning } = levelCounts(findings);
  const tooMany = flags.maxWarnings !== undefined && warning > flags.maxWarnings;
  if (tooMany) say(world, `${count(warning, 'warning')}, and --max-warnings allows ${flags.maxWarnings}`);
  return once(error > 0 || tooMany ? 1 : 0);
}

function staleRuleLevel(known: KnownRules, settings: SettingsOfFiles, flags: LintFlags) {
  const rule = known.get('baseline-used');
  return rule === undefined ? undefined : levelOf(rule, settings.of(flags.baseline ?? ''));
}

function baselineOf(flags: LintFlags, world: World): Baseline {
  const none: Baseline = { entries: [], findings: [] };
  const { baseline: file } = flags;
  if (file === undefined) return none;
  const path = resolve(world.cwd, file);
  if (flags.updateBaseline === true && !isFile(path)) return none;
  const baseline = readBaseline(readText(path, file), file);
  const [first] = baseline.findings;
  if (first === undefined) return baseline;
  throw new Failure(`${file}:${first.place.start.line}:${first.place.start.column} ${first.message}`);
}

function resultOf(
  report: LintReport,
  findings: readonly Finding[],
  accepted: readonly AllowedFinding[],
  unreadable: readonly Unreadable[],
  flags: LintFlags,
  shelf: FolderShelf,
  world: World,
): LintResult {
  const texts = new Map<string, Lines | undefined>();
  const source = (file: string): Lines | undefined => {
    if (!texts.has(file)) texts.set(file, report.texts.get(file)?.lines ?? linesOf(file, shelf));
    return texts.get(file);
  };
  const all = [...report.findings, ...report.allowed.map((a) => a.finding)];
  return {
    files: report.files,
    findings: flags.quiet === true ? findings.filter((f) => f.level === 'error') : findings,
    allowed: report.allowed,
    accepted,
    notRun: report.notRun,
    unreadable,
    keys: report.keys,
    rules,
    fingerprints: fingerprints(all, report.keys),
    version: world.version,
    source,
  };
}

function linesOf(file: string, shelf: FolderShelf): Lines | undefined {
  try {
    return new Lines(shelf.text(file).replace(/^\ufeff/, ''));
  } catch {
    return undefined; // What can no longer be read is not shown.
  }
}

async function show(
  result: LintResult,
  flags: LintFlags,
  world: World,
  out: OutFile | undefined,
): Promise<void> {
  const toFile = out !== undefined;
  const setting = {
    width: toFile ? undefined : narrow(world.columns('stdout')),
    paint: toFile || world.colour.stdout === 0 ? PLAIN : await paintFor(world.colour.stdout),
  };
  const text = {
    text: () => (flags.by === 'couplet' ? lintScreen(result, setting) : lintText(result, setting)),
    json: () => lintJson(result),
    sarif: () => lintSarif(result),
    github: () => lintGithub(result),
  }[flags.format]();
  if (out !== undefined) out.write(text);
  else if (text !== '') world.stdout.write(text);
  if (flags.quiet === true) sayProblems(result.unreadable, world);
  else for (const line of summaryLines(result)) world.stderr.write(`${line}\n`);
}

function narrow(columns: number | undefined): number | undefined {
  return columns === undefined ? undefined : Math.min(columns, 110);
}

async function watching(
  names: readonly string[],
  flags: LintFlags,
  world: World,
  out: OutFile | undefined,
): Promise<number> {
  const watcher = new FileWatcher();
  const interrupted = interruption();
  const path = (file: string) => resolve(world.cwd, file);
  try {
    watcher.watch(names.map(path), []);
    for (;;) {
      say(world, `checked at ${world.now().toTimeString().slice(0, 8)}`);
      const { touched, folders } = await lintOnce(names, flags, world, out);
      watcher.watch([...names, ...touched].map(path), folders.map(path));
      if (world.signal.aborted) return 0;
      await Promise.race([watcher.next(), interrupted.happened, closed(world)]);
    }
  } finally {
    watcher.close();
    interrupted.end();
  }
}

/** Nobody reads stdout any longer. */
function closed(world: World): Promise<void> {
  return new Promise((resolve) => world.signal.addEventListener('abort', () => resolve(), { once: true }));
}

function summed(titles: readonly string[]): string {
  const counts = new Map<string, number>();
  for (const title of titles) counts.set(title, (counts.get(title) ?? 0) + 1);
  return [...counts].map(([title, n]) => (n === 1 ? title : `${title} (${n} times)`)).join('; ');
}

/** A diff as the lines of the file are, but for what could steer a terminal. */
function safeDiff(diff: string): string {
  return diff
    .split('\n')
    .map((line) => {
      const end = line.endsWith('\r') ? '\r' : '';
      const text = end === '' ? line : line.slice(0, -1);
      return text.split('\t').map(harmless).join('\t') + end;
    })
    .join('\n');
}

function sayProblems(problems: readonly Unreadable[], world: World): void {
  for (const { problem } of problems) say(world, problem);
}

function say(world: World, text: string): void {
  world.stderr.write(`keywright: ${harmless(text)}\n`);
}
