import type { Finding } from '../diagnostic/finding.js';
import type { Collection } from '../traits/collection.js';
import type { SeenIds } from './ids.js';
import type { TableNotes } from './notes.js';
import type { Vocabulary } from './vocabulary.js';

/** One collection of a table: what could be read of it, and what is wrong with it. */
export interface Entry {
  readonly collection: Collection;
  /** The line of the file where it begins. */
  readonly line: number;
  /** Mistakes in its rows. With any of them it is not to be identified. */
  readonly findings: readonly Finding[];
  /** Whether it was put together from several files, so that a mistake must say in which it stands. */
  readonly manyFiles?: boolean;
}

/** Reads a table of collections as its text comes in, piece by piece. Never throws for what the text contains. */
export interface TableReader {
  /** Takes in the next piece and gives the collections that are complete by now, in the order of the table. */
  read(piece: string): readonly Entry[];
  /** Says that the text has ended, and gives the last collections. */
  end(): readonly Entry[];
  /** What is wrong with the table as a whole, so far. */
  readonly findings: readonly Finding[];
  /** What whoever gave the table should know though it is no mistake, a sentence each, so far. */
  readonly notes?: readonly string[];
  /** Whether something wrong makes the rest unreadable; the collections given so far are all there are. */
  readonly stopped: boolean;
}

/** What a reader of a table needs to know. */
export interface ReadOptions {
  /** The name of the file, for messages. */
  readonly file: string;
  readonly vocabulary: Vocabulary;
  /** The ids of all tables of the run. */
  readonly seen: SeenIds;
  /** Whether cells of unknown columns are to be reported with their rows. */
  readonly keepGoing?: boolean;
  /** Names of columns that are no characters of this key and are passed over, since other keys know them. */
  readonly passOver?: ReadonlySet<string>;
  /** Where it is noted what was read though it is not written as it should be. */
  readonly notes?: TableNotes;
  /** Whether a column that means nothing is a mistake; else it is passed on. */
  readonly strictColumns?: boolean;
}
