import type { CompiledKey } from '../engine/compile.js';
import { type Determination, nearHarm } from '../engine/determine.js';
import type { FurtherTaxon } from '../engine/outcome.js';
import { type Answer, conclude, type SessionState, sessionState } from '../engine/session.js';
import { type VisitedCouplet, visitedCouplets } from '../engine/visited-couplets.js';
import type { Taxon } from '../key/key.js';
import { defined, filled } from '../text/optional.js';
import { characterName } from '../traits/character.js';
import type { Collection, Observation, Photograph } from '../traits/collection.js';
import type { Value } from '../traits/value.js';
import type { DroppedAnswer, RecordedAnswer } from './answers.js';
import { recordedLead } from './carry.js';
import { coupletInWords } from './couplet-words.js';
import type { DETAILS, RecordedFind } from './find.js';
import { type KeyMark, keyMark } from './key-mark.js';
import { traitsOfLead } from './lead-traits.js';
import { type RecordedTrait, recordTrait } from './trait.js';
import type {
  RecordedDetermination,
  RecordedFurther,
  RecordedResult,
  RecordedStep,
  RecordedTaxon,
  UnansweredNote,
} from './write.js';

/** What an answer is read from: a specimen, its age. */
export interface ReadFrom {
  /** Absent = the find as a whole. */
  readonly specimen?: string;
  /** Absent = not told. */
  readonly stage?: string;
}

/** Where and when a find was found, by whom, and on what it grew. */
export type FindDetails = Partial<Pick<RecordedFind, (typeof DETAILS)[number]>>;

function readFrom({ specimen, stage }: ReadFrom = {}): ReadFrom {
  return defined({ specimen, stage });
}

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
  #find: RecordedFind;
  #collection: Collection;
  /** What answers are read from until something else is said. */
  #readFrom: ReadFrom;
  #standing: SessionState | undefined;
  #result: RecordedResult | undefined;
  #ended: string | undefined;

  constructor(
    readonly key: CompiledKey,
    collection: Collection,
    readonly start: KeyingStart,
    readonly program: string,
    readonly clock: () => Date,
  ) {
    this.#collection = collection;
    this.#find = start.find;
    this.#answers = (start.answers ?? []).map(({ note: _, doubt: __, ...answer }) => answer);
    for (const { couplet, note, doubt } of [...(start.notes ?? []), ...(start.answers ?? [])]) {
      if (note !== undefined) this.#notes.set(couplet, note);
      if (doubt !== undefined) this.#doubts.set(couplet, doubt);
    }
    this.#findNote = start.note;
    this.#readFrom = readFrom(this.#answers.at(-1));
  }

  /** What was seen on the find, in words, apart from what its answers say. */
  get seen(): readonly RecordedTrait[] {
    return this.#find.evidence ?? [];
  }

  /** The find, as it is known before the first answer. */
  get collection(): Collection {
    return this.#collection;
  }

  /** Adds where, when and by whom it was found, or on what it grew. */
  describe(details: FindDetails): void {
    this.#find = { ...this.#find, ...details };
    this.#collection = { ...this.#collection, ...details };
    this.#changed();
  }

  /** Calls the find otherwise. A record file that it was begun in keeps the name that stands in its head. */
  rename(id: string): void {
    this.#find = { ...this.#find, id };
    this.#collection = { ...this.#collection, id };
    this.#changed();
  }

  /**
   * Adds what was seen of a character on the specimen and at the age that things are read from now; what was seen of it there
   * before is replaced. undefined = looked, can't tell; nothing to be seen at all = `forget`.
   */
  observe(character: string, value: Value | undefined): void {
    const observation: Observation = { character, value, ...this.#readFrom };
    const trait = recordTrait(observation, this.key.chain);
    if (trait === undefined) return;
    this.forget(observation);
    const { observations } = this.#collection;
    this.#collection = { ...this.#collection, observations: [...observations, observation] };
    this.#find = { ...this.#find, evidence: [...(this.#find.evidence ?? []), trait] };
    this.#changed();
  }

  /** Takes away what was seen of a character on that specimen at that age. */
  forget(seen: Pick<Observation, 'character' | 'specimen' | 'stage'>): void {
    const others = (o: typeof seen) =>
      o.character !== seen.character || o.specimen !== seen.specimen || o.stage !== seen.stage;
    const { evidence = [], ...find } = this.#find;
    this.#find = { ...find, ...filled({ evidence: evidence.filter(others) }) };
    const { observations } = this.#collection;
    this.#collection = { ...this.#collection, observations: observations.filter(others) };
    this.#changed();
  }

  /** Adds a photograph of the find; one of the same file and specimen is replaced, since what is known of it may change. */
  photograph(photograph: Photograph): void {
    const { file, specimen } = photograph;
    const others = (this.#find.photographs ?? []).filter((p) => p.file !== file || p.specimen !== specimen);
    this.#keepPhotographs([...others, photograph]);
  }

  /** Takes away every photograph of that file. */
  withoutPhotograph(file: string): void {
    this.#keepPhotographs((this.#find.photographs ?? []).filter((p) => p.file !== file));
  }

  #keepPhotographs(all: readonly Photograph[]): void {
    const { photographs: _, ...find } = this.#find;
    const { photographs: __, ...collection } = this.#collection;
    const photographs = filled({ photographs: all });
    this.#find = { ...find, ...photographs };
    this.#collection = { ...collection, ...photographs };
    this.#changed();
  }

  /** The specimen and age that answers are read from now. */
  get readFrom(): ReadFrom {
    return this.#readFrom;
  }

  /** Says what the answers that come are read from; nothing = the whole find. */
  readFromNow(from: ReadFrom): void {
    this.#readFrom = readFrom(from);
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
    const shows = traitsOfLead(this.key, couplet.name, given.lead);
    const answer: RecordedAnswer = {
      ...given,
      ...filled({ shows }),
      ...this.#readFrom,
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

  /** Takes the answer to one couplet back; the others stay. undefined when it has none. */
  takeBack(couplet: string): RecordedAnswer | undefined {
    const at = this.#answers.map((a) => a.couplet).lastIndexOf(couplet);
    if (at < 0) return undefined;
    const [answer] = this.#answers.splice(at, 1);
    this.#changed();
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

  /** What was said of a couplet besides its answer: why it is in doubt, and a note. */
  remarksOn(couplet: string): { readonly doubt?: string; readonly note?: string } {
    const [doubt, note] = [this.#doubts.get(couplet), this.#notes.get(couplet)];
    return { ...(doubt === undefined ? {} : { doubt }), ...(note === undefined ? {} : { note }) };
  }

  /** The couplets without an answer of which something was said. */
  get remarkedUnanswered(): readonly string[] {
    const answered = new Set(this.#answers.map((a) => a.couplet));
    return [...new Set([...this.#notes.keys(), ...this.#doubts.keys()])].filter((c) => !answered.has(c));
  }

  /** The note on the find as a whole. */
  get findNote(): string | undefined {
    return this.#findNote;
  }

  /** The answers that were given in doubt. */
  get doubted(): readonly RecordedAnswer[] {
    return this.#answers.filter((a) => this.#doubts.has(a.couplet));
  }

  /** Every couplet that the find comes to. */
  visited(): VisitedCouplet[] {
    return visitedCouplets(this.key, this.collection, this.#plain());
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
        ...n.recheck.map((id) => characterName(characters, id)),
        ...n.reconsider.map((label) => `answer ${label}`),
      ],
    }));
    this.#ended = this.clock().toISOString();
    this.#result = {
      ...defined({ name, qualifier }),
      verdict,
      candidates: candidates.map((c) => ({
        ...taxonRecord(c.taxon),
        path: c.path,
        ...defined({ open: c.open || undefined }),
      })),
      ...filled({ further: further.map(furtherRecord), near, open }),
      ...filled({ warnings: warnings.map((w) => w.message) }),
      way: this.visited()
        .slice(0, MOST_STEPS)
        .map((step) => this.#stepRecord(step)),
    };
    return found;
  }

  /** The record of it as it stands. */
  record(): RecordedDetermination {
    const { dropped = [], unread = [], otherwise = [], started, by, begunWith = [], redoneFrom } = this.start;
    const notes = this.remarkedUnanswered.map((couplet) => ({ couplet, ...this.remarksOn(couplet) }));
    return {
      program: this.program,
      ...defined({ by }),
      key: keyMark(this.key.chain),
      ...filled({ begunWith }),
      ...defined({ redoneFrom }),
      started,
      ...defined({ ended: this.#ended }),
      collection: this.#find,
      answers: this.#answers.map((a) => ({ ...a, ...this.remarksOn(a.couplet) })),
      ...filled({ dropped, unread, otherwise, notes }),
      ...defined({ note: this.#findNote }),
      possible: this.standing.possible.map((t) => t.id),
      ...defined({ result: this.#result }),
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
      ...readFrom(a),
      ...defined({ evidenceOnly: a.counts && true, doubted: this.#doubts.has(a.couplet) || undefined }),
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
        ...defined({ to: next < 0 ? undefined : (couplets[next]?.name ?? '') }),
        ...filled({ ends: ends.map((t) => taxa[t]?.id ?? '') }),
      })),
    };
  }
}

function furtherRecord({ taxon, doubted, specimens }: FurtherTaxon): RecordedFurther {
  return { ...taxonRecord(taxon), ...filled({ doubted, specimens }) };
}

function taxonRecord({ id, name, synonyms, common, concern }: Taxon): RecordedTaxon {
  const { level, effect, onset } = concern;
  return {
    taxon: id,
    name,
    ...filled({ synonyms, common }),
    concern: level,
    ...defined({ effect, onset }),
  };
}
