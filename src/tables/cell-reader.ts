import type { Character } from '../traits/character.js';
import type { Observation } from '../traits/collection.js';
import { type ReadValue, readValue } from '../traits/value.js';

/** What a cell says: an observation, nothing (it is empty), or a mistake. */
export type Cell = Observation | undefined | Extract<ReadValue, { ok: false }>;

// A column with more distinct texts than this gains little from remembering them.
const MOST_REMEMBERED = 10_000;
const LONGEST_REMEMBERED = 80;

const EMPTY = { empty: true } as const;

/** Reads the cells of one character; each distinct text is read once, and gives the same observation every time. */
export class CellReader {
  readonly #known = new Map<string, Observation | typeof EMPTY>();

  constructor(readonly character: Character) {}

  read(text: string): Cell {
    const known = this.#known.get(text);
    if (known !== undefined) return known === EMPTY ? undefined : (known as Observation);
    return this.#first(text);
  }

  #first(text: string): Cell {
    const empty = text.trim() === '';
    const read = empty ? undefined : readValue(this.character, text);
    if (read !== undefined && !read.ok) return read;
    const observation = read === undefined ? undefined : { character: this.character.id, value: read.value };
    if (this.#known.size < MOST_REMEMBERED && text.length <= LONGEST_REMEMBERED)
      this.#known.set(detached(text), observation ?? EMPTY);
    return observation;
  }
}

/** Whether a cell held a mistake. */
export function isMistake(cell: Cell): cell is Extract<ReadValue, { ok: false }> {
  return cell !== undefined && 'ok' in cell;
}

/** A copy of a text that keeps nothing else in memory: a slice of a long text would keep all of it. */
export function detached(text: string): string {
  return text.length < 13 ? text : Buffer.from(text, 'utf16le').toString('utf16le');
}
