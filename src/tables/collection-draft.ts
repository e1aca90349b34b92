import type { Finding } from '../diagnostic/finding.js';
import { partsOf } from '../text/parts.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import type { Entry } from './entry.js';
import type { CollectionField } from './fields.js';

const NO_CHOICES: readonly Choice[] = [];
const NO_TEXTS: readonly string[] = [];
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
    const collection: { -readonly [K in keyof Collection]: Collection[K] } = {
      id,
      observations,
      choices: this.#choices,
      stages: this.#stages,
      expect: this.#expect,
    };
    if (this.#date !== undefined) collection.date = this.#date;
    if (this.#place !== undefined) collection.place = this.#place;
    if (this.#region !== undefined) collection.region = this.#region;
    if (this.#by !== undefined) collection.by = this.#by;
    if (this.#habitat !== undefined) collection.habitat = this.#habitat;
    if (this.#note !== undefined) collection.note = this.#note;
    if (this.count !== undefined) collection.count = this.count;
    if (this.#others !== undefined) collection.others = Object.fromEntries(this.#others);
    return { collection, line, findings: this.#findings };
  }
}
