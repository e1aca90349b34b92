import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';

/** How many ids are remembered for the finding of repeated ones; more would take memory that grows with the table. */
const MOST_IDS = 100_000;
/** A power of two. */
const FEWEST_SLOTS = 256;

/** Where an id stood. */
interface IdPlace {
  readonly file: string;
  readonly line: number;
}

/** Two numbers made from each id, and where it stood: some 30 bytes an id, however long it is. */
class IdTable {
  size = 0;
  #slots = FEWEST_SLOTS;
  #first = new Uint32Array(FEWEST_SLOTS);
  #second = new Uint32Array(FEWEST_SLOTS);
  #file = new Uint16Array(FEWEST_SLOTS);
  #line = new Uint32Array(FEWEST_SLOTS);

  /** The slot of an id, or the free one where it belongs. */
  slot(first: number, second: number): number {
    const last = this.#slots - 1;
    let at = first & last;
    while (this.#line[at] !== 0 && (this.#first[at] !== first || this.#second[at] !== second))
      at = (at + 1) & last;
    return at;
  }

  /** The line at which what is in a slot stood; 0 when it is free. */
  line(slot: number): number {
    return this.#line[slot] as number;
  }

  file(slot: number): number {
    return this.#file[slot] as number;
  }

  put(first: number, second: number, file: number, line: number): void {
    if (2 * this.size >= this.#slots) this.#grow();
    const slot = this.slot(first, second);
    this.#first[slot] = first;
    this.#second[slot] = second;
    this.#file[slot] = file;
    this.#line[slot] = line;
    this.size++;
  }

  clear(): void {
    this.#line.fill(0);
    this.size = 0;
  }

  #grow(): void {
    const [first, second, file, line] = [this.#first, this.#second, this.#file, this.#line];
    this.#slots *= 4;
    this.#first = new Uint32Array(this.#slots);
    this.#second = new Uint32Array(this.#slots);
    this.#file = new Uint16Array(this.#slots);
    this.#line = new Uint32Array(this.#slots);
    this.size = 0;
    for (let i = 0; i < line.length; i++)
      if (line[i] !== 0)
        this.put(first[i] as number, second[i] as number, file[i] as number, line[i] as number);
  }
}

/** The ids of the last hundred thousand collections or fewer, and where they stood. */
export class SeenIds {
  #recent = new IdTable();
  #before: IdTable | undefined;
  readonly #files: string[] = [];

  /**
   * Notes an id; gives the place where it stood before, if it did. Ids are compared by two 32-bit numbers made from
   * them: the chance that any two different ones among a hundred thousand agree in both is about one in a thousand
   * million.
   */
  note(id: string, file: string, line: number): IdPlace | undefined {
    let first = 0x811c9dc5;
    let second = 0;
    for (let i = 0; i < id.length; i++) {
      const c = id.charCodeAt(i);
      first = Math.imul(first ^ c, 0x01000193);
      second = (Math.imul(second, 0x5bd1e995) + c + 1) | 0;
    }
    first = (first ^ (first >>> 15)) >>> 0;
    second >>>= 0;
    const recent = this.#recent.slot(first, second);
    if (this.#recent.line(recent) !== 0) return this.#standing(this.#recent, recent);
    const before = this.#before?.slot(first, second) ?? 0;
    if (this.#before !== undefined && this.#before.line(before) !== 0)
      return this.#standing(this.#before, before);
    if (this.#recent.size >= MOST_IDS / 2) {
      const empty = this.#before ?? new IdTable();
      empty.clear();
      this.#before = this.#recent;
      this.#recent = empty;
    }
    this.#recent.put(first, second, this.#fileNumber(file), line);
    return undefined;
  }

  #standing(table: IdTable, slot: number): IdPlace {
    return { file: this.#files[table.file(slot)] ?? '', line: table.line(slot) };
  }

  #fileNumber(file: string): number {
    const last = this.#files.length - 1;
    if (this.#files[last] === file) return last;
    return this.#files.push(file) - 1;
  }
}

/** The finding for an id of a collection that stood before, with other collections between. */
export function repeatedId(id: string, first: IdPlace, place: Place): Finding {
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
