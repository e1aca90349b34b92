import type { CompiledKey } from '../engine/compile.js';
import type { Determination } from '../engine/determine.js';
import { type Answer, conclude, type Standing, standing } from '../engine/session.js';
import type { DroppedAnswer, KeyRecord, RecordedAnswer, RecordedResult } from '../records/record.js';
import type { RecordedFind } from '../records/recordfind.js';
import { keyMark } from '../records/recordkey.js';
import type { Collection } from '../traits/collection.js';

/** What a keying starts from: nothing yet, or a record. */
export interface KeyingStart {
  readonly started: string;
  readonly find: RecordedFind;
  readonly answers?: readonly RecordedAnswer[];
  readonly dropped?: readonly DroppedAnswer[];
  readonly notes?: ReadonlyMap<string, string>;
  readonly note?: string;
}

/** One keying: a key, a find, and the answers of a person so far, with their notes. */
export class Keying {
  readonly #answers: RecordedAnswer[];
  /** By couplet, whether it has an answer or not. */
  readonly #notes: Map<string, string>;
  #findNote: string | undefined;
  #standing: Standing | undefined;
  #result: RecordedResult | undefined;
  #ended: string | undefined;

  constructor(
    readonly key: CompiledKey,
    readonly collection: Collection,
    readonly start: KeyingStart,
    readonly program: string,
    readonly clock: () => Date,
  ) {
    this.#answers = (start.answers ?? []).map(({ note: _, ...answer }) => answer);
    this.#notes = new Map(start.notes);
    for (const { couplet, note } of start.answers ?? [])
      if (note !== undefined) this.#notes.set(couplet, note);
    this.#findNote = start.note;
  }

  /** The answers so far, oldest first. */
  get answers(): readonly RecordedAnswer[] {
    return this.#answers;
  }

  get standing(): Standing {
    this.#standing ??= standing(this.key, this.collection, this.#plain());
    return this.#standing;
  }

  /** Answers the couplet that is asked: the number of a lead, or undefined for "can't tell". */
  answer(lead: number | undefined): RecordedAnswer | undefined {
    const couplet = this.standing.ask?.couplet;
    if (couplet === undefined) return undefined;
    const taken = lead === undefined ? undefined : couplet.leads[lead];
    const answer: RecordedAnswer = {
      couplet: couplet.name,
      lead: taken?.lead.letter ?? '?',
      says: taken === undefined ? couplet.leads.map((l) => l.lead.text) : [taken.lead.text],
      at: this.clock().toISOString(),
    };
    this.#answers.push(answer);
    this.#changed();
    return answer;
  }

  /** Takes the last answer back; undefined when there is none. */
  back(): RecordedAnswer | undefined {
    const answer = this.#answers.pop();
    if (answer !== undefined) this.#changed();
    return answer;
  }

  /** The note on the couplet that is asked, or on the find when nothing is asked any more. */
  get note(): string | undefined {
    const at = this.standing.ask?.couplet.name;
    return at === undefined ? this.#findNote : this.#notes.get(at);
  }

  /** Replaces that note; an empty text takes it away. */
  setNote(text: string): void {
    const at = this.standing.ask?.couplet.name;
    const note = text.trim();
    if (at === undefined) this.#findNote = note === '' ? undefined : note;
    else if (note === '') this.#notes.delete(at);
    else this.#notes.set(at, note);
  }

  /** Ends the keying with what is possible now. */
  finish(): Determination {
    const found = conclude(this.key, this.collection, this.#plain());
    const { name, qualifier, verdict, candidates, warnings } = found;
    const open = this.standing.open.map((o) => o.couplet.name);
    this.#ended = this.clock().toISOString();
    this.#result = {
      ...(name === undefined ? {} : { name }),
      ...(qualifier === undefined ? {} : { qualifier }),
      verdict,
      candidates: candidates.map((c) => ({
        taxon: c.taxon.id,
        name: c.taxon.name,
        concern: c.taxon.concern.level,
        path: c.path,
        ...(c.open === 0 ? {} : { open: c.open }),
      })),
      ...(open.length === 0 ? {} : { open }),
      ...(warnings.length === 0 ? {} : { warnings: warnings.map((w) => w.message) }),
    };
    return found;
  }

  /** The record of it as it stands. */
  record(): KeyRecord {
    const { dropped = [], started, find } = this.start;
    const answered = new Set(this.#answers.map((a) => a.couplet));
    const notes = [...this.#notes].flatMap(([couplet, note]) =>
      answered.has(couplet) ? [] : [{ couplet, note }],
    );
    return {
      program: this.program,
      key: keyMark(this.key.chain),
      started,
      ...(this.#ended === undefined ? {} : { ended: this.#ended }),
      collection: find,
      answers: this.#answers.map((a) => {
        const note = this.#notes.get(a.couplet);
        return note === undefined ? a : { ...a, note };
      }),
      ...(dropped.length === 0 ? {} : { dropped }),
      ...(notes.length === 0 ? {} : { notes }),
      ...(this.#findNote === undefined ? {} : { note: this.#findNote }),
      possible: this.standing.possible.map((t) => t.id),
      ...(this.#result === undefined ? {} : { result: this.#result }),
      status: this.#result === undefined ? 'open' : 'finished',
    };
  }

  #changed(): void {
    this.#standing = undefined;
    this.#result = undefined;
    this.#ended = undefined;
  }

  #plain(): Answer[] {
    return this.#answers.map((a) => ({ couplet: a.couplet, letter: a.lead === '?' ? undefined : a.lead }));
  }
}
