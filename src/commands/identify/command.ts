import { analyse } from '../../analysis/analysis.js';
import type { Criterion } from '../../analysis/next-characters.js';
import type { Finding } from '../../diagnostic/finding.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import type { CompiledKey } from '../../engine/compile.js';
import { determine } from '../../engine/determine.js';
import { Walk } from '../../engine/walk.js';
import { openSoundKey } from '../../inputs/sound-key.js';
import {
  MOST_FINDINGS,
  readTables,
  requireOneStdin,
  type TablePart,
  tellNotes,
} from '../../inputs/tables.js';
import type { Entry } from '../../tables/entry.js';
import type { GivenFormat } from '../../tables/format.js';
import { vocabularyOf } from '../../tables/vocabulary.js';
import { Outlet } from '../../terminal/outlet.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { defined } from '../../text/optional.js';
import { count, listed, plainLines } from '../../text/words.js';
import { cautionsInShort } from '../../words/cautions.js';
import { findingCount, findingLines } from '../../words/findings.js';
import {
  csvWriter,
  ndjsonWriter,
  type ResultFormat,
  type ResultWriter,
  yamlWriter,
} from '../../words/result-writers.js';
import { type Identified, Tally } from '../../words/results.js';
import type { Saving } from './dwc.js';

/** The options of `identify`. */
export interface IdentifyOptions {
  readonly format: ResultFormat | 'dwc';
  readonly slips: number;
  /** The finds that are wanted; without, all. */
  readonly find?: readonly string[];
  /** Whether each result is analysed. */
  readonly full?: boolean;
  /** By what the characters to look at next are ranked, the first first. */
  readonly rank?: readonly Criterion[];
  readonly strict?: boolean;
  readonly keepGoing?: boolean;
  readonly keys?: readonly string[];
  readonly from?: GivenFormat;
  readonly strictColumns?: boolean;
  /** The file of an archive. */
  readonly out?: string;
  readonly overwrite?: boolean;
}

/** Identifies every collection of the tables and writes the results as they come. */
export async function action(
  [reference = '', ...tables]: readonly string[],
  options: IdentifyOptions,
  world: World,
): Promise<number> {
  requireOneStdin(tables, 'identify');
  const { format } = options;
  const conflict = conflictOf(options, world);
  if (conflict !== undefined) throw new UsageError(conflict, 'identify');
  const key = await openSoundKey(reference, options.keys, world);
  if (key === undefined) return 2;
  if (format !== 'dwc')
    return identifyTables(tables, new IdentifyRun(key, options, world, await writerFor(key, options, world)));
  const { ArchiveWriter } = await import('./dwc.js');
  const writer = new ArchiveWriter(key, { ...options, tables }, world);
  try {
    return await identifyTables(tables, new IdentifyRun(key, options, world, writer));
  } finally {
    writer.close();
  }
}

function conflictOf(
  { full, rank, format, out, overwrite }: IdentifyOptions,
  world: World,
): string | undefined {
  if (full === true && (format === 'csv' || format === 'dwc'))
    return `--full does not fit into ${format}: take table, yaml or ndjson`;
  if (rank !== undefined && full !== true) return '--rank orders what --full says; give --full as well';
  if (format !== 'dwc' && out !== undefined)
    return `--out is for the archive of --format dwc; ${format} goes to stdout, and > FILE puts it into a file`;
  if (overwrite === true && out === undefined) return '--overwrite is for --out FILE';
  if (format === 'dwc' && out === undefined && world.isTTY.stdout)
    return '--format dwc writes a zip archive, which a terminal cannot show: name its file with --out FILE.zip';
  return undefined;
}

async function identifyTables(tables: readonly string[], run: IdentifyRun): Promise<number> {
  const { key, options, world } = run;
  const reading = {
    vocabulary: vocabularyOf(key.chain),
    from: options.from,
    keepGoing: options.keepGoing === true,
    strictColumns: options.strictColumns,
  };
  for await (const part of readTables(tables, reading, world)) {
    await run.take(part);
    if (world.signal.aborted) return 0;
    if (run.enough) break;
  }
  return run.end();
}

async function writerFor(
  key: CompiledKey,
  { format, full }: IdentifyOptions,
  world: World,
): Promise<ResultWriter> {
  if (format === 'csv') return csvWriter();
  if (format === 'yaml') return yamlWriter(key);
  if (format === 'ndjson') return ndjsonWriter(key);
  // What lays text out for people takes 50 ms to load, which the other forms need not pay.
  const [{ textWidth }, { paintFor }] = await Promise.all([
    import('../../text/wrap.js'),
    import('../../terminal/paint.js'),
  ]);
  const setting = {
    width: textWidth(world.columns('stdout')),
    paint: await paintFor(world.colour.stdout),
    centre: world.env.KEYWRIGHT_POISON_CENTRE,
  };
  if (full === true) return (await import('./full.js')).fullReportWriter(setting);
  const { TableWriter } = await import('./result-table.js');
  return new TableWriter(key, setting);
}

/** Of so many finds the ids are kept, to name the nearest to one that is not there. */
const MOST_IDS = 10_000;

/** One run of the command, from the first table to the last. */
class IdentifyRun {
  readonly #outlet: Outlet;
  readonly #walk: Walk;
  readonly #tally = new Tally();
  readonly #findings: Finding[] = [];
  readonly #notes: Finding[] = [];
  /** Columns that could not be passed on. */
  readonly #late = new Set<string>();
  /** Without --keep-going, no result is written after the first mistake. */
  #writing = true;
  #unreadable = false;
  /** The finds that are wanted and have not been met. */
  readonly #wanted: Set<string> | undefined;
  readonly #ids: string[] = [];
  #shown = 0;

  constructor(
    readonly key: CompiledKey,
    readonly options: IdentifyOptions,
    readonly world: World,
    readonly writer: ResultWriter & Partial<Saving>,
  ) {
    this.#walk = new Walk(key);
    this.#wanted = options.find === undefined ? undefined : new Set(options.find);
    this.#outlet = new Outlet(world.stdout, world.signal);
    this.#outlet.write(writer.head());
  }

  /** Takes the next part of a table. */
  async take({ entries, findings, notes, others, stopped }: TablePart): Promise<void> {
    this.#findings.push(...findings);
    this.#notes.push(...notes);
    if (others.length > 0) for (const name of this.writer.passOn?.(others) ?? []) this.#late.add(name);
    if (stopped) this.#unreadable = true;
    if (findings.length > 0 && this.options.keepGoing !== true) this.#writing = false;
    this.#take(entries);
    await this.#outlet.settle();
    this.#progress();
  }

  /** Whether so much is wrong that reading on says nothing new. */
  get enough(): boolean {
    return this.options.keepGoing !== true && this.#findings.length >= MOST_FINDINGS;
  }

  #take(entries: readonly Entry[]): void {
    const batch: Identified[] = [];
    for (const entry of entries) {
      if (!this.#isWanted(entry)) continue;
      const identified = this.#identify(entry);
      if (identified === undefined) continue;
      this.#tally.add(identified);
      batch.push(identified);
    }
    if (batch.length > 0) this.#outlet.write(this.writer.results(batch));
  }

  #isWanted({ collection: { id } }: Entry): boolean {
    const { find } = this.options;
    if (find === undefined) return true;
    if (this.#ids.length < MOST_IDS) this.#ids.push(id);
    if (!find.includes(id)) return false;
    this.#wanted?.delete(id);
    return true;
  }

  #identify(entry: Entry): Identified | undefined {
    if (entry.findings.length > 0) {
      if (this.options.keepGoing === true) return { kind: 'failed', entry };
      this.#findings.push(...entry.findings);
      this.#writing = false;
    }
    if (!this.#writing) return undefined;
    const { full, rank } = this.options;
    const found = determine(this.key, entry.collection, this.options, this.#walk);
    if (full !== true) return { kind: 'found', found };
    return { kind: 'found', found, analysis: analyse(found, defined({ by: rank })) };
  }

  /** How far it is, where someone waits and sees nothing else. */
  #progress(): void {
    const { isTTY, stderr, now } = this.world;
    if (!isTTY.stderr || isTTY.stdout) return;
    const time = now().getTime();
    if (time - this.#shown < 200) return;
    this.#shown = time;
    stderr.write(`\r${count(this.#tally.collections, 'collection')} `);
  }

  /** The exit code, after the last words. */
  async end(): Promise<number> {
    const { world, options, writer } = this;
    const wrong = this.#findings.length > 0;
    const unfinished = this.#unreadable || (wrong && options.keepGoing !== true);
    this.#outlet.write(writer.foot());
    if (!wrong || options.keepGoing === true) await writer.save?.(this.#outlet);
    await this.#outlet.flush();
    if (world.signal.aborted) return 0;
    if (this.#shown > 0) world.stderr.write(`\r${' '.repeat(30)}\r`);
    tellNotes(this.#notes, world);
    if (this.#late.size > 0)
      world.stderr.write(
        `keywright: ${listed([...this.#late].map(quoted))} came after the first line of the csv was written and is not in it; --format ndjson keeps it\n`,
      );
    for (const line of findingLines(this.#findings.slice(0, MOST_FINDINGS)))
      world.stderr.write(`${harmless(line)}\n`);
    this.#summary();
    for (const id of this.#wanted ?? []) {
      const near = nearest(id, this.#ids);
      const did = near === undefined ? '' : `; did you mean ${harmless(near)}?`;
      world.stderr.write(`keywright: there is no find ${quoted(id)} in what was read${did}\n`);
    }
    if (this.#wanted !== undefined && this.#wanted.size > 0) return 2;
    if (unfinished) {
      world.stderr.write(`keywright: ${this.#whyUnfinished()}\n`);
      return 2;
    }
    const { collections, one, failed } = this.#tally;
    return wrong || failed > 0 || (options.strict === true && one < collections) ? 1 : 0;
  }

  #whyUnfinished(): string {
    const more =
      this.#findings.length >= MOST_FINDINGS ? ` (the first ${MOST_FINDINGS}; reading stopped there)` : '';
    const wrong = `${findingCount(this.#findings)}${more} in what was to be identified`;
    if (this.options.keepGoing === true) return `${wrong}; a table that cannot be read was left out`;
    if (this.writer.save !== undefined)
      return `${wrong}: no archive was written; --keep-going reports such collections in it`;
    const results =
      this.#tally.collections === 0 ? 'nothing was identified' : 'the results end before the first of them';
    return `${wrong}: ${results}; --keep-going reports such collections among the results`;
  }

  #summary(): void {
    const { world, options } = this;
    const width = Math.min(world.columns('stderr') ?? 80, 100);
    const lines = plainLines(this.#tally.text(this.key), width);
    if (options.format !== 'table' && this.#tally.collections > 0)
      lines.push(
        ...cautionsInShort(world.env.KEYWRIGHT_POISON_CENTRE).flatMap((text) => plainLines(text, width)),
        ...plainLines('Some species are protected: check your local rules before you pick.', width),
      );
    world.stderr.write(`${lines.join('\n')}\n`);
  }
}
