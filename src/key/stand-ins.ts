/**
 * What a new or a drafted key holds where its author has not said anything yet. A comment that begins with the mark stands beside each,
 * or above it; the words are known again without it as well.
 */
export const STAND_IN = {
  mark: 'STAND-IN',
  author: 'the authors of this key',
  group: 'organisms of one kind',
  groupOfDraft: 'the taxa of this key',
  /** A code that ISO 3166 leaves to users. */
  region: 'ZZ',
  names: ['Exemplum primum', 'Exemplum secundum'],
} as const;
