/** Imports all texts of a folder: each key to a file, and a table of what came of them. */
import { join, resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { filesIn } from '../../files/folder-files.js';
import { OutFile } from '../../files/out.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { slug } from '../../text/slug.js';
import { count, listed } from '../../text/words.js';
import { displayWidth } from '../../text/wrap.js';
import { openText } from './opened.js';
import type { ImportedKey, ImportOptions } from './print.js';

/** The endings of files that are texts. */
const TEXTS = /\.(?:txt|text|md|markdown|html?|xhtml|xml|tsv|csv|docx)$/i;

/** What all texts of a folder have in common. */
export interface FolderOptions {
  readonly out: string;
  readonly overwrite: boolean;
  readonly options: Omit<ImportOptions, 'file' | 'id' | 'title'>;
}

/** A key, or a file without one, as a line of the table. */
interface Row {
  readonly file: string;
  readonly key: string;
  readonly couplets: string;
  readonly ends: string;
  readonly doubtful: string;
  readonly faults: string;
  readonly outcome: 'sound' | 'review' | 'failed';
}

/** 0 = every key is sound, 1 = some need review, 2 = some file gave no key, or could not be read or written. */
export async function importFolder(name: string, folder: FolderOptions, world: World): Promise<number> {
  const path = resolve(world.cwd, name);
  const all = filesIn(path, harmless(name));
  const texts = all.filter((n) => TEXTS.test(n) && !/\.key\.yaml$/i.test(n));
  if (texts.length === 0)
    throw new Failure(`${harmless(name)} holds no text that is read: ${count(all.length, 'file')} in it`, {
      hint: 'texts end in .txt, .md, .html, .xml, .tsv, .csv or .docx',
    });
  const rows: Row[] = [];
  const problems: string[] = [];
  const used = new Set<string>();
  for (const text of texts) {
    if (world.signal.aborted) break;
    try {
      for (const key of await keysOf(join(path, text), text, folder, used)) {
        const problem = put(key, folder, world);
        if (problem !== undefined) problems.push(`${harmless(text)}: ${problem}`);
        rows.push(rowOf(text, key, problem !== undefined));
      }
    } catch (error) {
      // A text that cannot be read must not keep the others from being read.
      if (!(error instanceof Failure)) throw error;
      problems.push(error.message);
      rows.push({
        file: text,
        key: '-',
        couplets: '-',
        ends: '-',
        doubtful: '-',
        faults: '-',
        outcome: 'failed',
      });
    }
  }
  world.stdout.write(`${tableOf(rows).join('\n')}\n`);
  for (const problem of problems) world.stderr.write(`${problem}\n`);
  const others = all.filter((n) => !texts.includes(n));
  if (others.length > 0)
    world.stderr.write(
      `left alone, for they are no texts: ${harmless(listed(others.slice(0, 6)))}${others.length > 6 ? ' and more' : ''}\n`,
    );
  const review = rows.filter((r) => r.outcome === 'review').length;
  const failed = rows.filter((r) => r.outcome === 'failed').length;
  const written = rows.length - failed;
  world.stderr.write(
    `keywright: ${count(texts.length, 'text')}, ${count(written, 'key')} written to ${harmless(folder.out)}; ${review} to review, ${failed} failed\n`,
  );
  if (review > 0)
    world.stderr.write(
      'hint: import a text alone to see each fault with its line; the couplets that are doubtful say so in the key file\n',
    );
  return failed > 0 ? 2 : review > 0 ? 1 : 0;
}

/** The keys of a text, with ids that no other text has taken. Throws a Failure when it has none. */
async function keysOf(
  path: string,
  name: string,
  folder: FolderOptions,
  used: Set<string>,
): Promise<readonly ImportedKey[]> {
  const read = await openText(path, name);
  const options = { ...folder.options, file: harmless(name) };
  let { keys } = await read.keys(options);
  if (keys.some((k) => used.has(k.id))) {
    const base = slug(name.replace(/\.[^.]*$/, ''), 40) || 'key';
    let id = base;
    const taken = () => (keys.length === 1 ? used.has(id) : keys.some((_, i) => used.has(`${id}-${i + 1}`)));
    for (let n = 2; taken(); n++) id = `${base}-${n}`;
    ({ keys } = await read.keys({ ...options, id }));
  }
  if (keys.length === 0) throw new Failure(`${harmless(name)}: no key was found in it`);
  for (const key of keys) used.add(key.id);
  return keys;
}

/** Writes a key; why not, when it cannot be written. */
function put(key: ImportedKey, { out, overwrite }: FolderOptions, world: World): string | undefined {
  const file = new OutFile(world.cwd, join(out, `${key.id}.key.yaml`), overwrite);
  try {
    file.write(key.text);
    return undefined;
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    return error.message;
  }
}

function rowOf(file: string, key: ImportedKey, failed: boolean): Row {
  const { couplets, leads, ends, doubtful, faults } = key;
  return {
    file,
    key: key.id,
    couplets: String(couplets),
    ends: ends === leads ? String(ends) : `${ends} of ${leads}`,
    doubtful: String(doubtful),
    faults: String(faults),
    outcome: failed ? 'failed' : doubtful > 0 || faults > 0 || ends < leads ? 'review' : 'sound',
  };
}

function tableOf(rows: readonly Row[]): string[] {
  const all = [
    {
      file: 'file',
      key: 'key',
      couplets: 'couplets',
      ends: 'ends',
      doubtful: 'doubtful',
      faults: 'faults',
      outcome: '',
    },
    ...rows.map((r) => ({ ...r, outcome: { sound: '', review: 'to review', failed: 'failed' }[r.outcome] })),
  ];
  const names = ['file', 'key', 'couplets', 'ends', 'doubtful', 'faults', 'outcome'] as const;
  const widths = names.map((n) =>
    all.reduce((most, row) => Math.max(most, displayWidth(harmless(row[n]))), 0),
  );
  return all.map((row) =>
    names
      .map((name, i) => {
        const text = harmless(row[name]);
        const gap = ' '.repeat((widths[i] ?? 0) - displayWidth(text));
        return /^(?:file|key|outcome)$/.test(name) ? `${text}${gap}` : `${gap}${text}`;
      })
      .join('  ')
      .trimEnd(),
  );
}
