/** A review as it goes on: where the person stands, what was saved, and what is left. */
import { Failure } from '../../../diagnostic/failure.js';
import { replaceText } from '../../../files/out.js';
import { readText } from '../../../files/texts.js';
import { harmless } from '../../../text/harmless.js';
import { inShort, listed } from '../../../text/words.js';
import { type Change, changed } from './change.js';
import { CAUSES, type Cause, causeOf, coupletsLeft, type ReviewedKey, type ReviewReader } from './state.js';

/** What came of a decision. */
export type Decided =
  | { readonly kind: 'saved' }
  /** It cannot be made; nothing was changed. */
  | { readonly kind: 'refused'; readonly problem: string }
  /** Somebody else had changed the file: it was read anew, and the decision was not made. */
  | { readonly kind: 'read anew' };

/** The review of one key file. */
export class ReviewSession {
  #now: ReviewedKey;
  /** The couplets to look at, in order; those that somebody's change adds come at the end. */
  readonly #couplets: string[];
  #at = 0;
  readonly #reviewed = new Set<string>();
  /** What can be taken back: the text before and after a change, and where it was made. */
  readonly #changes: { readonly before: string; readonly after: string; readonly couplet: string }[] = [];

  constructor(
    readonly path: string,
    /** The name of the file, as the person gave it. */
    readonly shown: string,
    readonly read: ReviewReader,
    begin: ReviewedKey,
  ) {
    this.#now = begin;
    this.#couplets = coupletsLeft(begin).map((c) => c.id);
  }

  get now(): ReviewedKey {
    return this.#now;
  }

  /** The couplet to look at; undefined behind the last. */
  get couplet(): string | undefined {
    return this.#couplets[this.#at];
  }

  /** `3 of 17`. */
  get progress(): string {
    return `${this.#at + 1} of ${this.#couplets.length}`;
  }

  /** Why it is shown; undefined once it was looked at. */
  get cause(): Cause | undefined {
    return this.couplet === undefined ? undefined : causeOf(this.#now, this.couplet);
  }

  get size(): number {
    return this.#couplets.length;
  }

  skip(): void {
    if (this.#at < this.#couplets.length) this.#at++;
  }

  /** Goes to the couplet before; false at the first. */
  back(): boolean {
    if (this.#at === 0) return false;
    this.#at--;
    return true;
  }

  /** Makes a decision on the couplet and saves it. Throws a Failure when the file cannot be read or written. */
  decide(change: Change): Decided {
    const { couplet } = this;
    if (couplet === undefined) return { kind: 'refused', problem: 'there is no couplet to decide on' };
    if (this.#readAnew()) return { kind: 'read anew' };
    const result = changed(this.#now, couplet, change, this.read);
    if (!result.ok) return { kind: 'refused', problem: result.problem };
    const before = this.#now.text;
    const after = result.reviewed.text;
    if (after !== before) {
      replaceText(this.path, before, after, harmless(this.shown));
      this.#changes.push({ before, after, couplet });
    }
    this.#now = result.reviewed;
    if (change.kind === 'accept') {
      this.#reviewed.add(couplet);
      this.skip();
    }
    return { kind: 'saved' };
  }

  /** Takes the last change back; undefined when there is none, or the file was changed since. */
  undo(): string | undefined {
    const last = this.#changes.at(-1);
    if (last === undefined || this.#readAnew() || this.#now.text !== last.after) return undefined;
    const before = this.read(last.before);
    if (!before.ok) return undefined;
    replaceText(this.path, last.after, last.before, harmless(this.shown));
    this.#changes.pop();
    this.#now = before.reviewed;
    this.#reviewed.delete(last.couplet);
    const at = this.#couplets.indexOf(last.couplet);
    if (at >= 0) this.#at = at;
    return last.couplet;
  }

  /** Reads the file again where somebody else has changed it. Throws a Failure when it can no longer be reviewed. */
  #readAnew(): boolean {
    const text = readText(this.path, harmless(this.shown));
    if (text === this.#now.text) return false;
    const after = this.read(text);
    if (!after.ok)
      throw new Failure(
        `${harmless(this.shown)} was changed by somebody else meanwhile, and can no longer be read: ${after.findings[0]?.message ?? 'it holds no couplets'}`,
        { hint: 'mend it, then start the review again; what was saved before is in the file' },
      );
    this.#now = after.reviewed;
    this.#changes.length = 0;
    const { couplet } = this;
    const known = new Set(this.#couplets);
    const stay = this.#couplets.filter((id) => after.reviewed.key.couplets.has(id));
    this.#couplets.splice(0, this.#couplets.length, ...stay);
    for (const { id } of coupletsLeft(after.reviewed)) if (!known.has(id)) this.#couplets.push(id);
    const at = couplet === undefined ? this.#couplets.length : this.#couplets.indexOf(couplet);
    this.#at = at >= 0 ? at : Math.min(this.#at, this.#couplets.length);
    return true;
  }

  /** How many couplets were accepted. */
  get reviewed(): number {
    return this.#reviewed.size;
  }

  /** How many are left, and which, by cause. */
  left(): { readonly count: number; readonly text: string } {
    const left = coupletsLeft(this.#now);
    const parts = CAUSES.flatMap((cause) => {
      const ids = left.filter((c) => c.cause === cause).map((c) => c.id);
      return ids.length === 0 ? [] : [`${ids.length} ${LEFT[cause]} (${inShort(ids, 10).join(', ')})`];
    });
    return { count: left.length, text: harmless(listed(parts)) };
  }
}

const LEFT: Readonly<Record<Cause, string>> = {
  doubtful: 'doubtful',
  likely: 'likely',
  proposed: 'with proposals',
  'no end': 'with a lead without an end',
  fault: 'with a fault',
};
