import type { LeadWords } from './couplet-words.js';

/** One answer of a person, with what was asked, so that it can be understood without the key. */
export interface RecordedAnswer {
  /** Its name. */
  readonly couplet: string;
  /** The letter of the lead taken, or `?` for "can't tell". */
  readonly lead: string;
  /** The words of the lead taken; none for "can't tell". */
  readonly says: readonly string[];
  /** The condition of the lead taken. */
  readonly when?: string;
  /** The meaning of that condition, where it is more than its words say. */
  readonly means?: string;
  /** The leads that were not taken; for "can't tell", all of them. */
  readonly beside?: readonly LeadWords[];
  /** The time, as ISO 8601. */
  readonly at: string;
  /** The specimen that it was read from; absent where it was told of the whole find. */
  readonly specimen?: string;
  /** The age of what it was read from; absent where not told. */
  readonly stage?: string;
  /** Why the person was not sure of it. */
  readonly doubt?: string;
  /** Absent where there is none. */
  readonly note?: string;
  /** The couplet and lead in the version of the key that it was given with, where the numbers have changed. */
  readonly from?: string;
  /** Set when only what the lead says of the find counts, since other leads of its couplet have changed. */
  readonly counts?: 'evidence';
}

/** An answer that no longer held when the key had changed: kept, no longer used. */
export interface DroppedAnswer extends RecordedAnswer {
  /** One sentence. */
  readonly why: string;
}
