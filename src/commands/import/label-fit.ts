/** Whether what looks like a label is one, judged by its place and what came before. */
import type { Item, TextSection } from './draft.js';
import { capitalSystems, company, labelColumns } from './label-stats.js';
import type { Label, LabelReading, System } from './labels.js';
import type { Line } from './lines.js';

/** A label in its place. */
export interface LabelPlace {
  readonly line: Line;
  readonly label: Label;
  readonly reading: LabelReading;
  /** The index of its line. */
  readonly i: number;
  /** The lead above. */
  readonly last: Item | undefined;
  /** Whether any couplet is open. */
  readonly open: boolean;
  /** The highest label of its kind so far. */
  readonly highest: number | undefined;
  /** How many couplets there are so far. */
  readonly couplets: number;
}

/** A number is still a label when others are missing between it and the last one, up to this many. */
const LONGEST_JUMP = 30;

/** The labels that are counted together: numbers with the same letter before them, or one kind of letters. */
export function counterOf(label: Label, reading: LabelReading): string {
  return reading.system === 'number' ? `number${label.value.replace(/\d+$/, '')}` : reading.system;
}

/** Judges the labels of one section. */
export class LabelFit {
  readonly #company: ReadonlyMap<string, number>;
  readonly #columns: ReadonlySet<number>;
  readonly #capitalRest: ReadonlySet<System>;

  constructor(readonly section: TextSection) {
    this.#company = company(section);
    this.#columns = labelColumns(section);
    this.#capitalRest = capitalSystems(section);
  }

  /** Whether there are labels at a column. */
  isColumn(indent: number): boolean {
    return this.#columns.has(indent);
  }

  /** Whether a label may begin a couplet here. */
  mayBegin(at: LabelPlace, mark: number | undefined): boolean {
    const { label, reading, highest, line, last } = at;
    if (!this.isInPlace(at, false)) return false;
    if (reading.system !== 'number') {
      if (reading.ordinal === 1 && (mark ?? 0) === 0) return true;
      if (!label.firm) return at.open && reading.ordinal <= (highest ?? 0) + 1;
      return reading.ordinal <= (highest ?? 0) + 2 || reading.system === 'sign';
    }
    if (highest === undefined) return reading.ordinal <= 1 || label.firm || this.#hasCompany(label, reading);
    if (reading.ordinal === highest + 1) return true;
    // A lead points to it, however many numbers are left out before it.
    if (reading.ordinal > highest && this.#isPointedAt(at)) return true;
    if (!label.firm && mark === undefined) return false;
    if (this.#hasCompany(label, reading) && reading.ordinal - highest <= LONGEST_JUMP + at.couplets)
      return true;
    // A misprinted number: it is where labels are, after a finished lead.
    return (
      label.firm &&
      last?.ended === true &&
      this.isColumn(line.indent) &&
      reading.ordinal - highest <= 2 * LONGEST_JUMP
    );
  }

  #isPointedAt({ label, line }: LabelPlace): boolean {
    const apart = label.firm || (line.blank > 0 && !line.afterPage);
    return (
      apart && this.section.pointed.has(label.value) && /^["“„(]?\p{Lu}/u.test(line.text.slice(label.end))
    );
  }

  #hasCompany(label: Label, reading: LabelReading): boolean {
    const prefix = label.value.replace(/\d+$/, '');
    const near = (n: number) => this.#company.get(`${prefix}${n}`) ?? 0;
    return near(reading.ordinal - 1) > 0 || near(reading.ordinal + 1) > 0 || near(reading.ordinal) > 1;
  }

  /** Whether what looks like a label is where labels are, and not by chance at the beginning of a filled line. */
  isInPlace({ line, label, reading, i, last }: LabelPlace, sibling: boolean): boolean {
    const rest = line.text.slice(label.end);
    if (
      this.#capitalRest.has(reading.system) &&
      /^\p{Ll}/u.test(rest) &&
      (reading.system !== 'number' || !label.firm)
    )
      return false;
    if (label.firm && (reading.system === 'number' || sibling)) return true;
    if (last === undefined || last.ended || line.blank > 0) return true;
    if (label.firm) return this.isColumn(line.indent) || line.indent !== last.pieces.at(-1)?.column;
    if (this.section.wordEnd(last.pieces)) return true;
    const before = this.section.lines[i - 1];
    return (
      this.isColumn(line.indent) &&
      (before === undefined || line.indent !== last.pieces.at(-1)?.column || last.pieces.length === 1)
    );
  }
}
