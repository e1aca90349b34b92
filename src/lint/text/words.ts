/** The words of one language that the wording rules know. Everything in lower case. */
export interface Words {
  readonly articles: readonly string[];
  readonly copulas: readonly string[];
  readonly and: readonly string[];
  readonly or: readonly string[];
  /** `of`, `in`, `on` ... */
  readonly prepositions: readonly string[];
  /** Words that can come between a part and its state without changing what is said: `wholly`, `always`. */
  readonly fillers: readonly string[];
  readonly negations: readonly string[];
  /** Words that tie a state to an age or a change: what is said need not contradict another state. */
  readonly changes: readonly string[];
  /** Words that say that a part is present or absent; and words that introduce a part that is present or absent. */
  readonly present: readonly string[];
  readonly absent: readonly string[];
  readonly with: readonly string[];
  readonly without: readonly string[];

  /** `usually`, `more or less`. */
  readonly hedges: readonly string[];
  /** Words of size that mean nothing without something to compare with, in all their forms. */
  readonly relative: readonly string[];
  /** Words that introduce the thing to compare with. */
  readonly referents: readonly string[];
  /** Words that a lead should not begin with. */
  readonly negativeOpenings: readonly string[];
  /** The whole text of a lead that only refuses the others. */
  readonly refusals: readonly RegExp[];
  /** `except`, `unless`; and words for species that are not named. */
  readonly exceptions: readonly string[];
  readonly unnamedSpecies: readonly string[];
  /** `mit Ausnahme` and the like open a question when a lead begins with one of these. */
  readonly questions: readonly string[];

  readonly decimalComma: boolean;
  readonly numbers: Readonly<Record<string, number>>;
  /** Number words that often are not numbers: they count only after a comparison, or before a unit. */
  readonly weakNumbers: readonly string[];
  /** `twice`, `three times`: numbers that multiply. */
  readonly multiples: Readonly<Record<string, number>>;
  /** `times` after a number. */
  readonly times: readonly string[];
  readonly before: Readonly<Record<'>' | '>=' | '<' | '<=', readonly string[]>>;
  readonly after: Readonly<Record<'>=' | '<=', readonly string[]>>;
  readonly between: readonly [string, string];
  /** `to` in `5 to 8`. */
  readonly rangeWord: string;
  readonly about: readonly string[];
  /** `wide`, `in diameter`: what may follow a measurement. */
  readonly dimensions: readonly string[];
  readonly units: Readonly<Record<string, string>>;
  /** Words before a number that make it the number of a page, figure or couplet. */
  readonly references: readonly string[];

  /** Words that name no part of the organism: `colour`, `shape`, `number`. */
  readonly generic: readonly string[];
  /** Parts of organisms, with their usual abbreviations: what a statement can be about. */
  readonly parts: readonly string[];
  /** Names of characters that say where an organism is found. */
  readonly places: readonly string[];
  /** How words end that are always short for longer ones: `kegelf.`, `grundst.` */
  readonly abbreviated?: RegExp;
  /** Technical terms that a reader may not know. */
  readonly terms: readonly string[];
}
