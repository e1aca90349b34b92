/** A lead split into its words and what it leads to, and what must be known to split it. */
import type { ImportedEnd } from './targets.js';

/** How the end was told from the words, the surest first. */
export type How = 'dots' | 'column' | 'line' | 'sign' | 'words' | 'number' | 'guess';

/** A lead split into its words and its end. */
export interface SplitLead {
  /** The words of the lead. */
  readonly words: string;
  readonly end?: ImportedEnd;
  readonly how?: How;
  /** What is printed in square brackets below the end. */
  readonly note?: string;
  /** Words of the lead stand below the line of its end. */
  readonly above?: boolean;
  /** Why the end may not be whole. */
  readonly doubt?: string;
  /** What the last words would name, if the lead has no other end. */
  readonly guess?: { readonly words: string; readonly end: ImportedEnd };
}

/** What the section as a whole shows about the ends of its leads. */
export interface EndContext {
  /** The numbers that couplets have here. */
  readonly labels: ReadonlySet<string>;
  /** Columns (counted in the raw line) at which several ends begin or stop. */
  readonly columns: Columns;
  /** Lines are filled by spaces between words, so that only a wide gap is a column. */
  readonly justified: boolean;
  /** Whether a number after a single space, at the end of a lead, is where it leads. */
  readonly bare: boolean;
  readonly words: ReadonlySet<string>;
}

/** How many ends begin and stop at each column. */
export interface Columns {
  readonly starts: ReadonlyMap<number, number>;
  readonly stops: ReadonlyMap<number, number>;
}
