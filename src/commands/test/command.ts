import type { Finding } from '../../diagnostic/finding.js';
import type { CompiledKey } from '../../engine/compile.js';
import { openSoundKey } from '../../inputs/sound-key.js';
import {
  MOST_FINDINGS,
  readTables,
  requireOneStdin,
  type TablePart,
  tellNotes,
} from '../../inputs/tables.js';
import { TaxonNames } from '../../key/taxon-names.js';
import type { GivenFormat } from '../../tables/format.js';
import { EXPECT_KNOWN, vocabularyOf } from '../../tables/vocabulary.js';
import { Outlet } from '../../terminal/outlet.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { plainLines } from '../../text/words.js';
import { findingCount, findingLines } from '../../words/findings.js';
import { KnownSpecimens } from './known.js';
import { KnownTally, type KnownWriter, knownNdjson, type RowPlace, testedRow, untestedRow } from './rows.js';

/** The options of `test`. */
export interface TestOptions {
  readonly format: 'text' | 'tap' | 'junit' | 'ndjson';
  readonly strict?: boolean;
  readonly keepGoing?: boolean;
  readonly from?: GivenFormat;
  readonly strictColumns?: boolean;
  readonly keys?: readonly string[];
}

/** Tests a key with known specimens. 0 = all came out as they should, 1 = some did not, 2 = the work could not be done. */
export async function action(
  [reference = '', ...tables]: readonly string[],
  options: TestOptions,
  world: World,
): Promise<number> {
  requireOneStdin(tables, 'test');
  const key = await openSoundKey(reference, options.keys, world);
  if (key === undefined) return 2;
  const run = new TestRun(key, options, world, await writerFor(options, world));
  const names = new TaxonNames(key.chain.taxa.values());
  const vocabulary = { ...vocabularyOf(key.chain), taxa: names };
  const known = new KnownSpecimens(key, names);
  const reading = {
    vocabulary,
    from: options.from,
    keepGoing: options.keepGoing === true,
    strictColumns: options.strictColumns,
  };
  for await (const part of readTables(tables, reading, world)) {
    await run.take(part, known);
    if (world.signal.aborted) return 0;
    if (run.enough) break;
  }
  return run.end(known);
}

async function writerFor({ format }: TestOptions, world: World): Promise<KnownWriter> {
  if (format === 'ndjson') return knownNdjson();
  if (format === 'tap') return (await import('./tap.js')).knownTap();
  if (format === 'junit') return (await import('./junit.js')).knownJunit();
  const [{ knownText }, { textWidth }, { paintFor }] = await Promise.all([
    import('./text.js'),
    import('../../text/wrap.js'),
    import('../../terminal/paint.js'),
  ]);
  return knownText({
    width: textWidth(world.columns('stdout')),
    paint: await paintFor(world.colour.stdout),
  });
}

class TestRun {
  readonly #outlet: Outlet;
  readonly #tally: KnownTally;
  readonly #findings: Finding[] = [];
  readonly #notes: Finding[] = [];
  /** Without --keep-going nothing is tested after the first mistake. */
  #testing = true;
  #unreadable = false;

  constructor(
    readonly key: CompiledKey,
    readonly options: TestOptions,
    readonly world: World,
    readonly writer: KnownWriter,
  ) {
    this.#outlet = new Outlet(world.stdout, world.signal);
    this.#tally = new KnownTally(key);
    this.#outlet.write(writer.head());
  }

  /** Whether so much is wrong that reading on says nothing new. */
  get enough(): boolean {
    return this.options.keepGoing !== true && this.#findings.length >= MOST_FINDINGS;
  }

  async take({ file, entries, findings, notes, stopped }: TablePart, known: KnownSpecimens): Promise<void> {
    this.#findings.push(...findings);
    this.#notes.push(...notes);
    if (stopped) this.#unreadable = true;
    if (findings.length > 0 && this.options.keepGoing !== true) this.#testing = false;
    for (const entry of entries) this.#row({ file, entry }, known);
    await this.#outlet.settle();
  }

  #row(place: RowPlace, known: KnownSpecimens): void {
    const { collection, findings } = place.entry;
    // That the key lacks a taxon says something of the key as well as of the table, so the row is tested all the same.
    const lacking = findings.filter((f) => f.rule === EXPECT_KNOWN);
    const mistakes = findings.filter((f) => f.rule !== EXPECT_KNOWN);
    if (mistakes.length > 0 && this.options.keepGoing !== true) {
      this.#findings.push(...mistakes);
      this.#testing = false;
    }
    if (!this.#testing) return;
    const row =
      mistakes.length > 0
        ? untestedRow({ ...place, entry: { ...place.entry, findings: mistakes } }, 'unreadable')
        : collection.expect.length === 0
          ? untestedRow(place, 'no expectation')
          : testedRow(
              place,
              known.test(collection),
              lacking.map(
                (f) => `${harmless(place.file)}:${f.place.start.line}:${f.place.start.column} ${f.message}`,
              ),
              this.options.strict === true,
            );
    this.#tally.add(row);
    this.#outlet.write(this.writer.row(row));
  }

  /** The exit code, after the last words. */
  async end(known: KnownSpecimens): Promise<number> {
    const { world, writer } = this;
    const tally = this.#tally;
    const unfinished = this.#unreadable || (this.#findings.length > 0 && this.options.keepGoing !== true);
    const broken = unfinished ? `${findingCount(this.#findings)} in the tables` : undefined;
    this.#outlet.write(writer.foot(tally, known.coverage(), broken));
    await this.#outlet.flush();
    if (world.signal.aborted) return 0;
    tellNotes(this.#notes, world);
    for (const line of findingLines(this.#findings.slice(0, MOST_FINDINGS)))
      world.stderr.write(`${harmless(line)}\n`);
    if (broken !== undefined) {
      world.stderr.write(`keywright: ${broken}: ${this.#whyUnfinished()}\n`);
      return 2;
    }
    const width = Math.min(world.columns('stderr') ?? 80, 100);
    world.stderr.write(`${plainLines(harmless(tally.text()), width).join('\n')}\n`);
    return tally.failures.length > 0 || this.#findings.length > 0 ? 1 : 0;
  }

  #whyUnfinished(): string {
    if (this.options.keepGoing === true) return 'a table that cannot be read was left out';
    const many = this.enough ? `reading stopped after the first ${MOST_FINDINGS}; ` : '';
    return `${many}the test ends before the first of them; --keep-going counts such collections as failed and continues`;
  }
}
