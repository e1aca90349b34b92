import type { Finding } from '../diagnostic/finding.js';
import { defined, filled } from '../text/optional.js';
import { partsOf } from '../text/parts.js';
import type { Choice, Collection, Observation, Photograph } from '../traits/collection.js';
import type { Entry } from './entry.js';
import type { CollectionField } from './fields.js';

const NO_CHOICES: readonly Choice[] = [];
const NO_TEXTS: readonly string[] = [];
const NO_PHOTOGRAPHS: readonly Photograph[] = [];
const NO_FINDINGS: readonly Finding[] = [];

/** A collection that is being put together from one row or several. */
export class CollectionDraft {
  rows = 1;
  observations: Observation[] = [];
  /** How many specimens there were; the first row that says so counts. */
  count: string | undefined;
  // Most rows have none of these; a list is made only when needed.
  #choices = NO_CHOICES;
  #stages = NO_TEXTS;
  #expect = NO_TEXTS;
  #photographs = NO_PHOTOGRAPHS;
  #findings = NO_FINDINGS;
  #date: string | undefined;
  #place: string | undefined;
  #region: string | undefined;
  #by: string | undefined;
  #habitat: string | undefined;
  #note: string | undefined;
  #others: Map<string, string> | undefined;

  constructor(
    readonly id: string,
    /** The line of the file where it begins. */
    readonly line: number,
  ) {}

  /** Sets a text of the whole collection; returns what an earlier row says, if that differs. */
  describe(field: CollectionField, text: string): string | undefined {
    let before: string | undefined;
    if (field === 'date') {
      before = this.#date;
      this.#date ??= text;
    } else if (field === 'place') {
      before = this.#place;
      this.#place ??= text;
    } else if (field === 'region') {
      before = this.#region;
      this.#region ??= text;
    } else if (field === 'by') {
      before = this.#by;
      this.#by ??= text;
    } else {
      before = this.#habitat;
      this.#habitat ??= text;
    }
    return before === text ? undefined : before;
  }

  addNote(text: string): void {
    this.#note = this.#note === undefined || this.#note === text ? text : `${this.#note}; ${text}`;
  }

  /** Adds photographs by their file names, of one specimen or of the whole find. */
  addPhotographs(files: readonly string[], specimen?: string): void {
    for (const file of files) this.addPhotograph({ file, ...defined({ specimen }) });
  }

  /** Adds a photograph; a file is one photograph of a specimen, however often it is named. */
  addPhotograph(photograph: Photograph): void {
    const { file, specimen } = photograph;
    if (!this.#photographs.some((p) => p.file === file && p.specimen === specimen))
      this.#photographs = [...this.#photographs, photograph];
  }

  /** Keeps what stands in a column that means nothing to the key; what several rows say is joined. */
  addOther(name: string, text: string): void {
    this.#others ??= new Map();
    const before = this.#others.get(name);
    if (before === undefined) this.#others.set(name, text);
    else if (!partsOf(before).includes(text)) this.#others.set(name, `${before} | ${text}`);
  }

  addStage(stage: string): void {
    if (!this.#stages.includes(stage)) this.#stages = [...this.#stages, stage];
  }

  get stages(): readonly string[] {
    return this.#stages;
  }

  addExpected(taxon: string): void {
    if (!this.#expect.includes(taxon)) this.#expect = [...this.#expect, taxon];
  }

  /** Adds the lead that a person chose. False when an earlier row has another one at that couplet. */
  choose(choice: Choice): boolean {
    const before = this.#choices.find((c) => c.couplet === choice.couplet);
    if (before === undefined) this.#choices = [...this.#choices, choice];
    return before === undefined || before.letter === choice.letter;
  }

  /** Adds mistakes; with any, the collection is not identified. */
  fault(...findings: readonly Finding[]): void {
    if (findings.length > 0) this.#findings = [...this.#findings, ...findings];
  }

  get faults(): number {
    return this.#findings.length;
  }

  entry(): Entry {
    const { id, observations, line } = this;
    const collection: Collection = {
      id,
      observations,
      choices: this.#choices,
      stages: this.#stages,
      expect: this.#expect,
      ...defined({
        date: this.#date,
        place: this.#place,
        region: this.#region,
        by: this.#by,
        habitat: this.#habitat,
        note: this.#note,
        count: this.count,
        others: this.#others && Object.fromEntries(this.#others),
      }),
      ...filled({ photographs: this.#photographs }),
    };
    return { collection, line, findings: this.#findings };
  }
}
