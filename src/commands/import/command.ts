import { join, resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import { isFolder } from '../../files/key-files.js';
import { KEY_ENDING } from '../../files/key-id.js';
import { OutFile } from '../../files/out.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { count } from '../../text/words.js';
import { findingCount, findingLines } from '../../words/findings.js';
import { importFolder } from './folder.js';
import { type OpenedText, openStream, openText } from './opened.js';
import type { ImportedKey, Layout } from './print.js';

/** The options of `import`. */
interface ImportFlags {
  readonly layout?: Layout;
  readonly id?: string;
  readonly title?: string;
  readonly cite?: string;
  readonly language?: string;
  /** false: --no-when. */
  readonly when?: boolean;
  readonly out?: string;
  readonly pick?: number;
  readonly asOne?: boolean;
  readonly overwrite?: boolean;
  /** Walk through what is doubtful afterwards. */
  readonly review?: boolean;
  /** The text that a key under review was imported from. */
  readonly print?: string;
}

const ID = /^[a-z0-9][a-z0-9-]*$/;
const LANGUAGE = /^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$/;

/** Turns the text of a printed key into key files. 0 = sound, 1 = the print has faults, 2 = no key was found. */
export async function action(
  [name = '']: readonly string[],
  flags: ImportFlags,
  world: World,
): Promise<number> {
  const problem = flagProblem(flags);
  if (problem !== undefined) throw new UsageError(problem, 'import');
  if (flags.review === true && name.endsWith(KEY_ENDING)) return reviewOf(name, flags, world);
  if (flags.review === true) {
    if (name === '-')
      throw new UsageError('--review takes a file: the standard input is for the answers', 'import');
    if (flags.print !== undefined)
      throw new UsageError(
        '--print is for a key that was imported before; a text is its own print',
        'import',
      );
    if (isFolder(resolve(world.cwd, name)))
      throw new UsageError(`${name} is a folder: import it first, then review its keys one by one`, 'import');
    if (flags.out === undefined)
      throw new UsageError('--review keeps the keys in a folder: name it with --out DIR', 'import');
  }
  if (name !== '-' && isFolder(resolve(world.cwd, name))) return ofFolder(name, flags, world);
  const shown = name === '-' ? 'stdin' : name;
  const read =
    name === '-'
      ? await openStream(world.stdin, 'the standard input')
      : await openText(resolve(world.cwd, name), shown);
  const say = (line: string) => void world.stderr.write(`${line}\n`);
  if (read.encoding !== undefined)
    say(
      `${harmless(shown)}: read as ${read.encoding}, because it is not UTF-8 text; check letters with accents`,
    );
  const { keys, findings } = await read.keys({
    file: harmless(shown),
    ...(flags.layout === undefined ? {} : { layout: flags.layout }),
    ...(flags.id === undefined ? {} : { id: flags.id }),
    ...(flags.title === undefined ? {} : { title: flags.title }),
    ...(flags.cite === undefined ? {} : { cite: flags.cite }),
    ...(flags.language === undefined ? {} : { language: flags.language }),
    when: flags.when !== false,
    asOne: flags.asOne === true,
  });
  for (const line of findingLines(findings)) say(line);
  if (keys.length === 0)
    throw new Failure(
      flags.layout === undefined
        ? `no printed key was found in ${harmless(shown)}: none of its lines read as the leads of couplets`
        : `${harmless(shown)} cannot be read in the layout ${flags.layout}: none of its lines read as the leads of couplets`,
      { hint: 'name another --layout, or check that the lines of the text are as printed' },
    );
  const chosen = choose(keys, flags, shown);
  // All files are checked before any is written.
  const files = chosen.map((key) => [key, outFileOf(key, flags, world)] as const);
  if (flags.review === true) {
    const all = files.flatMap(([key, file]) => (file === undefined ? [] : [{ key, file }]));
    return reviewAll(all, read, name, world, say);
  }
  for (const [, file] of files) file?.check();
  for (const [key, file] of files) put(key, file, world, say);
  const errors = findings.filter((f) => f.level === 'error').length;
  const warnings = findings.filter((f) => f.level === 'warning').length;
  // Only what was read and placed without a doubt is called free of faults.
  const told =
    errors + warnings === 0
      ? 'no faults were found in the print'
      : `${errors === 0 ? count(warnings, 'warning') : findingCount(findings)} in the print`;
  say(`keywright: ${summary(chosen)}; ${told}`);
  return errors > 0 ? 1 : 0;
}

function flagProblem(flags: ImportFlags): string | undefined {
  if (flags.id !== undefined && !ID.test(flags.id))
    return `--id takes lower-case letters, digits and hyphens, not '${flags.id}'`;
  if (flags.language !== undefined && !LANGUAGE.test(flags.language))
    return `--language takes a language tag such as en or de, not '${flags.language}'`;
  if (flags.cite?.trim() === '') return '--cite takes the source in words';
  if (flags.title?.trim() === '') return '--title takes words';
  if (flags.asOne === true && flags.pick !== undefined)
    return '--pick takes one of several keys; leave out --as-one';
  if (flags.overwrite === true && flags.out === undefined) return '--overwrite is for --out DIR';
  if (flags.print !== undefined && flags.review !== true) return '--print is for --review';
  return undefined;
}

/** Goes on with the review of a key that was imported before. */
async function reviewOf(name: string, flags: ImportFlags, world: World): Promise<number> {
  const other = (
    ['layout', 'id', 'title', 'cite', 'language', 'out', 'pick', 'asOne', 'overwrite'] as const
  ).find((flag) => flags[flag] !== undefined);
  if (other !== undefined || flags.when === false)
    throw new UsageError(
      `--${flags.when === false ? 'no-when' : other === 'asOne' ? 'as-one' : other} is for importing a text, and ${name} is a key that was imported`,
      'import',
    );
  const { reviewKey } = await import('./review/review.js');
  return reviewKey(name, flags.print, world);
}

/** Writes the keys that are not there yet, and goes through what is doubtful in all of them. */
async function reviewAll(
  all: readonly { readonly key: ImportedKey; readonly file: OutFile }[],
  read: OpenedText,
  name: string,
  world: World,
  say: (line: string) => void,
): Promise<number> {
  const { notBegun, reviewImported } = await import('./review/review.js');
  const fresh = new Set(notBegun(all, read.print));
  for (const one of fresh) one.file.check();
  for (const one of all) {
    if (fresh.has(one)) put(one.key, one.file, world, say);
    else say(`${harmless(one.file.shown)}: imported before, its review goes on`);
  }
  return reviewImported(
    all.map(({ file }) => file.shown),
    read,
    name,
    world,
  );
}

/** All texts of a folder: what holds for one key alone cannot be said of them. */
function ofFolder(name: string, flags: ImportFlags, world: World): Promise<number> {
  const { out, layout, cite, language } = flags;
  if (out === undefined)
    throw new UsageError(`${name} is a folder: name the folder for its keys with --out`, 'import');
  for (const one of ['id', 'title', 'pick'] as const)
    if (flags[one] !== undefined)
      throw new UsageError(`--${one} is for one text, and ${name} is a folder`, 'import');
  return importFolder(
    name,
    {
      out,
      overwrite: flags.overwrite === true,
      options: {
        ...(layout === undefined ? {} : { layout }),
        ...(cite === undefined ? {} : { cite }),
        ...(language === undefined ? {} : { language }),
        when: flags.when !== false,
        asOne: flags.asOne === true,
      },
    },
    world,
  );
}

/** The keys to be written: all into a folder, or one to stdout. */
function choose(keys: readonly ImportedKey[], flags: ImportFlags, shown: string): readonly ImportedKey[] {
  if (flags.pick !== undefined) {
    const key = keys[flags.pick - 1];
    if (key !== undefined) return [key];
    throw new Failure(`--pick ${flags.pick}: ${harmless(shown)} has only ${count(keys.length, 'key')}`);
  }
  if (keys.length === 1 || flags.out !== undefined) return keys;
  const list = keys.map((k, i) => `${i + 1} ${harmless(k.title)} (line ${k.line})`).join(', ');
  throw new Failure(`${count(keys.length, 'key')} stand in ${harmless(shown)}: ${list}`, {
    hint: 'give --out DIR to write each to its own file, --pick N for one of them, or --as-one to join them',
  });
}

function outFileOf(key: ImportedKey, { out, overwrite }: ImportFlags, world: World): OutFile | undefined {
  return out === undefined ? undefined : new OutFile(world.cwd, join(out, `${key.id}.key.yaml`), overwrite);
}

function put(key: ImportedKey, file: OutFile | undefined, world: World, say: (line: string) => void): void {
  if (file === undefined) {
    world.stdout.write(key.text);
    return;
  }
  file.write(key.text);
  say(`${harmless(file.shown)}: ${harmless(key.title)}`);
}

function summary(keys: readonly ImportedKey[]): string {
  const sum = (of: (key: ImportedKey) => number) => keys.reduce((n, k) => n + of(k), 0);
  const parts = [
    count(
      sum((k) => k.couplets),
      'couplet',
    ),
    count(
      sum((k) => k.leads),
      'lead',
    ),
    count(
      sum((k) => k.taxa),
      'taxon',
      'taxa',
    ),
  ];
  const layouts = [...new Set(keys.map((k) => k.layout))].join(', ');
  const proposed = sum((k) => k.proposed);
  const review = proposed === 0 ? '' : `, ${count(proposed, 'condition')} proposed for review`;
  return `${keys.length === 1 ? '' : `${keys.length} keys, `}${parts.join(', ')}, layout ${layouts}${review}`;
}
