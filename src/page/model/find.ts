import { analyse } from '../../analysis/analysis.js';
import type { CompiledKey } from '../../engine/compile.js';
import type { Determination } from '../../engine/determine.js';
import { recordFind } from '../../record/find.js';
import { type FindDetails, Keying, type ReadFrom } from '../../record/keying.js';
import { type GoneOn, goOnFrom } from '../../record/resume.js';
import type { RecordedDetermination, RecordFrame } from '../../record/write.js';
import { defined } from '../../text/optional.js';
import type { Collection, Observation, Photograph } from '../../traits/collection.js';
import type { Value } from '../../traits/value.js';
import { coupletName } from '../../words/couplet.js';
import type { KeyingWords } from '../../words/determination.js';

/** A find as the device keeps it: plain data, so that any store can hold it. */
export interface KeptFind {
  /** Its name in the store; the find itself is called by the id of its collection. */
  readonly id: string;
  /** Grows with every change, so that one window never overwrites what another has entered. */
  readonly revision: number;
  /** When it was changed last, as ISO 8601. */
  readonly changed: string;
  /** Never finished here: whether the person asked for the result says `finished`. */
  readonly determination: RecordedDetermination;
  /** When the person asked for the result; absent while they are answering. */
  readonly finished?: string;
  /** What answers are read from. */
  readonly readFrom: ReadFrom;
  /** The text of the record that it was taken from, around this determination. */
  readonly frame?: RecordFrame;
}

/** What a person does with a find. */
export type FindAction =
  /** The number of a lead; absent: can't tell. */
  | { readonly kind: 'answer'; readonly lead?: number }
  | { readonly kind: 'back' }
  /** Takes one answer back and leaves the others. */
  | { readonly kind: 'reconsider'; readonly couplet: string }
  | { readonly kind: 'note' | 'doubt'; readonly text: string }
  | { readonly kind: 'read-from'; readonly from: ReadFrom }
  /** What was seen of a character; undefined = looked, can't tell. */
  | { readonly kind: 'observe'; readonly character: string; readonly value: Value | undefined }
  | ({ readonly kind: 'forget' } & Pick<Observation, 'character' | 'specimen' | 'stage'>)
  | { readonly kind: 'describe'; readonly details: FindDetails }
  | { readonly kind: 'rename'; readonly called: string }
  | { readonly kind: 'photograph'; readonly photograph: Photograph }
  | { readonly kind: 'without-photograph'; readonly file: string }
  | { readonly kind: 'finish' };

const CHANGES_RESULT: ReadonlySet<FindAction['kind']> = new Set([
  ...(['answer', 'back', 'reconsider', 'observe', 'forget'] as const),
]);

/** A find that is being keyed out, and what the person has to know of how it came here. */
export class OpenFind {
  readonly keying: Keying;
  readonly news: readonly string[];
  /** The revision that the store is known to hold, 0 where it holds none; Infinity where nothing of it is to be kept any more. */
  stored = 0;
  #kept: KeptFind;
  #finished: Date | undefined;

  private constructor(kept: KeptFind, { keying, news }: Pick<GoneOn, 'keying' | 'news'>) {
    this.#kept = kept;
    this.keying = keying;
    this.news = news;
    this.#finished = kept.finished === undefined ? undefined : new Date(kept.finished);
    keying.readFromNow(kept.readFrom);
  }

  /** A find of which nothing is known yet. `id` is its name in the store, `called` what people call it. */
  static begin(
    key: CompiledKey,
    program: string,
    { id, called }: { readonly id: string; readonly called: string },
    now: () => Date,
  ): OpenFind {
    let open: OpenFind | undefined;
    const clock = () => open?.finishedAt ?? now();
    const collection: Collection = { id: called, observations: [], choices: [], stages: [], expect: [] };
    const start = { started: now().toISOString(), find: recordFind(collection, key.chain) };
    const keying = new Keying(key, collection, start, program, clock);
    const kept = { id, revision: 0, changed: start.started, determination: keying.record(), readFrom: {} };
    open = new OpenFind(kept, { keying, news: [] });
    return open;
  }

  /** Goes on with a find. Throws a Failure when it was keyed with another key. */
  static resume(key: CompiledKey, program: string, kept: KeptFind, now: () => Date): OpenFind {
    let open: OpenFind | undefined;
    // The result is worked out anew each time, and stands for the moment at which it was asked for.
    const clock = () => open?.finishedAt ?? now();
    const { determination } = kept;
    const called = determination.collection.id;
    open = new OpenFind(kept, goOnFrom(determination, called, key, { changedKey: true }, program, clock));
    return open;
  }

  get id(): string {
    return this.#kept.id;
  }

  /** What people call it. */
  get called(): string {
    return this.keying.collection.id;
  }

  /** Whether it may be called otherwise: a record that it was taken in from keeps its own name. */
  get mayBeRenamed(): boolean {
    return this.#kept.frame === undefined;
  }

  get key(): CompiledKey {
    return this.keying.key;
  }

  /** Whether the person asked for the result, and has answered nothing since. */
  get isFinished(): boolean {
    return this.#finished !== undefined;
  }

  get finishedAt(): Date | undefined {
    return this.#finished;
  }

  get kept(): KeptFind {
    return this.#kept;
  }

  /** Does what the person asked for; what is to be kept then is what it gives. */
  act(action: FindAction, now: Date): KeptFind {
    const { keying } = this;
    // Only answers and evidence change a result.
    if (CHANGES_RESULT.has(action.kind)) this.#finished = undefined;
    switch (action.kind) {
      case 'answer':
        keying.answer(action.lead);
        break;
      case 'back':
        keying.back();
        break;
      case 'reconsider':
        keying.takeBack(action.couplet);
        break;
      case 'note':
        keying.setNote(action.text);
        break;
      case 'doubt':
        keying.setDoubt(action.text);
        break;
      case 'read-from':
        keying.readFromNow(action.from);
        break;
      case 'observe':
        keying.observe(action.character, action.value);
        break;
      case 'forget':
        keying.forget(action);
        break;
      case 'describe':
        keying.describe(action.details);
        break;
      case 'rename':
        keying.rename(action.called);
        break;
      case 'photograph':
        keying.photograph(action.photograph);
        break;
      case 'without-photograph':
        keying.withoutPhotograph(action.file);
        break;
      case 'finish':
        this.#finished = now;
    }
    const { id, revision, frame } = this.#kept;
    this.#kept = {
      id,
      revision: revision + 1,
      changed: now.toISOString(),
      determination: keying.record(),
      readFrom: keying.readFrom,
      ...defined({ finished: this.#finished?.toISOString(), frame }),
    };
    return this.#kept;
  }

  /** The determination for a record file: with its result where the person asked for it. */
  recorded(): RecordedDetermination {
    if (this.#finished !== undefined) this.keying.finish();
    return this.keying.record();
  }

  /** What the find comes to with what is known now. */
  result(): { readonly found: Determination; readonly words: KeyingWords } {
    const { keying } = this;
    return {
      found: keying.finish(),
      words: {
        open: keying.standing.open,
        doubted: keying.doubted.map((a) => `${coupletName(a.couplet)}${a.lead}`),
      },
    };
  }

  /** The same with what it rests on, and what to look at next. */
  analysis() {
    const { found, words } = this.result();
    return { analysis: analyse(found), words };
  }
}
