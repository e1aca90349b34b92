import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import { own } from './cells.js';
import type { Entry } from './entry.js';
import type { Described } from './fields.js';

/** A collection that is being put together from one row or several. */
export class Draft {
  rows = 1;
  readonly described: Partial<Record<Described, string>> = {};
  note: string | undefined;
  observations: Observation[] = [];
  readonly choices: Choice[] = [];
  readonly stages: string[] = [];
  readonly expect: string[] = [];
  readonly findings: Finding[] = [];

  constructor(
    readonly id: string,
    readonly origin: Place,
  ) {}

  /** Takes a text of the whole collection. False when an earlier row says something else. */
  describe(field: Described, text: string): boolean {
    const before = this.described[field];
    this.described[field] ??= text;
    return before === undefined || before === text;
  }

  addNote(text: string): void {
    this.note = this.note === undefined || this.note === text ? text : `${this.note}; ${text}`;
  }

  /** Takes the lead that a person chose. False when an earlier row has another one at that couplet. */
  choose(choice: Choice): boolean {
    const before = this.choices.find((c) => c.couplet === choice.couplet);
    if (before === undefined) this.choices.push(choice);
    return before === undefined || before.letter === choice.letter;
  }

  entry(): Entry {
    const { id, observations, choices, stages, expect, origin, findings } = this;
    const { date, place, region, by, habitat } = this.described;
    const collection: { -readonly [K in keyof Collection]: Collection[K] } = {
      id,
      observations,
      choices,
      stages,
      expect,
      origin,
    };
    if (date !== undefined) collection.date = date;
    if (place !== undefined) collection.place = place;
    if (region !== undefined) collection.region = region;
    if (by !== undefined) collection.by = by;
    if (habitat !== undefined) collection.habitat = habitat;
    if (this.note !== undefined) collection.note = this.note;
    return { collection, line: origin.start.line, findings };
  }
}

/** How many ids are remembered for the finding of repeated ones; more would take memory that grows with the table. */
const MOST_IDS = 100_000;

interface Standing {
  readonly file: string;
  readonly line: number;
}

/** The ids of the last hundred thousand collections or fewer, and where they stood. */
export class SeenIds {
  #recent = new Map<string, Standing>();
  #before = new Map<string, Standing>();

  /** Notes an id; gives the place where it stood before, if it did. */
  note(id: string, file: string, line: number): Standing | undefined {
    const known = this.#recent.get(id) ?? this.#before.get(id);
    if (known !== undefined) return known;
    if (this.#recent.size >= MOST_IDS / 2) {
      this.#before = this.#recent;
      this.#recent = new Map();
    }
    this.#recent.set(own(id), { file, line });
    return undefined;
  }
}

/** What is wrong when the id of a collection stood before, with other collections between. */
export function repeated(id: string, first: Standing, place: Place): Finding {
  const where = first.file === place.file ? `line ${first.line}` : `${first.file}, line ${first.line}`;
  return {
    rule: 'id-unique',
    level: 'error',
    message: `collection ${quoted(id)} stands in ${where} already; the rows of one collection must follow each other`,
    place,
    found: id,
    expected: 'another id, or a row next to the first',
  };
}
