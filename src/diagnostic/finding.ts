import { byCodeUnit } from '../text/words.js';

/** How bad a finding is: an error makes a key unusable, a warning may mislead someone, a note is advice. */
export type Level = 'error' | 'warning' | 'note';

/** A step into a document: the name of a property or the number of an item. */
export type Path = readonly (string | number)[];

/** A point in a text; line and column start at 1, the column counts UTF-16 units, the offset starts at 0. */
export interface Position {
  readonly line: number;
  readonly column: number;
  readonly offset: number;
}

/** A stretch of a file, and the path of the thing that stands there. */
export interface Place {
  readonly file: string;
  readonly path: Path;
  readonly start: Position;
  readonly end: Position;
}

/** Another place that belongs to a finding, and how. */
export interface Related {
  readonly message: string;
  readonly place: Place;
}

/** Something wrong in a document: one sentence, where, and what else belongs to it. */
export interface Finding {
  readonly rule: string;
  readonly level: Level;
  readonly message: string;
  readonly place: Place;
  readonly related?: readonly Related[];
  /** The specimen that shows the fault, in words. */
  readonly witness?: string;
  /** What stands there and what was expected, for programs and tests. */
  readonly found?: string;
  readonly expected?: string;
  readonly nearest?: string;
  /** A fix that keeps the meaning; the edits replace parts of the file. */
  readonly fix?: { readonly title: string; readonly edits: readonly Edit[] };
}

/** Replace a stretch of a file by a text. */
export interface Edit {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

const RANK: Record<Level, number> = { error: 0, warning: 1, note: 2 };

/** The one total order of findings: file, offset, level (worst first), rule, message. */
export function compareFindings(a: Finding, b: Finding): number {
  return (
    byCodeUnit(a.place.file, b.place.file) ||
    a.place.start.offset - b.place.start.offset ||
    RANK[a.level] - RANK[b.level] ||
    byCodeUnit(a.rule, b.rule) ||
    byCodeUnit(a.message, b.message)
  );
}

/** Whether anything found makes the work impossible. */
export function hasErrors(findings: readonly Finding[]): boolean {
  return findings.some((f) => f.level === 'error');
}
