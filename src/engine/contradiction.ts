import type { Choice } from '../traits/collection.js';

/** The source of what is known and was not seen itself: the lead that a person took, or characters that say that it is there. */
export type Origin =
  | { readonly kind: 'answer'; readonly label: string }
  | { readonly kind: 'implied'; readonly by: readonly number[] };

/** One side of a contradiction: what was seen (characters by number), or the answers. */
export interface Side {
  readonly characters: readonly number[];
  readonly choices: readonly Choice[];
}

/** Things said of one specimen (or of the find as a whole) that cannot all be true. */
export interface Contradiction {
  readonly specimen: string | undefined;
  readonly sides: readonly [Side, Side];
}
