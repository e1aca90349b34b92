/**
 * Reads a Darwin Core archive as a table of collections: its occurrences, each with what was measured or seen on it.
 */
import { Failure } from '../../diagnostic/failure.js';
import type { Finding, Place } from '../../diagnostic/finding.js';
import { harmless, quoted } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { count } from '../../text/words.js';
import type { CollectionDraft } from '../collection-draft.js';
import type { Entry, ReadOptions } from '../entry.js';
import type { LongColumns } from '../header.js';
import { MeasurementReader, type RowReading } from '../row-fields.js';
import { type ArchiveTexts, type DataRow, dataRows, shownFile } from './data-rows.js';
import { type ArchiveMeta, type ArchivePart, readMeta, rowTypes } from './meta.js';
import { OccurrenceReader } from './occurrence.js';
import { isDoubted, specimenOf } from './rows.js';
import { META } from './terms.js';

/** The state of one key's reading of an archive. */
interface ArchiveReading {
  /** What is wrong with the archive as a whole, so far. */
  readonly findings: readonly Finding[];
  /** Whether something wrong makes the rest unreadable. */
  readonly stopped: boolean;
}

/** Classes whose rows are measurements: that of the standard, and the wider one of marine archives. */
const MEASUREMENT_TYPES = [
  'MeasurementOrFact',
  'http://rs.iobis.org/obis/terms/ExtendedMeasurementOrFact',
] as const;

/** A longer description is not one of an archive. */
const LONGEST_META = 1_000_000;
/** Measurements in another order than the occurrences are kept in memory, as long as they are not more than this. */
const MOST_OUT_OF_ORDER = 500_000;

/** A measurement of an occurrence, as each of the keys reads it. */
interface SeenTrait {
  readonly id: string;
  readonly line: number;
  readonly file: string;
  readonly read: readonly RowReading[];
}

/** An archive that is read once for several keys together. */
export class ArchiveTable {
  readonly #states: { findings: Finding[]; stopped: boolean }[];

  constructor(
    readonly texts: ArchiveTexts,
    readonly readings: readonly ReadOptions[],
  ) {
    this.#states = readings.map(() => ({ findings: [], stopped: false }));
  }

  get states(): readonly ArchiveReading[] {
    return this.#states;
  }

  /** The collections in the order of the archive: for each batch, what each of the keys reads. */
  async *entries(): AsyncGenerator<readonly (readonly Entry[])[], void> {
    const meta = await this.#meta();
    if (meta === undefined) return;
    const { core, extensions } = meta;
    const parts = extensions.filter((e) => MEASUREMENT_TYPES.some((t) => t === e.rowType));
    const [part] = parts;
    const source =
      part === undefined
        ? new NoMeasurements()
        : parts.length === 1 && (await this.#inOrder(core, part))
          ? new OrderedMeasurements(this.#seen(part))
          : await this.#anyOrder(parts);
    const readers = this.readings.map((options) => new OccurrenceReader(options, core));
    const staged = part?.columns.some((c) => c.term === 'lifeStage') === true;
    const rows = dataRows(this.texts, core, (row) => ({
      id: row.id,
      drafts: readers.map((r) => r.read(row)),
    }));
    for await (const batch of rows) {
      const entries: Entry[][] = this.readings.map(() => []);
      for (const { id, drafts } of batch) {
        const seen = await source.of(id);
        drafts.forEach((draft, i) => {
          addSeen(draft, seen, i, staged);
          entries[i]?.push({ ...draft.entry(), manyFiles: true });
        });
      }
      yield entries;
    }
    this.#orphans(source);
  }

  async #meta(): Promise<ArchiveMeta | undefined> {
    const { texts } = this;
    const name = metaName(texts.names);
    if (name === undefined)
      throw new Failure(`${harmless(texts.shown)} is not a Darwin Core archive: there is no ${META} in it`, {
        hint: `a zip file with occurrence.txt, measurementorfact.txt and a ${META} is expected; tables are given as they are`,
      });
    let text = '';
    for await (const piece of texts.text(name, 'UTF-8')) {
      text += piece;
      if (text.length > LONGEST_META)
        throw new Failure(`${harmless(shownFile(texts, name))} cannot be read: it is too large`);
    }
    const { meta, findings } = readMeta(text, shownFile(texts, name));
    const folder = name.slice(0, -META.length);
    const found = meta === undefined ? [...findings] : this.#missing(meta, folder, name);
    if (meta === undefined || found.length > 0) {
      this.#stop(found);
      return undefined;
    }
    const placed = (p: ArchivePart): ArchivePart => ({ ...p, files: p.files.map((f) => folder + f) });
    return { core: placed(meta.core), extensions: meta.extensions.map(placed) };
  }

  /** What an archive lacks to be read as finds. */
  #missing(meta: ArchiveMeta, folder: string, name: string): Finding[] {
    const { core, extensions } = meta;
    const start = { line: 1, column: 1, offset: 0 };
    const place: Place = { file: shownFile(this.texts, name), path: [], start, end: start };
    const fault = (message: string, found: string, expected: string): Finding => ({
      rule: 'archive-form',
      level: 'error',
      message,
      place,
      found,
      expected,
    });
    if (core.rowType !== 'Occurrence')
      return [
        fault(
          `the core of the archive holds rows of ${quoted(core.rowType)}, and only one of occurrences can be read`,
          core.rowType,
          'a core of class Occurrence',
        ),
      ];
    const names = new Set(this.texts.names);
    const used = [core, ...extensions.filter((e) => MEASUREMENT_TYPES.some((t) => t === e.rowType))];
    const lacking = used.flatMap((p) => p.files).filter((f) => !names.has(folder + f));
    const found = lacking.map((f) =>
      fault(`there is no ${quoted(f)} in the archive`, f, 'a file of the archive'),
    );
    if (core.id < 0 && (used.length > 1 || !core.columns.some((c) => c.term === 'occurrenceID')))
      found.push(fault('the core has no id', '', 'an element id with the number of its column'));
    for (const part of used.slice(1))
      if (!LONG_TERMS.slice(0, 2).every((term) => part.columns.some((c) => c.term === term)))
        found.push(
          fault(
            `the rows of ${rowTypes([part])} have no measurementType or no measurementValue`,
            '',
            'both terms',
          ),
        );
    return found;
  }

  #stop(findings: readonly Finding[]): void {
    for (const state of this.#states) {
      state.findings.push(...findings);
      state.stopped = true;
    }
  }

  /** Whether the measurements stand in the order of the occurrences, so that both can be read side by side. */
  async #inOrder(core: ArchivePart, part: ArchivePart): Promise<boolean> {
    const occurrences = oneByOne(dataRows(this.texts, core, (row) => row.id));
    let at: string | undefined;
    try {
      for await (const ids of dataRows(this.texts, part, (row) => row.id))
        for (const id of ids)
          while (id !== at) {
            const next = await occurrences.next();
            if (next.done === true) return false;
            at = next.value;
          }
    } finally {
      await occurrences.return();
    }
    return true;
  }

  async #anyOrder(parts: readonly ArchivePart[]): Promise<UnorderedMeasurements> {
    const byId = new Map<string, SeenTrait[]>();
    let held = 0;
    for (const part of parts)
      for await (const batch of this.#seen(part)) {
        held += batch.length;
        if (held > MOST_OUT_OF_ORDER)
          throw new Failure(
            `${harmless(this.texts.shown)} cannot be read: its measurements stand in another order than its occurrences, and there are more than ${MOST_OUT_OF_ORDER} of them`,
            { hint: 'sort both files by the id of the occurrence' },
          );
        for (const seen of batch) {
          const known = byId.get(seen.id);
          if (known === undefined) byId.set(seen.id, [seen]);
          else known.push(seen);
        }
      }
    return new UnorderedMeasurements(byId);
  }

  /** The measurements of a table, as each of the keys reads them. */
  #seen(part: ArchivePart): AsyncGenerator<SeenTrait[], void> {
    const column = (term: string) => part.columns.find((c) => c.term === term);
    const [specimen, stage] = [column('materialEntityID'), column('lifeStage')];
    const remarks = column('measurementRemarks');
    const long = LONG_TERMS.map(column);
    let current: DataRow | undefined;
    const place = (cell: number, length: number): Place =>
      (current as DataRow).place(long[cell]?.index ?? 0, length);
    const readers = this.readings.map((options) => new MeasurementReader(options, place));
    return dataRows(this.texts, part, (row): SeenTrait => {
      current = row;
      const { id, line, file } = row;
      const [fault] = row.faults();
      if (fault !== undefined) return { id, line, file, read: readers.map(() => ({ mistake: fault })) };
      const cells = long.map((c) => row.cell(c));
      const [on, age] = [row.cell(specimen), row.cell(stage)];
      const doubted = isDoubted(row.cell(remarks));
      const read = readers.map((reader): RowReading => {
        const sighting = reader.read(cells, LONG_CELLS, id);
        const { seen } = sighting;
        if (seen === undefined || (on === '' && age === '' && !doubted)) return sighting;
        return {
          seen: {
            ...seen,
            ...defined({ specimen: on === '' ? undefined : specimenOf(id, on), stage: age || undefined }),
            ...(doubted ? { doubted } : {}),
          },
        };
      });
      return { id, line, file, read };
    });
  }

  /** Measurements of occurrences that the archive does not hold. */
  #orphans(source: MeasurementSource): void {
    const left = source.left();
    const [first] = left;
    if (first === undefined) return;
    const others = new Set(left.map((s) => s.id)).size - 1;
    const also = others === 0 ? '' : `, nor for ${count(others, 'other id')} that measurements name`;
    const start = { line: first.line, column: 1, offset: 0 };
    for (const state of this.#states)
      state.findings.push({
        rule: 'measurement-of',
        level: 'error',
        message: `there is no occurrence for ${quoted(first.id)}, which a measurement names${also}`,
        place: { file: first.file, path: [], start, end: start },
        found: first.id,
        expected: 'the id of an occurrence',
      });
  }
}

/** Where the measurements of each occurrence come from. */
interface MeasurementSource {
  /** Those of the next occurrence, which has that id. */
  of(id: string): Promise<readonly SeenTrait[]>;
  /** Those that belong to no occurrence, once all were read. */
  left(): readonly SeenTrait[];
}

const NONE_SEEN: readonly SeenTrait[] = [];

class NoMeasurements implements MeasurementSource {
  async of(): Promise<readonly SeenTrait[]> {
    return NONE_SEEN;
  }

  left(): readonly SeenTrait[] {
    return NONE_SEEN;
  }
}

/** Measurements in the order of their occurrences: no more of them are held than one batch. */
class OrderedMeasurements implements MeasurementSource {
  #batch: readonly SeenTrait[] = NONE_SEEN;
  #at = 0;
  #ended = false;

  constructor(readonly batches: AsyncGenerator<SeenTrait[], void>) {}

  async of(id: string): Promise<readonly SeenTrait[]> {
    const found: SeenTrait[] = [];
    for (;;) {
      const next = this.#batch[this.#at];
      if (next === undefined) {
        if (this.#ended || !(await this.#more())) return found;
      } else if (next.id === id) {
        found.push(next);
        this.#at++;
      } else return found;
    }
  }

  async #more(): Promise<boolean> {
    const { done, value } = await this.batches.next();
    this.#ended = done === true;
    this.#batch = value ?? NONE_SEEN;
    this.#at = 0;
    return !this.#ended;
  }

  left(): readonly SeenTrait[] {
    return this.#batch.slice(this.#at);
  }
}

/** Measurements in any order, all of them held. */
class UnorderedMeasurements implements MeasurementSource {
  constructor(readonly byId: Map<string, readonly SeenTrait[]>) {}

  async of(id: string): Promise<readonly SeenTrait[]> {
    const found = this.byId.get(id) ?? NONE_SEEN;
    this.byId.delete(id);
    return found;
  }

  left(): readonly SeenTrait[] {
    return [...this.byId.values()].flat();
  }
}

/** Adds measurements, as one of the keys understands them, to the draft of a collection. */
function addSeen(draft: CollectionDraft, seen: readonly SeenTrait[], reading: number, staged: boolean): void {
  // Measurements without an age of their own have that of the occurrence, if it has exactly one.
  const [age, ...others] = staged ? [] : draft.stages;
  for (const { read } of seen) {
    const { seen: observation, mistake, other } = read[reading] ?? {};
    if (other !== undefined) draft.addOther(...other);
    if (mistake !== undefined) draft.fault(mistake);
    if (observation === undefined) continue;
    const { stage } = observation;
    if (stage !== undefined) draft.addStage(stage);
    draft.observations.push(
      stage === undefined && age !== undefined && others.length === 0
        ? { ...observation, stage: age }
        : observation,
    );
  }
}

async function* oneByOne<T>(batches: AsyncGenerator<T[], void>): AsyncGenerator<T, void> {
  for await (const batch of batches) yield* batch;
}

/** Where the description of an archive stands: at its top, or in the one folder that was packed. */
function metaName(names: readonly string[]): string | undefined {
  if (names.includes(META)) return META;
  const within = names.filter((n) => /^[^/]+\/meta\.xml$/.test(n));
  return within.length === 1 ? within[0] : undefined;
}

const LONG_TERMS = ['measurementType', 'measurementValue', 'measurementUnit'];
/** Where the cells of those terms are put to be read. */
const LONG_CELLS: LongColumns = { character: 0, value: 1, unit: 2 };
