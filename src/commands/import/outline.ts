/** Reads the leads and couplets of a section by their labels, under one assumption about how the labels are meant. */
import { FAR_RIGHT, type Group, type Item, type Layout, type Outline, type TextSection } from './draft.js';
import { addEnd, belongsToEnded, endsSentence, isUnfinished, piece, questionOf } from './items.js';
import { counterOf, LabelFit, type LabelPlace } from './label-fit.js';
import { keyOf, styleOf } from './label-stats.js';
import type { Label, LabelReading, System } from './labels.js';
import type { Line } from './lines.js';
import { fitsMark, type OpenCouplet, OpenCouplets, takesFirstLetter } from './open-couplets.js';
import { Paragraphs } from './paragraphs.js';
import { isHeading } from './sections.js';

/**
 * How labels are meant. `same`: the leads of a couplet carry the same label (1 1, 1a 1b, a aa). `next`: they carry
 * labels that follow each other (A B, I II III).
 */
export type Meaning = 'same' | 'next';

/** One assumption about a section. */
export interface Assumption {
  readonly layout: Layout;
  readonly systems: ReadonlyMap<System, Meaning>;
  /** Leads after the first of a couplet may have no label at all. */
  readonly unlabelled: boolean;
}

/** Reads a section under an assumption. */
export function readOutline(section: TextSection, assumption: Assumption): Outline {
  return new OutlineReader(section, assumption).read();
}

/** Leads of more lines are not looked through line by line. */
const LONGEST = 12;

class OutlineReader {
  readonly #items: Item[] = [];
  readonly #groups: Group[] = [];
  readonly #oddities: { line: number; what: string }[] = [];
  readonly #open = new OpenCouplets();
  readonly #seen = new Set<string>();
  readonly #highest = new Map<string, number>();
  readonly #fit: LabelFit;
  readonly #paragraphs: Paragraphs;
  #loose: Line[] = [];
  #looseRuns = false;

  constructor(
    readonly section: TextSection,
    readonly assumption: Assumption,
  ) {
    this.#fit = new LabelFit(section);
    this.#paragraphs = new Paragraphs(section, (label) =>
      label.readings.some((r) => assumption.systems.has(r.system)),
    );
  }

  read(): Outline {
    const { lines, labels } = this.section;
    lines.forEach((line, i) => {
      const label = labels[i];
      if (isHeading(lines, i, label, this.section.ended[i] ?? false)) {
        this.#loose.push(line);
        this.#looseRuns = true;
        return;
      }
      if (label !== undefined && this.#begin(line, label, i)) return;
      if (this.assumption.unlabelled && this.#beginsUnlabelled(line, i)) {
        this.#addUnlabelled(line, i);
        return;
      }
      this.#continue(line, i);
    });
    return {
      layout: this.assumption.layout,
      groups: this.#groups,
      items: this.#items,
      after: this.#loose,
      oddities: this.#oddities,
    };
  }

  get #last(): Item | undefined {
    return this.#items[this.#items.length - 1];
  }

  get #top(): OpenCouplet | undefined {
    return this.#open.top;
  }

  /** A label in its place, with what was read so far. */
  #at(line: Line, label: Label, reading: LabelReading, i: number): LabelPlace {
    return {
      line,
      label,
      reading,
      i,
      last: this.#last,
      open: this.#top !== undefined,
      highest: this.#highest.get(counterOf(label, reading)),
      couplets: this.#groups.length,
    };
  }

  /** Begins a lead when the label fits what came before; false when it is not a label. */
  #begin(line: Line, label: Label, i: number): boolean {
    for (const reading of this.#inOrder(label)) {
      const meaning = this.assumption.systems.get(reading.system);
      if (reading.system === 'dash') {
        if (this.#beginDash(line, label, i)) return true;
      } else if (
        reading.system === 'decimal' ||
        (reading.system === 'number' && this.assumption.systems.has('decimal'))
      ) {
        if (this.assumption.systems.has('decimal') && this.#beginDecimal(line, label, reading, i))
          return true;
      } else if (meaning === 'same') {
        if (this.#beginSame(line, label, reading, i)) return true;
      } else if (meaning === 'next') {
        if (this.#beginNext(line, label, reading, i)) return true;
      } else if (this.#beginLetterMark(line, label, reading, i)) return true;
    }
    return false;
  }

  /** The readings of a label, the one that continues an open couplet first. */
  #inOrder(label: Label): readonly LabelReading[] {
    if (label.readings.length < 2) return label.readings;
    const follows = (r: LabelReading) => {
      if (this.assumption.systems.get(r.system) === 'same')
        return undefined !== this.#open.withKey(keyOf(label, r)) ? 0 : 2;
      const open = this.#open.withStyle(styleOf(label, r)).at(-1);
      return open !== undefined && open.ordinal + 1 === r.ordinal ? 0 : r.ordinal === 1 ? 1 : 2;
    };
    return [...label.readings].sort((a, b) => follows(a) - follows(b));
  }

  #beginSame(line: Line, label: Label, reading: LabelReading, i: number): boolean {
    const key = keyOf(label, reading);
    const open = this.#open.withKey(key);
    const mark = label.mark ?? (label.times > 1 ? label.times - 1 : undefined);
    if (open !== undefined) {
      if (fitsMark(open, mark)) {
        if (!this.#fit.isInPlace(this.#at(line, label, reading, i), true)) return false;
        this.#sibling(open, line, label, i, mark);
        return true;
      }
      return this.#repeated(line, label, reading, i, key, mark);
    }
    if (this.#seen.has(key) && reading.system === 'number')
      return this.#repeated(line, label, reading, i, key, mark);
    if (!this.#fit.mayBegin(this.#at(line, label, reading, i), mark)) return false;
    this.#begins(key, styleOf(label, reading), label, reading, line, i, mark, false);
    return true;
  }

  /** A number that is already used up: a misprint, or not a label. */
  #repeated(
    line: Line,
    label: Label,
    reading: LabelReading,
    i: number,
    key: string,
    mark: number | undefined,
  ): boolean {
    if (
      !label.firm ||
      !this.#fit.isColumn(line.indent) ||
      !this.#fit.isInPlace(this.#at(line, label, reading, i), false)
    )
      return false;
    this.#begins(key, styleOf(label, reading), label, reading, line, i, mark, true);
    return true;
  }

  #beginNext(line: Line, label: Label, reading: LabelReading, i: number): boolean {
    if (label.mark !== undefined && label.mark > 0 && reading.system !== 'number') return false;
    const style = styleOf(label, reading);
    if (!this.#fit.isInPlace(this.#at(line, label, reading, i), false)) return false;
    const opens = this.#open.withStyle(style);
    const follows = (o: OpenCouplet) => o.ordinal + 1 === reading.ordinal;
    // The same letters may serve at several depths: then the indent shows which are meant.
    const found = opens.findLast((o) => follows(o) && o.indent === line.indent) ?? opens.findLast(follows);
    if (found !== undefined) {
      found.ordinal = reading.ordinal;
      this.#sibling(found, line, label, i, undefined);
      return true;
    }
    // A part of a text may go on with the numbers of the part before it.
    const first = this.#groups.length === 0 && reading.system === 'number' && label.firm;
    if (reading.ordinal === 1 || first) {
      this.#begins(`${style}#${this.#groups.length}`, style, label, reading, line, i, undefined, false);
      return true;
    }
    const skipped = opens.at(-1);
    if (skipped === undefined || !label.firm || reading.ordinal <= skipped.ordinal) return false;
    if (reading.ordinal - skipped.ordinal > 2 || Math.abs(skipped.indent - line.indent) > 1) return false;
    this.#oddities.push({
      line: line.number,
      what: `${label.printed} follows, but the label before it was expected`,
    });
    skipped.ordinal = reading.ordinal;
    this.#sibling(skipped, line, label, i, undefined);
    return true;
  }

  #beginDecimal(line: Line, label: Label, reading: LabelReading, i: number): boolean {
    const prefix = label.value.includes('.') ? label.value.replace(/\.\d+$/, '') : '';
    const key = `decimal:${prefix}`;
    const open = this.#open.withKey(key);
    if (open !== undefined && reading.ordinal > open.ordinal) {
      open.ordinal = reading.ordinal;
      this.#sibling(open, line, label, i, undefined);
      return true;
    }
    if (reading.ordinal !== 1) return false;
    this.#begins(
      key,
      key,
      { ...label, value: label.value },
      reading,
      line,
      i,
      undefined,
      this.#seen.has(key),
    );
    return true;
  }

  /** `1a ... b ...`, `1. a) ... b) ...`: the second lead has only its letter. */
  #beginLetterMark(line: Line, label: Label, reading: LabelReading, i: number): boolean {
    if (reading.system !== 'lower' && reading.system !== 'upper') return false;
    if (label.times > 1) return false;
    const last = this.#last;
    const top = this.#top;
    if (reading.ordinal === 1 && last !== undefined && top !== undefined && takesFirstLetter(last, top)) {
      last.mark = 0;
      last.markSystem = reading.system;
      top.mark = 0;
      top.markSystem = reading.system;
      last.pieces.push(piece(line, label.end));
      addEnd(last, line, this.section.ended[i]);
      last.lastLine = line;
      return true;
    }
    for (const open of this.#open.outward()) {
      if (open.markSystem !== reading.system || open.mark === undefined || open.mark + 2 !== reading.ordinal)
        continue;
      if (!label.firm && !(last?.ended === true || line.blank > 0 || line.indent <= open.indent + 8))
        return false;
      this.#sibling(open, line, label, i, reading.ordinal - 1);
      return true;
    }
    return false;
  }

  #beginDash(line: Line, label: Label, i: number): boolean {
    if (!this.assumption.systems.has('dash')) return false;
    const top = this.#top;
    if (top === undefined) return false;
    const last = this.#last as Item;
    // A list below the key is not one of its leads: after other text, a further lead must end somewhere.
    if (this.#looseRuns && top.group.leads.length >= 2 && !this.#paragraphs.hasEnd(i)) return false;
    const rest = line.text.slice(label.end);
    if (!last.ended && line.blank === 0 && /^\p{Ll}/u.test(rest)) return false;
    if (this.#open.atOwnIndent(line.indent) !== undefined) {
      this.#sibling(this.#open.forDash(line.indent) as OpenCouplet, line, label, i, undefined);
      return true;
    }
    const under = top.group.system;
    if (
      !last.ended &&
      last === top.group.leads.at(-1) &&
      line.indent > last.indent &&
      under !== 'number' &&
      under !== 'dash' &&
      this.assumption.layout === 'outline'
    ) {
      this.#begins(
        `dash#${this.#groups.length}`,
        'dash',
        label,
        label.readings[0],
        line,
        i,
        undefined,
        false,
      );
      return true;
    }
    const target = this.#open.forDash(line.indent) ?? top;
    this.#sibling(target, line, label, i, undefined);
    return true;
  }

  #sibling(
    open: OpenCouplet,
    line: Line,
    label: Label | undefined,
    i: number,
    mark: number | undefined,
  ): void {
    this.#open.returnTo(open);
    if (label === undefined && open.group.leads.length === 1 && open.stem === undefined) {
      const question = questionOf(open.group.leads[0]);
      if (question !== undefined) open.stem = question;
    }
    const item = this.#newItem(line, label, i, mark ?? open.group.leads.length);
    if (open.stem !== undefined) item.pieces.unshift(...open.stem);
    open.group.leads.push(item);
    open.mark = mark ?? (open.mark === undefined ? undefined : open.mark + 1);
    if (label?.markSystem !== undefined) open.markSystem = label.markSystem;
  }

  #begins(
    key: string,
    style: string,
    label: Label | undefined,
    reading: LabelReading | undefined,
    line: Line,
    i: number,
    mark: number | undefined,
    again: boolean,
  ): void {
    const under = this.#last;
    const item = this.#newItem(line, label, i, mark ?? 0);
    const meaning = reading === undefined ? undefined : this.assumption.systems.get(reading.system);
    const group: Group = {
      name:
        label !== undefined && meaning === 'same' && this.#namesCouplet(label, reading)
          ? reading?.system === 'number'
            ? label.value
            : label.value[0]
          : label === undefined
            ? '0'
            : undefined,
      system: reading?.system,
      leads: [item],
      under,
      back: label?.back ?? [],
      again,
    };
    const open: OpenCouplet = {
      key,
      style,
      group,
      indent: line.indent,
      ordinal: reading?.ordinal ?? 0,
      mark,
      markSystem: label?.markSystem,
    };
    this.#groups.push(group);
    this.#open.add(open);
    this.#seen.add(key);
    if (reading !== undefined) {
      const counter = label === undefined ? reading.system : counterOf(label, reading);
      this.#highest.set(counter, Math.max(this.#highest.get(counter) ?? 0, reading.ordinal));
    }
  }

  /** Whether a label is the name of its couplet, to which leads can point. */
  #namesCouplet(label: Label, reading: LabelReading | undefined): boolean {
    if (reading?.system === 'number') return true;
    return this.section.context.labels.has(label.value[0] as string);
  }

  #newItem(line: Line, label: Label | undefined, i: number, mark: number): Item {
    const item: Item = {
      pieces: [piece(line, label?.end ?? 0)],
      label,
      mark: label === undefined ? undefined : mark,
      markSystem: label?.markSystem,
      indent: line.indent,
      line,
      lastLine: line,
      ended: this.section.ended[i] ?? false,
      ends: this.section.ended[i] === true ? [line.number] : [],
      suspects: [],
      loose: this.#loose,
    };
    this.#loose = [];
    this.#looseRuns = false;
    this.#items.push(item);
    return item;
  }

  /** Whether a line without a label begins a further lead of the couplet, or the unnumbered opening couplet. */
  #beginsUnlabelled(line: Line, i: number): boolean {
    if (!/^["“„'‘([]?[\p{Lu}\d]/u.test(line.text)) return false;
    const last = this.#last;
    if (last === undefined) return (line.blank > 0 || i === 0) && this.#paragraphs.hasEnd(i);
    if (isUnfinished(last)) return false;
    if (this.#looseRuns && line.blank === 0)
      return this.#paragraphs.hasColumnEnd(i) && this.section.ended[i - 1] === true;
    if (last.ended && this.#isSecond(line, last)) return true;
    if (last.ended || this.#closedByWords(last)) return this.#paragraphs.hasEnd(i);
    if (line.blank > 0 && !line.afterPage) return this.#paragraphs.hasEnd(i);
    // A lead whose end is not printed: the next line begins like a lead, and is level with the words of the first one.
    return false;
  }

  /** A line under an end that has a line of its own, level with the words of a lead that is still alone: its alternative. */
  #isSecond(line: Line, last: Item): boolean {
    const [first, end] = [last.pieces[0], last.pieces.at(-1)];
    if (first === undefined || end === undefined || end === first || this.#top?.group.leads.length !== 1)
      return false;
    return (
      last === this.#top.group.leads[0] &&
      line.indent === first.column &&
      end.column >= first.column + FAR_RIGHT - 4
    );
  }

  #closedByWords(item: Item): boolean {
    const last = item.pieces[item.pieces.length - 1];
    return last !== undefined && this.#paragraphs.endsInWords(item);
  }

  #addUnlabelled(line: Line, i: number): void {
    const top = this.#top;
    if (top === undefined)
      this.#begins('opening', 'opening', undefined, undefined, line, i, undefined, false);
    else this.#sibling(top, line, undefined, i, undefined);
  }

  /** A line that begins no lead: it continues the one above, or belongs to none. */
  #continue(line: Line, i: number): void {
    const last = this.#last;
    const broken = line.blank > 0 && !line.afterPage;
    if (last === undefined || (this.#looseRuns && !(line.afterPage && !last.ended))) {
      this.#loose.push(line);
      return;
    }
    const continues = !broken
      ? !last.ended || belongsToEnded(line, last)
      : !last.ended &&
        (/^[\p{Ll}(]/u.test(line.text) || this.#paragraphs.hasColumnEnd(i) || !endsSentence(last));
    if (!continues) {
      this.#loose.push(line);
      this.#looseRuns = true;
      return;
    }
    const suspect = this.#isSuspect(line, i) || this.#isBelowEnd(line, last);
    last.pieces.push(piece(line, 0));
    last.lastLine = line;
    addEnd(last, line, this.section.ended[i]);
    if (suspect) last.suspects.push(line.number);
  }

  /** A line with a capital under words that already close with a name: it may be a further lead. */
  #isBelowEnd(line: Line, last: Item): boolean {
    return (
      /^["“„(]?\p{Lu}/u.test(line.text) &&
      last.pieces.length <= LONGEST &&
      this.section.surelyEnded(last.pieces)
    );
  }

  /** A line that begins with a label as others do, and was not taken for a lead. */
  #isSuspect(line: Line, i: number): boolean {
    const label = this.section.labels[i];
    if (label === undefined || !/^["“„(]?\p{Lu}/u.test(line.text.slice(label.end))) return false;
    if (!label.firm && (line.blank === 0 || line.afterPage)) return false;
    return label.readings.some((r) => this.assumption.systems.has(r.system));
  }
}
