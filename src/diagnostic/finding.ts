import { byCodeUnit } from '../text/words.js';

/** How bad a finding is: an error makes a key unusable, a warning may mislead someone, a note is advice. */
export type Level = (typeof levels)[number];

/** The levels, worst first. */
export const levels = ['error', 'warning', 'note'] as const;

/** A step into a document: the name of a property or the number of an item. */
export type Path = readonly (string | number)[];

/** A point in a text; line and column start at 1, the column counts UTF-16 units, the offset starts at 0. */
export interface Position {
  /** From 1. */
  readonly line: number;
  /** From 1, in UTF-16 units. */
  readonly column: number;
  /** From 0, in UTF-16 units. */
  readonly offset: number;
}

/** A stretch of a file, and the path of the thing that stands there. */
export interface Place {
  /** As the text was called when it was given. */
  readonly file: string;
  /** The thing that stands there; empty for the text as a whole. */
  readonly path: Path;
  /** Its first sign. */
  readonly start: Position;
  /** Just after its last sign. */
  readonly end: Position;
}

/** Another place that belongs to a finding, and how. */
export interface Related {
  /** What it has to do with the finding. */
  readonly message: string;
  /** Where it stands. */
  readonly place: Place;
}

/** A change of a file that puts a finding right. */
export interface Fix {
  /** What it does. */
  readonly title: string;
  /** No two overlap. */
  readonly edits: readonly Edit[];
}

/** Something wrong in a document: one sentence, where, and what else belongs to it. */
export interface Finding {
  /** The id of the rule that is broken. */
  readonly rule: string;
  /** How bad it is. */
  readonly level: Level;
  /** One sentence. */
  readonly message: string;
  /** Where it stands. */
  readonly place: Place;
  /** Absent where nothing else belongs to it. */
  readonly related?: readonly Related[];
  /** The specimen that shows the fault, in words. */
  readonly witness?: string;
  /** What stands there and what was expected, for programs and tests. */
  readonly found?: string;
  /** Absent where no one thing was expected. */
  readonly expected?: string;
  /** The valid word that looks most alike; absent where none does. */
  readonly nearest?: string;
  /** A fix that keeps the meaning; the edits replace parts of the file. */
  readonly fix?: Fix;
}

/** Replace a stretch of a file by a text. */
export interface Edit {
  /** The offset of the first sign to go, from 0 in UTF-16 units. */
  readonly start: number;
  /** The offset just after the last one. */
  readonly end: number;
  /** What comes there. */
  readonly text: string;
}

/** The one total order of findings: file, offset, level (worst first), rule, message. */
export function compareFindings(a: Finding, b: Finding): number {
  return (
    byCodeUnit(a.place.file, b.place.file) ||
    a.place.start.offset - b.place.start.offset ||
    levels.indexOf(a.level) - levels.indexOf(b.level) ||
    byCodeUnit(a.rule, b.rule) ||
    byCodeUnit(a.message, b.message)
  );
}

/** Whether anything found makes the work impossible. */
export function hasErrors(findings: readonly Finding[]): boolean {
  return findings.some((f) => f.level === 'error');
}
