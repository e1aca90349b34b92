import type { CompiledKey } from '../engine/compile.js';
import { type Determination, nearHarm } from '../engine/determine.js';
import type { FurtherTaxon } from '../engine/outcome.js';
import { type Answer, conclude, type SessionState, sessionState } from '../engine/session.js';
import { type VisitedCouplet, visitedCouplets } from '../engine/visited-couplets.js';
import type { Taxon } from '../key/key.js';
import type { Collection } from '../traits/collection.js';
import type { DroppedAnswer, RecordedAnswer } from './answers.js';
import { recordedLead } from './carry.js';
import { coupletInWords } from './couplet-words.js';
import type { RecordedFind } from './find.js';
import { type KeyMark, keyMark } from './key-mark.js';
import type {
  RecordedDetermination,
  RecordedFurther,
  RecordedResult,
  RecordedStep,
  RecordedTaxon,
  UnansweredNote,
} from './write.js';

/** What a keying starts from: nothing yet, or a record. */
export interface KeyingStart {
  readonly started: string;
  /** Who makes it. */
  readonly by?: string;
  readonly find: RecordedFind;
  readonly begunWith?: readonly KeyMark[];
  readonly redoneFrom?: number;
  readonly answers?: readonly RecordedAnswer[];
  readonly dropped?: readonly DroppedAnswer[];
  readonly unread?: readonly string[];
  readonly otherwise?: readonly string[];
  readonly notes?: readonly UnansweredNote[];
  readonly note?: string;
}

// So that a record of a huge key stays readable; the path is only compared, never followed again.
const MOST_STEPS = 1000;

/** One keying: a key, a find, and the answers of a person so far, with their notes. */
export class Keying {
  readonly #answers: RecordedAnswer[];
  /** By couplet, whether it has an answer or not. */
  readonly #notes = new Map<string, string>();
  /** By couplet: why the person is not sure of the answer. */
  readonly #doubts = new Map<string, string>();
  #findNote: string | undefined;
  #standing: SessionState | undefined;
  #result: RecordedResult | undefined;
  #ended: string | undefined;

  constructor(
    readonly key: CompiledKey,
    readonly collection: Collection,
    readonly start: KeyingStart,
    readonly program: string,
    readonly clock: () => Date,
  ) {
    this.#answers = (start.answers ?? []).map(({ note: _, doubt: __, ...answer }) => answer);
    for (const { couplet, note, doubt } of [...(start.notes ?? []), ...(start.answers ?? [])]) {
      if (note !== undefined) this.#notes.set(couplet, note);
      if (doubt !== undefined) this.#doubts.set(couplet, doubt);
    }
    this.#findNote = start.note;
  }

  /** The answers so far, oldest first. */
  get answers(): readonly RecordedAnswer[] {
    return this.#answers;
  }

  get standing(): SessionState {
    this.#standing ??= sessionState(this.key, this.collection, this.#plain());
    return this.#standing;
  }

  /** Answers the couplet that is asked: the number of a lead, or undefined for "can't tell". */
  answer(lead: number | undefined): RecordedAnswer | undefined {
    const couplet = this.standing.ask?.couplet;
    if (couplet === undefined) return undefined;
    const taken = lead === undefined ? undefined : couplet.leads[lead];
    const given = recordedLead(this.key.chain, couplet.name, taken?.lead.letter ?? '?');
    if (given === undefined) return undefined;
    const answer: RecordedAnswer = { ...given, at: this.clock().toISOString() };
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

  /** Why the person is not sure at the couplet that is asked. */
  get doubt(): string | undefined {
    const at = this.standing.ask?.couplet.name;
    return at === undefined ? undefined : this.#doubts.get(at);
  }

  /** Says that the answer to the couplet that is asked will be doubtful, and why; an empty text takes it back. */
  setDoubt(text: string): void {
    const at = this.standing.ask?.couplet.name;
    if (at === undefined) return;
    const doubt = text.trim();
    if (doubt === '') this.#doubts.delete(at);
    else this.#doubts.set(at, doubt);
    this.#changed();
  }

  /** The answers that were given in doubt. */
  get doubted(): readonly RecordedAnswer[] {
    return this.#answers.filter((a) => this.#doubts.has(a.couplet));
  }

  /** Ends the keying with what is possible now. */
  finish(): Determination {
    const found = conclude(this.key, this.collection, this.#plain());
    const { name, qualifier, verdict, candidates, further, warnings } = found;
    const open = this.standing.open.map((o) => o.couplet.name);
    const { characters } = this.key.chain;
    const near = nearHarm(found).map((n) => ({
      ...taxonRecord(n.taxon),
      recheck: [
        ...n.recheck.map((id) => characters.get(id)?.name ?? id),
        ...n.reconsider.map((label) => `answer ${label}`),
      ],
    }));
    this.#ended = this.clock().toISOString();
    this.#result = {
      ...(name === undefined ? {} : { name }),
      ...(qualifier === undefined ? {} : { qualifier }),
      verdict,
      candidates: candidates.map((c) => ({
        ...taxonRecord(c.taxon),
        path: c.path,
        ...(c.open === 0 ? {} : { open: c.open }),
      })),
      ...(further.length === 0 ? {} : { further: further.map(furtherRecord) }),
      ...(near.length === 0 ? {} : { near }),
      ...(open.length === 0 ? {} : { open }),
      ...(warnings.length === 0 ? {} : { warnings: warnings.map((w) => w.message) }),
      way: visitedCouplets(this.key, this.collection, this.#plain())
        .slice(0, MOST_STEPS)
        .map((step) => this.#stepRecord(step)),
    };
    return found;
  }

  /** The record of it as it stands. */
  record(): RecordedDetermination {
    const {
      dropped = [],
      unread = [],
      otherwise = [],
      started,
      by,
      find,
      begunWith = [],
      redoneFrom,
    } = this.start;
    const answered = new Set(this.#answers.map((a) => a.couplet));
    const remarks = (couplet: string): { note?: string; doubt?: string } => {
      const [doubt, note] = [this.#doubts.get(couplet), this.#notes.get(couplet)];
      return { ...(doubt === undefined ? {} : { doubt }), ...(note === undefined ? {} : { note }) };
    };
    const notes = [...new Set([...this.#notes.keys(), ...this.#doubts.keys()])].flatMap((couplet) =>
      answered.has(couplet) ? [] : [{ couplet, ...remarks(couplet) }],
    );
    return {
      program: this.program,
      ...(by === undefined ? {} : { by }),
      key: keyMark(this.key.chain),
      ...(begunWith.length === 0 ? {} : { begunWith }),
      ...(redoneFrom === undefined ? {} : { redoneFrom }),
      started,
      ...(this.#ended === undefined ? {} : { ended: this.#ended }),
      collection: find,
      answers: this.#answers.map((a) => ({ ...a, ...remarks(a.couplet) })),
      ...(dropped.length === 0 ? {} : { dropped }),
      ...(unread.length === 0 ? {} : { unread }),
      ...(otherwise.length === 0 ? {} : { otherwise }),
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
    return this.#answers.map((a) => ({
      couplet: a.couplet,
      letter: a.lead === '?' ? undefined : a.lead,
      ...(a.counts === undefined ? {} : { evidenceOnly: true }),
      ...(this.#doubts.has(a.couplet) ? { doubted: true } : {}),
    }));
  }

  #stepRecord({ couplet, going, decided }: VisitedCouplet): RecordedStep {
    const { chain, couplets, taxa } = this.key;
    const known = coupletInWords(chain, couplet.name);
    return {
      couplet: couplet.name,
      mark: known?.mark ?? '',
      decided,
      going: going.map(({ lead, next, taxa: ends }) => ({
        lead: lead.letter,
        says: known?.words.find((w) => w.lead === lead.letter)?.says ?? '',
        ...(next < 0 ? {} : { to: couplets[next]?.name ?? '' }),
        ...(ends.length === 0 ? {} : { ends: ends.map((t) => taxa[t]?.id ?? '') }),
      })),
    };
  }
}

function furtherRecord({ taxon, doubted, specimens }: FurtherTaxon): RecordedFurther {
  return {
    ...taxonRecord(taxon),
    ...(doubted.length === 0 ? {} : { doubted }),
    ...(specimens.length === 0 ? {} : { specimens }),
  };
}

function taxonRecord({ id, name, synonyms, concern }: Taxon): RecordedTaxon {
  const { level, effect, onset } = concern;
  return {
    taxon: id,
    name,
    ...(synonyms.length === 0 ? {} : { synonyms }),
    concern: level,
    ...(effect === undefined ? {} : { effect }),
    ...(onset === undefined ? {} : { onset }),
  };
}
