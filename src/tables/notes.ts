import type { Finding, Place } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { count, listed } from '../text/words.js';
import type { LooseValue, LooseWay } from '../traits/loose-value.js';

/** What was taken though it is not written as it should be: each kind is said once for a table, where and how often. */
export type NoteKind =
  | LooseWay
  | 'title-rows'
  | 'separator-line'
  | 'table-encoding'
  | 'column-spelling'
  | 'column-unknown';

interface Noted {
  readonly place: Place;
  readonly message: string;
  times: number;
}

/** Why each way of writing a value is taken. */
const WHY: Readonly<Record<LooseWay, string>> = {
  'state-spelling': 'capitals, spaces and hyphens of a state do not count',
  'state-wording': 'the key describes that state so',
  'number-words': 'words around a number are read as the signs that keys write',
  'number-about': 'a number that is "about" so much is read as a range',
  'decimal-comma': 'cells are parted by semicolons, so a comma stands before decimals',
  doubted: 'a value with ? was seen and doubted',
};

/** More names than these are counted. */
const MOST_NAMED = 8;

/** Notes on one table. */
export class TableNotes {
  readonly #noted = new Map<NoteKind, Noted>();
  /** By kind and name of a column, what it is read as; empty where it is passed on. */
  readonly #columns = new Map<
    string,
    { readonly name: string; readonly as: string; readonly place: Place }
  >();

  /** The names of the columns that are passed on, in the order in which they came. */
  readonly passedOn: string[] = [];

  /** Notes something that is said by one message. */
  say(kind: NoteKind, message: string, place: () => Place): void {
    const before = this.#noted.get(kind);
    if (before === undefined) this.#noted.set(kind, { place: place(), message, times: 1 });
    else before.times++;
  }

  /** Notes a value of a character that is read loosely. */
  value(
    character: string,
    written: string,
    { ways, as }: Extract<LooseValue, { ok: true }>,
    place: () => Place,
  ): void {
    for (const way of ways) {
      const doubt = way === 'doubted' ? ', not sure' : '';
      this.say(way, `${character}: ${quoted(written)} is read as ${as}${doubt}; ${WHY[way]}`, place);
    }
  }

  /** Notes a column (or trait) that is known under another spelling. */
  spelling(name: string, as: string, place: () => Place): void {
    const key = `=${name}`;
    if (!this.#columns.has(key)) this.#columns.set(key, { name, as, place: place() });
  }

  /** Notes a column (or trait) that means nothing to the key and is passed on. */
  unknown(name: string, place: () => Place): void {
    const key = `?${name}`;
    if (this.#columns.has(key)) return;
    this.#columns.set(key, { name, as: '', place: place() });
    this.passedOn.push(name);
  }

  /** All notes, as findings of the level `note`. */
  findings(): Finding[] {
    const columns = [...this.#columns.values()];
    const spelled = columns.filter((c) => c.as !== '');
    const unknown = columns.filter((c) => c.as === '');
    const found = [...this.#noted].map(([kind, { place, message, times }]) =>
      note(kind, times === 1 ? message : `${message} (${count(times, 'cell')} of this table)`, place),
    );
    const [firstSpelled] = spelled;
    if (firstSpelled !== undefined)
      found.push(
        note(
          'column-spelling',
          named(spelled.map((c) => `${quoted(c.name)} is read as ${c.as}`)),
          firstSpelled.place,
        ),
      );
    const [firstUnknown] = unknown;
    if (firstUnknown !== undefined) {
      const [verb, pronoun] = unknown.length === 1 ? ['means', 'it'] : ['mean', 'them'];
      found.push(
        note(
          'column-unknown',
          `${named(unknown.map((c) => quoted(c.name)))} ${verb} nothing to the key; identify passes ${pronoun} on to csv, ndjson and yaml results (--strict-columns refuses ${pronoun})`,
          firstUnknown.place,
        ),
      );
    }
    return found.sort(
      (a, b) => a.place.start.line - b.place.start.line || a.place.start.column - b.place.start.column,
    );
  }
}

function named(texts: readonly string[]): string {
  const more = texts.length - MOST_NAMED;
  return listed(more > 1 ? [...texts.slice(0, MOST_NAMED), `${more} others`] : [...texts]);
}

function note(kind: NoteKind, message: string, place: Place): Finding {
  return { rule: kind, level: 'note', message, place };
}
