import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';

/** How many ids are remembered for the finding of repeated ones; more would take memory that grows with the table. */
const MOST_IDS = 100_000;

/** Where an id stood. */
interface IdPlace {
  readonly file: string;
  readonly line: number;
}

/** The ids of the last hundred thousand collections or fewer, and where they stood. */
export class SeenIds {
  #recent = new Map<string, IdPlace>();
  #before = new Map<string, IdPlace>();

  /** Notes an id; gives the place where it stood before, if it did. */
  note(id: string, file: string, line: number): IdPlace | undefined {
    const first = this.#recent.get(id) ?? this.#before.get(id);
    if (first !== undefined) return first;
    if (this.#recent.size >= MOST_IDS / 2) {
      this.#before = this.#recent;
      this.#recent = new Map();
    }
    this.#recent.set(id, { file, line });
    return undefined;
  }
}

/** What is wrong when the id of a collection stood before, with other collections between. */
export function repeated(id: string, first: IdPlace, place: Place): Finding {
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
