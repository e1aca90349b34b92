import { stringify as yaml } from 'yaml';
import { agreementOf, SameTaxa } from '../../analysis/agreement.js';
import { compareGatherings } from '../../analysis/specimens.js';
import type { Correspondences } from '../../correspondences/check.js';
import { Failure } from '../../diagnostic/failure.js';
import type { Finding } from '../../diagnostic/finding.js';
import { UsageError } from '../../diagnostic/usage-error.js';
import type { CompiledKey } from '../../engine/compile.js';
import { determine } from '../../engine/determine.js';
import { Walk } from '../../engine/walk.js';
import { openCorrespondences } from '../../inputs/correspondences.js';
import { openSoundKey } from '../../inputs/sound-key.js';
import { MOST_FINDINGS, readTable, type TablePart, tellNotes } from '../../inputs/tables.js';
import { type CarriedReadings, carriedReadings } from '../../tables/carried-readings.js';
import type { Entry } from '../../tables/entry.js';
import type { GivenFormat } from '../../tables/format.js';
import { SeenIds } from '../../tables/ids.js';

import { Outlet } from '../../terminal/outlet.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless, harmlessLines, quoted, visibleJson } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { count, listed } from '../../text/words.js';
import { textWidth, wrapLines } from '../../text/wrap.js';
import type { Collection } from '../../traits/collection.js';
import { cautionsInShort } from '../../words/cautions.js';
import type { LineStyle } from '../../words/couplet.js';
import { findingCount, findingLines } from '../../words/findings.js';
import { agreementData, type Compared, gatheringsData } from './data.js';
import { agreementLines, agreementNotes, gatheringsLines } from './text.js';

/** The options of `compare`. */
export interface CompareOptions {
  readonly with?: string;
  readonly find?: readonly string[];
  readonly format: 'text' | 'ndjson' | 'yaml';
  readonly strict?: boolean;
  readonly from?: GivenFormat;
  readonly strictColumns?: boolean;
  readonly keys?: readonly string[];
  readonly correspondences?: readonly string[];
}

/** Takes the same collections through several keys; with one key, compares collections with each other. */
export async function action(
  references: readonly string[],
  options: CompareOptions,
  world: World,
): Promise<number> {
  if (options.with === undefined)
    throw new UsageError('--with is missing: the table of the finds to compare', 'compare');
  const keys: CompiledKey[] = [];
  for (const reference of references) {
    const key = await openSoundKey(reference, options.keys, world);
    if (key === undefined) return 2;
    keys.push(key);
  }
  if (options.correspondences !== undefined && keys.length === 1)
    throw new UsageError('--correspondences is for two keys or more', 'compare');
  const opened = await openCorrespondences(options.correspondences, keys, world);
  if (opened === undefined) return 2;
  const files = opened.map((o) => o.correspondences);
  const setting = { width: textWidth(world.columns('stdout')), paint: await paintFor(world.colour.stdout) };
  const run = new Comparison(keys, files, options, setting, world);
  return keys.length === 1 ? run.gatherings() : run.keysSideBySide();
}

/** So many collections are named beside a note. */
const MOST_NAMED = 4;

class Comparison {
  readonly #outlet: Outlet;
  readonly #carried: CarriedReadings;
  /** What is said once at the end, and the first collections of which it holds, with how many there are. */
  readonly #notes = new Map<string, { readonly first: string[]; many: number }>();
  readonly #findings: Finding[] = [];
  readonly #tableNotes: Finding[] = [];
  #stopped = false;

  constructor(
    readonly keys: readonly CompiledKey[],
    readonly files: readonly Correspondences[],
    readonly options: CompareOptions,
    readonly setting: LineStyle,
    readonly world: World,
  ) {
    this.#outlet = new Outlet(world.stdout, world.signal);
    this.#carried = carriedReadings(
      keys.map((k) => k.chain),
      files,
    );
  }

  async keysSideBySide(): Promise<number> {
    const { keys, files, options, setting } = this;
    if (options.find !== undefined)
      throw new UsageError('--find names finds to compare with one key; give one KEY only', 'compare');
    const labels = labelsOf(keys);
    const same = new SameTaxa(keys, files);
    const words = { agree: 0, overlap: 0, disagree: 0, 'nothing fits': 0, 'not comparable': 0 };
    const walks = keys.map((key) => new Walk(key));
    let any = false;
    for await (const entries of this.#entries()) {
      const understood = this.#carried.understood(entries.map((e) => e.collection));
      const found = understood.map((u, i) => determine(keys[i] as CompiledKey, u.collection, {}, walks[i]));
      const compared: Compared = {
        agreement: agreementOf(found, same),
        unknown: understood.map((u) => u.unknown),
        // What no file speaks of was never to be carried, but where both keys have a word for it.
        left: understood.map((u, i) =>
          u.left.filter((l) => !l.unsaid || keys[i]?.chain.characters.has(l.what)),
        ),
      };
      this.#note(agreementNotes(compared, labels), found[0]?.collection.id ?? '');
      words[compared.agreement.word]++;
      this.#write(agreementData(compared), () => [
        ...(any ? [''] : []),
        ...agreementLines(compared, labels, setting),
      ]);
      any = true;
      await this.#outlet.settle();
      if (this.world.signal.aborted) return 0;
    }
    const all = Object.values(words).reduce((a, b) => a + b);
    const parts = [
      `${words.agree} on which the keys agree`,
      `${words.overlap} in part`,
      `${words.disagree} on which they disagree`,
      `${words['nothing fits']} that fit nothing`,
      ...(words['not comparable'] === 0 ? [] : [`${words['not comparable']} that cannot be compared`]),
    ];
    const code = await this.#end(
      all === 0 ? 'No collections to compare.' : `${count(all, 'collection')}: ${listed(parts)}.`,
    );
    return code === 0 && options.strict === true && words.agree < all ? 1 : code;
  }

  /** With one key: the first find beside each of the others. */
  async gatherings(): Promise<number> {
    const { options, setting } = this;
    const [key] = this.keys as [CompiledKey];
    const finds: Collection[] = [];
    for await (const [entry] of this.#entries()) if (entry !== undefined) finds.push(entry.collection);
    if (this.#findings.length > 0) return this.#end('');
    const wanted = options.find ?? finds.map((f) => f.id);
    const file = options.with ?? '';
    const chosen = wanted.map((id) => {
      const found = finds.find((f) => f.id === id);
      if (found !== undefined) return determine(key, found);
      const near = nearest(
        id,
        finds.map((f) => f.id),
      );
      throw new Failure(
        `there is no find ${quoted(id)} in ${harmless(file)}${near === undefined ? '' : `; did you mean ${harmless(near)}?`}`,
      );
    });
    const [first, ...others] = chosen;
    if (first === undefined || others.length === 0)
      throw new Failure(`there is nothing to compare: ${count(chosen.length, 'find')}, and one key`, {
        hint: 'name two finds with --find ID --find ID, or two keys',
      });
    let ruledOut = 0;
    others.forEach((other, i) => {
      const both = compareGatherings(first, other);
      if (both.sameTaxon !== 'possible') ruledOut++;
      this.#write(gatheringsData(both), () => [...(i > 0 ? [''] : []), ...gatheringsLines(both, setting)]);
    });
    const may = others.length - ruledOut;
    const code = await this.#end(
      `${first.collection.id} beside ${count(others.length, 'other find')}: ${may} may be the same taxon.`,
    );
    return code === 0 && options.strict === true && ruledOut > 0 ? 1 : code;
  }

  #write(data: object, lines: () => readonly string[]): void {
    const { format } = this.options;
    if (format === 'ndjson') this.#outlet.write(`${visibleJson(JSON.stringify(data))}\n`);
    else if (format === 'yaml')
      this.#outlet.write(harmlessLines(yaml([data], { lineWidth: 0, aliasDuplicateObjects: false })));
    else this.#outlet.write(`${lines().join('\n')}\n`);
  }

  /** The same collection as each key reads it, one after the other, up to the first mistake. */
  async *#entries(): AsyncGenerator<readonly Entry[], void> {
    const { world, options } = this;
    const readings = this.#carried.readings.map((r) => ({ ...r, seen: new SeenIds() }));
    const how = { from: options.from, keepGoing: false, strictColumns: options.strictColumns };
    for await (const parts of readTable(options.with ?? '', readings, how, world)) {
      this.#tableNotes.push(...parts.flatMap((p) => p.notes));
      yield* this.#together(parts);
      if (world.signal.aborted || this.#findings.length >= MOST_FINDINGS) return;
    }
  }

  /** What is wrong for any of the keys is said once; from there on nothing is compared. */
  *#together(parts: readonly TablePart[]): Generator<readonly Entry[], void> {
    for (const { findings } of parts) this.#hear(findings);
    const many = Math.min(...parts.map((p) => p.entries.length));
    for (let n = 0; n < many; n++) {
      const entries = parts.map((own) => own.entries[n] as Entry);
      this.#hear(entries.flatMap((e) => e.findings));
      if (!this.#stopped) yield entries;
    }
  }

  #hear(findings: readonly Finding[]): void {
    for (const finding of findings) {
      if (finding.level === 'error') this.#stopped = true;
      const { file, start } = finding.place;
      const known = this.#findings.some(
        (f) =>
          f.rule === finding.rule &&
          f.place.file === file &&
          f.place.start.offset === start.offset &&
          f.place.start.line === start.line,
      );
      if (!known) this.#findings.push(finding);
    }
  }

  #note(notes: readonly string[], id: string): void {
    for (const note of notes) {
      const before = this.#notes.get(note) ?? { first: [], many: 0 };
      if (++before.many <= MOST_NAMED) before.first.push(id);
      this.#notes.set(note, before);
    }
  }

  /** The notes, each once. */
  #noteLines(): string[] {
    const line = (text: string) => wrapLines(harmless(text), this.setting.width, '  ', '    ');
    const where = ({ first, many }: { readonly first: readonly string[]; readonly many: number }) =>
      listed(many > first.length ? [...first, `${many - first.length} more`] : first);
    return ['Notes', ...[...this.#notes].flatMap(([note, of]) => line(`${note} (${where(of)})`))];
  }

  async #end(summary: string): Promise<number> {
    const { world, setting, options } = this;
    const lines = cautionsInShort(world.env.KEYWRIGHT_POISON_CENTRE);
    const toStdout = options.format === 'text';
    if (toStdout && this.#notes.size > 0) this.#outlet.write(`\n${this.#noteLines().join('\n')}\n`);
    if (toStdout && summary !== '')
      this.#outlet.write(`\n${lines.flatMap((t) => wrapLines(t, setting.width, '', '  ')).join('\n')}\n`);
    await this.#outlet.flush();
    if (world.signal.aborted) return 0;
    tellNotes(this.#tableNotes, world);
    for (const line of findingLines(this.#findings.slice(0, MOST_FINDINGS)))
      world.stderr.write(`${harmless(line)}\n`);
    const width = textWidth(world.columns('stderr'));
    const said = [
      ...(summary === '' ? [] : wrapLines(harmless(summary), width)),
      ...(toStdout || summary === '' ? [] : lines.flatMap((t) => wrapLines(t, width, '', '  '))),
    ];
    if (said.length > 0) world.stderr.write(`${said.join('\n')}\n`);
    if (!this.#findings.some((f) => f.level === 'error')) return 0;
    world.stderr.write(
      `keywright: ${findingCount(this.#findings)} in what was to be compared; the results end before the first of them\n`,
    );
    return 2;
  }
}

/** The labels of the keys: their ids, with versions where two have the same id. */
function labelsOf(keys: readonly CompiledKey[]): string[] {
  const mains = keys.map((k) => k.chain.main);
  const ids = mains.map((m) => m.id);
  const labels = mains.map((m) =>
    ids.filter((id) => id === m.id).length > 1 ? `${m.id} ${m.version}` : m.id,
  );
  return labels.map((label, i) =>
    labels.filter((l) => l === label).length > 1 ? `${label} (${mains[i]?.file ?? ''})` : label,
  );
}
