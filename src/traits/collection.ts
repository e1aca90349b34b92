import type { Place } from '../diagnostic/finding.js';
import type { Value } from './value.js';

/** One thing seen: a character, what it showed (undefined = looked, can't tell), on which specimen, of what age. */
export interface Observation {
  readonly character: string;
  readonly value: Value | undefined;
  readonly specimen?: string;
  readonly stage?: string;
  /** Whoever saw it was not sure of it: it counts for the name, but rules nothing out for the verdict. */
  readonly doubted?: boolean;
}

/** A person's own choice at a couplet: `couplet` is `7`, or `key-id/7` in a chained key. */
export interface Choice {
  readonly couplet: string;
  readonly letter: string;
  /** Only what the lead's condition says of the find counts; it does not rule out the other leads of the couplet. */
  readonly evidenceOnly?: boolean;
  /** The person was not sure of it: it counts for the name, but rules nothing out for the verdict. */
  readonly doubted?: boolean;
  /** The specimen that it was read from; absent where it was told of the whole find. */
  readonly specimen?: string;
  /** The age of that specimen. */
  readonly stage?: string;
}

/** A photograph of a find: its file stands beside, never within, what names it. */
export interface Photograph {
  /** As the person wrote it. */
  readonly file: string;
  /** The specimen that it shows; absent where it shows the whole find. */
  readonly specimen?: string;
  /** What is to be seen on it, in words; absent where not told. */
  readonly caption?: string;
  /** When it was taken; absent where not told. */
  readonly date?: string;
}

/** Specimens of (it is hoped) one taxon from one place and date, and what was seen on them. */
export interface Collection {
  readonly id: string;
  readonly date?: string;
  readonly place?: string;
  readonly region?: string;
  readonly by?: string;
  readonly habitat?: string;
  readonly note?: string;
  readonly photographs?: readonly Photograph[];
  /** How many there were, as it was written. */
  readonly count?: string;
  readonly observations: readonly Observation[];
  readonly choices: readonly Choice[];
  /** The ages of the specimens, where given. */
  readonly stages: readonly string[];
  /** For known specimens: the taxa it is known to be. */
  readonly expect: readonly string[];
  /** What stands in columns that mean nothing to the key, by their names. */
  readonly others?: Readonly<Record<string, string>>;
  /** Where it stands in its file, for messages. */
  readonly origin?: Place;
}
