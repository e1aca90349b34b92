import type { Character } from '../traits/character.js';
import type { Observation } from '../traits/collection.js';
import { type LooseValue, readLoosely } from '../traits/loose-value.js';
import { type ReadValue, readValue } from '../traits/value.js';

/** What a cell says: an observation, nothing (it is empty), or a mistake. */
export type Cell = Observation | undefined | Extract<ReadValue, { ok: false }>;

// A column with more distinct texts than this gains little from remembering them.
const MOST_REMEMBERED = 10_000;
const LONGEST_REMEMBERED = 80;

const EMPTY = { empty: true } as const;

/** How a cell is read that is not written as keys write values. */
export interface LooseCells {
  readonly decimalComma: boolean;
  /** Hears of each such cell. */
  readonly noted: (written: string, read: Extract<LooseValue, { ok: true }>) => void;
}

/** What a cell came to that was read loosely. */
interface LooseCell {
  readonly observation: Observation;
  readonly read: Extract<LooseValue, { ok: true }>;
}

/** Reads the cells of one character; each distinct text is read once, and gives the same observation every time. */
export class CellReader {
  readonly #known = new Map<string, Observation | typeof EMPTY>();

  /** The texts that were read loosely, so that each time can be noted. */
  readonly #loose = new Map<string, LooseCell>();

  constructor(
    readonly character: Character,
    readonly loose?: LooseCells,
  ) {}

  read(text: string): Cell {
    const known = this.#known.get(text);
    if (known !== undefined) return known === EMPTY ? undefined : (known as Observation);
    return this.#first(text);
  }

  /** What a text says that keys do not write so; a mistake where it cannot be told. */
  #loosely(text: string): Cell {
    const { character, loose } = this;
    const before = this.#loose.get(text);
    const read = before?.read ?? readLoosely(character, text, loose?.decimalComma);
    if (!read.ok) return read;
    const seen = { character: character.id, value: read.value };
    const observation = before?.observation ?? (read.doubted ? { ...seen, doubted: true } : seen);
    if (before === undefined && this.#loose.size < MOST_REMEMBERED && text.length <= LONGEST_REMEMBERED)
      this.#loose.set(detached(text), { observation, read });
    loose?.noted(text, read);
    return observation;
  }

  #first(text: string): Cell {
    if (this.#loose.has(text)) return this.#loosely(text);
    const empty = text.trim() === '';
    const read = empty ? undefined : readValue(this.character, text);
    if (read !== undefined && !read.ok) return this.#loosely(text);
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
