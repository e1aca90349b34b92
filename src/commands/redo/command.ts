import { resolve } from 'node:path';
import { Failure } from '../../diagnostic/failure.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import type { CompiledKey } from '../../engine/compile.js';
import { writeAtomically } from '../../files/atomic-write.js';
import { lockFile } from '../../files/lock.js';
import { type RecordText, recordTexts } from '../../files/record-files.js';
import { frameOf, inOneSentence, programName, type WholeRecord } from '../../files/record-keeper.js';
import { identity } from '../../files/run-files.js';
import { readText } from '../../files/texts.js';
import { openSoundKey } from '../../inputs/sound-key.js';
import { changesBetween } from '../../record/changes.js';
import { readRecord } from '../../record/read.js';
import { lastWith, redoDetermination } from '../../record/redo.js';
import { recordToShow } from '../../record/shown.js';
import { type RecordedDetermination, writeRecord } from '../../record/write.js';
import { Outlet } from '../../terminal/outlet.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { count, listed } from '../../text/words.js';
import { textWidth, wrapLines } from '../../text/wrap.js';
import { cautionsInShort } from '../../words/cautions.js';
import { type Redone, redoneHead, redoneJson, redoneLines, redoneRow } from './text.js';

/** The options of `redo`. */
interface RedoOptions {
  readonly key?: string;
  readonly format: 'text' | 'ndjson' | 'csv';
  readonly write?: boolean;
  readonly by?: string;
  readonly otherKeys?: boolean;
  readonly keys?: readonly string[];
}

/**
 * Takes the evidence and answers of records through another version of their key, and lists what is different. 0 = all
 * results are the same, 1 = some differ, 2 = some records could not be
 * redone.
 */
export async function action(files: readonly string[], options: RedoOptions, world: World): Promise<number> {
  if (options.key === undefined)
    throw new UsageError(
      '--key is missing: the key, in its newer version, to run the records through',
      'redo',
    );
  if (options.by !== undefined && options.write !== true) throw new UsageError('--by is for --write', 'redo');
  const key = await openSoundKey(options.key, options.keys, world);
  if (key === undefined) return 2;
  return new Redoing(key, options, world).all(files);
}

/** A record that was read, and the file it is in. */
interface Opened {
  readonly file: string;
  readonly path: string;
  readonly read: WholeRecord;
  /** Whether it stands in an archive, to which nothing is added. */
  readonly archived: boolean;
}

class Redoing {
  #problems = 0;

  constructor(
    readonly key: CompiledKey,
    readonly options: RedoOptions,
    readonly world: World,
  ) {}

  async all(files: readonly string[]): Promise<number> {
    const { options, world } = this;
    const opened = this.#openAll(files);
    const doubled = this.#sameNames(opened);
    const outlet = new Outlet(world.stdout, world.signal);
    const setting = { width: textWidth(world.columns('stdout')), paint: await paintFor(world.colour.stdout) };
    let changed = 0;
    let same = 0;
    let written = 0;
    if (options.format === 'csv') outlet.write(redoneHead());
    for (const one of opened) {
      if (world.signal.aborted) return 0;
      const done = this.#try(() =>
        options.write === true && !doubled.has(one) && !one.archived
          ? this.#redoAndWrite(one)
          : { redone: this.#redo(one), written: false },
      );
      if (done === undefined) continue;
      const { redone } = done;
      if (options.format === 'ndjson') outlet.write(redoneJson(redone));
      else if (options.format === 'csv') outlet.write(redoneRow(redone));
      else outlet.write(`${changed + same > 0 ? '\n' : ''}${redoneLines(redone, setting).join('\n')}\n`);
      if (redone.changes.changed) changed++;
      else same++;
      if (done.written) written++;
      await outlet.settle();
    }
    const lines = cautionsInShort(world.env.KEYWRIGHT_POISON_CENTRE);
    if (options.format === 'text' && changed + same > 0)
      outlet.write(`\n${lines.flatMap((t) => wrapLines(t, setting.width, '', '  ')).join('\n')}\n`);
    await outlet.flush();
    this.#summary(changed, same, written, options.format === 'text' ? [] : lines);
    return this.#problems > 0 ? 2 : changed > 0 ? 1 : 0;
  }

  #summary(changed: number, same: number, written: number, more: readonly string[]): void {
    const { world, key, options } = this;
    const width = textWidth(world.columns('stderr'));
    const parts = [`${changed} with another result`, `${same} with the same`];
    const failed = this.#problems === 0 ? '' : `; ${count(this.#problems, 'problem')}, see above`;
    const kept =
      options.write !== true
        ? ''
        : ` ${count(written, 'determination')} ${written === 1 ? 'was' : 'were'} added to the records; nothing in them was changed.`;
    const text = `${count(changed + same, 'record')} redone with ${listed(key.chain.keys.map((k) => `${k.id} ${k.version}`))}: ${listed(parts)}${failed}.${kept}`;
    const said = [
      ...wrapLines(harmless(text), width),
      ...more.flatMap((t) => wrapLines(t, width, '- ', '  ')),
    ];
    world.stderr.write(`${said.join('\n')}\n`);
  }

  /** Reads every record that can be read; what is wrong with the others is said, and does not hide these. */
  #openAll(files: readonly string[]): readonly Opened[] {
    const seen = new Set<string>();
    return files.flatMap((file): Opened[] => {
      const path = resolve(this.world.cwd, file);
      const one = identity(path) ?? path;
      if (seen.has(one)) {
        this.#say(`${file} is given twice; it is redone once`);
        return [];
      }
      seen.add(one);
      const texts = this.#try(() => recordTexts(path, file)) ?? [];
      if (this.options.write === true && texts.some((t) => 'archived' in t && t.archived))
        this.#fail(
          `${file} is an archive of finds, to which nothing is added`,
          'unpack it, and name the records in it',
        );
      return texts.flatMap((one) => {
        if ('text' in one) return this.#whole(one, path);
        this.#refuse(one.file, [one.problem.message]);
        return [];
      });
    });
  }

  #whole({ file, text, archived }: RecordText, path: string): readonly Opened[] {
    const read = readRecord(text, file);
    if (read.ok) return [{ file, path, archived, read: { ...read, text } }];
    this.#refuse(file, read.problems);
    return [];
  }

  #refuse(file: string, problems: readonly string[]): void {
    for (const problem of problems) this.#say(problem);
    this.#say(`keywright: ${file} cannot be redone and is left as it is`);
    this.#problems++;
  }

  /** The records that are not the only ones of their find: which of them counts, nobody but a person can say. */
  #sameNames(opened: readonly Opened[]): ReadonlySet<Opened> {
    const first = new Map<string, Opened>();
    const doubled = new Set<Opened>();
    for (const one of opened) {
      const { id } = one.read.record.collection;
      const other = first.get(id);
      if (other === undefined) {
        first.set(id, one);
        continue;
      }
      doubled.add(one).add(other);
      this.#fail(
        `${one.file} and ${other.file} are both records of a find called ${id}`,
        'give one of the finds another id, or keep one record; until then nothing is added to either',
      );
    }
    return doubled;
  }

  #redo({ file, read }: Opened): Redone {
    const { key, options, world } = this;
    const { determinations } = read.record;
    const before = this.#chosen(file, determinations);
    const by = options.by?.replace(/\s+/g, ' ').trim() ?? world.env.KEYWRIGHT_BY;
    const after = redoDetermination(key, before, {
      redoneFrom: determinations.indexOf(before) + 1,
      by,
      program: programName(world),
      clock: () => world.now(),
    });
    return { file, before, after, changes: changesBetween(recordToShow(before), recordToShow(after)) };
  }

  /** The last finished determination with this key; one that was left off when there is no other. */
  #chosen(file: string, determinations: readonly RecordedDetermination[]): RecordedDetermination {
    const { id } = this.key.chain.main;
    const chosen = lastWith(this.options.otherKeys === true ? undefined : id, determinations);
    if (chosen !== undefined) return chosen;
    const used = [...new Set(determinations.map((d) => d.key.id))];
    throw new Failure(`${file} was made with the key ${listed(used)}, not with ${id}; it is left as it is`, {
      hint: '--other-keys takes over from another key what both of them say in the same words',
    });
  }

  /**
   * Redoes a record as it stands now and adds the result, under its lock: of two that do so at the same time,
   * the second finds what the first has added. `written` tells whether there was something to add.
   */
  #redoAndWrite(opened: Opened): { readonly redone: Redone; readonly written: boolean } {
    const { file, path } = opened;
    const lock = this.#try(() => lockFile(path, file));
    // The result can still be shown.
    if (lock === undefined) return { redone: this.#redo(opened), written: false };
    try {
      const text = readText(path, file);
      const read = readRecord(text, file);
      if (!read.ok) throw new Failure(`${inOneSentence(read.problems)}; it is left as it is`);
      const one: Opened = { ...opened, read: { ...read, text } };
      const redone = this.#redo(one);
      return { redone, written: this.#try(() => this.#write(one, redone)) === true };
    } finally {
      lock.release();
    }
  }

  /** Adds the determination to its record. Gives whether there was something to add. */
  #write({ file, path, read }: Opened, { before, after }: Redone): boolean {
    const last = read.record.determinations.at(-1);
    if (last?.status !== 'finished')
      throw new Failure(
        `${file} ends with a determination that was not finished, so nothing is added to it`,
        {
          hint: `finish it first: keywright run ${last?.key.id ?? 'KEY'} --resume ${file}`,
        },
      );
    if (before.key.hash === after.key.hash) {
      this.#say(`${file} was made with this very text of the key: there is nothing to add`);
      return false;
    }
    writeAtomically(path, writeRecord(frameOf(read, 'further'), after), file);
    return true;
  }

  /** Does something for one record; a Failure is said, and the other records are gone on with. */
  #try<T>(work: () => T): T | undefined {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      this.#fail(error.message, error.hint);
      return undefined;
    }
  }

  #fail(message: string, hint: string | undefined): void {
    this.#problems++;
    this.#say(`keywright: ${message}`);
    if (hint !== undefined) this.#say(`hint: ${hint}`);
  }

  #say(text: string): void {
    this.world.stderr.write(`${harmless(text)}\n`);
  }
}
