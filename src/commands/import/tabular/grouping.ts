/** Which rows of a table belong together: leads to couplets by their labels, couplets to keys where numbers begin again. */
import { quoted } from '../../../text/harmless.js';
import { type Line, onLine } from '../lines.js';
import type { ImportedEnd } from '../targets.js';
import { isEnded, type LeadRow } from './columns.js';
import type { RowLabel } from './row-label.js';
import { type Cell, rowText, type TableRow } from './table.js';

/** A row, and what is known of its lead besides its cells. */
export interface ReadRow extends LeadRow {
  /** The end, where the file says it by rule. */
  readonly end?: ImportedEnd;
  readonly note?: string;
}

/** A lead while it is put together. */
export interface DraftLead {
  readonly row: ReadRow;
  words: string;
  ends: readonly Cell[];
  lastLine: number;
  loose: Line[];
}

export interface DraftGroup {
  readonly name: string | undefined;
  readonly leads: DraftLead[];
  back: readonly string[];
  readonly again: boolean;
}

export interface Section {
  readonly groups: DraftGroup[];
  readonly heading: string | undefined;
  readonly remarks: {
    readonly line: number;
    readonly level: 'error' | 'warning' | 'note';
    readonly rule: string;
    readonly what: string;
    readonly group?: DraftGroup;
    readonly lead?: DraftLead;
  }[];
  /** Leads that couplets stand under, in the order of the rows. */
  readonly order: DraftLead[];
  after: Line[];
}

export class Grouper {
  readonly sections: Section[] = [];
  #section: Section;
  #current: DraftGroup | undefined;
  #loose: Line[] = [];
  readonly #serial: ReadonlyMap<string, string>;
  readonly #numbered: boolean;
  /** No further lead has a label: they are told by that. */
  readonly #bare: boolean;

  constructor(rows: readonly ReadRow[]) {
    this.#numbered = rows.some((r) => r.label?.couplet !== undefined && !r.label.letters);
    this.#serial = serialPairs(rows);
    const labels = rows.flatMap((r) => r.label ?? []);
    this.#bare =
      labels.every((l) => l.couplet !== undefined && l.mark === undefined) &&
      new Set(labels.map((l) => l.couplet)).size === labels.length;
    this.#section = this.#begin();
    for (const row of rows) this.#add(row);
    this.#section.after = this.#loose;
  }

  #begin(): Section {
    const heading = headingIn(this.#loose);
    const section: Section = { groups: [], heading, remarks: [], order: [], after: [] };
    this.sections.push(section);
    this.#current = undefined;
    return section;
  }

  #add(row: ReadRow): void {
    const label = this.#labelOf(row.label);
    if (label === undefined) this.#addUnlabelled(row);
    else if (label.couplet === undefined) this.#addFurther(row, label);
    else this.#addNumbered(row, label, label.couplet);
  }

  /** Letters alone are the leads of a numbered couplet, or couplets where nothing has a number. */
  #labelOf(label: RowLabel | undefined): RowLabel | undefined {
    if (label?.letters !== true || !this.#numbered) return label;
    return { ...label, couplet: undefined, mark: (label.couplet ?? 'a').toLowerCase().charCodeAt(0) - 97 };
  }

  #addUnlabelled(row: ReadRow): void {
    const group = this.#current;
    const last = group?.leads.at(-1);
    const text = row.words.text;
    if (group === undefined || last === undefined || !/\p{L}{2}/u.test(text)) {
      this.#keep(row);
      return;
    }
    const ended = isEnded(row);
    const open = last.row.end === undefined && !isEnded({ ...last.row, ends: last.ends });
    if (open && (!ended || /^[\p{Ll}(,;]/u.test(text))) {
      last.words = `${last.words} ${text}`.trim();
      last.ends = row.ends;
      last.lastLine = row.row.lastLine;
      this.#say(
        'warning',
        'line-placed',
        row,
        'this row has no label and is read as going on with the lead above',
        group,
        last,
      );
      return;
    }
    if (!ended) {
      this.#keep(row);
      return;
    }
    const lead = this.#push(group, row);
    if ((group.leads.length > 2 && !this.#bare) || open)
      this.#say(
        'warning',
        'label-follows',
        row,
        'this row has no label and is read as a further lead of the couplet above',
        group,
        lead,
      );
  }

  #addFurther(row: ReadRow, label: RowLabel): void {
    const group = this.#current;
    if (group === undefined) {
      this.#keep(row);
      // The head of a column can be a letter.
      if (!label.letters)
        this.#say(
          'error',
          'label-follows',
          row,
          `the label ${quoted(label.printed)} stands under no numbered lead`,
        );
      return;
    }
    const lead = this.#push(group, row);
    if (label.mark !== undefined && label.mark !== group.leads.length - 1)
      this.#say(
        'warning',
        'label-follows',
        row,
        `labelled ${label.printed}, but it is lead ${group.leads.length} of couplet ${group.name}`,
        group,
        lead,
      );
  }

  #addNumbered(row: ReadRow, label: RowLabel, number: string): void {
    const name = this.#serial.get(number) ?? number;
    const mark = label.mark;
    const current = this.#current;
    const known = this.#section.groups.find((g) => g.name === name);
    if (known !== undefined && this.#takes(known, number, mark)) {
      if (known === current || mark === undefined || mark === known.leads.length) {
        const lead = this.#push(known, row);
        if (mark !== undefined && mark > 0 && mark !== known.leads.length - 1)
          this.#say(
            'warning',
            'label-follows',
            row,
            `labelled ${label.printed}, but it is lead ${known.leads.length} of couplet ${name}`,
            known,
            lead,
          );
        if (mark === 0 && known.leads.length > 1)
          this.#say(
            'warning',
            'label-follows',
            row,
            `labelled ${label.printed} like the lead above it`,
            known,
            lead,
          );
        if (known.back.length === 0) known.back = this.#backOf(label);
        return;
      }
    }
    if (mark !== undefined && mark > 0 && current !== undefined && current.leads.length === mark) {
      // The other lead of this couplet with a wrong number: what stands between two couplets belongs to the first.
      const lead = this.#push(current, row);
      this.#say(
        'warning',
        'label-follows',
        row,
        `labelled ${label.printed}, but it stands as lead ${mark + 1} of couplet ${current.name}, which has no other; read as that`,
        current,
        lead,
      );
      return;
    }
    const first = this.#section.groups[0];
    if (known !== undefined && known === first && known.leads.length > 1 && (current?.leads.length ?? 0) > 1)
      this.#section = this.#begin();
    const again = this.#section.groups.some((g) => g.name === name);
    const group: DraftGroup = { name, leads: [], back: this.#backOf(label), again };
    this.#section.groups.push(group);
    this.#current = group;
    this.#push(group, row);
  }

  /** Whether a further lead with the number of a couplet belongs to it, and does not begin the numbers again. */
  #takes(group: DraftGroup, number: string, mark: number | undefined): boolean {
    if (group.leads.length === 1 || (mark !== undefined && mark > 0 && mark === group.leads.length))
      return true;
    // Where dashes or nothing stand before the other leads, a number begins a couplet.
    return (
      group === this.#current &&
      this.#loose.length === 0 &&
      group.leads.every(({ row }) => row.label?.couplet === number || (row.label?.letters ?? false))
    );
  }

  #backOf(label: RowLabel): readonly string[] {
    return this.#serial.size > 0 ? [] : label.back;
  }

  #push(group: DraftGroup, row: ReadRow): DraftLead {
    const lead: DraftLead = {
      row,
      // Dots that lead to the next cell are no words.
      words: row.words.text.replace(/(?:\s*…+|\s*\.{3,}|(?:\s\.){3,})\s*$/u, ''),
      ends: row.ends,
      lastLine: row.row.lastLine,
      loose: this.#loose,
    };
    this.#loose = [];
    group.leads.push(lead);
    this.#section.order.push(lead);
    this.#current = group;
    return lead;
  }

  #keep({ row }: ReadRow): void {
    if (rowText(row) !== '') this.#loose.push(lineOf(row, rowText(row)));
  }

  #say(
    level: 'error' | 'warning' | 'note',
    rule: string,
    row: ReadRow,
    what: string,
    group?: DraftGroup,
    lead?: DraftLead,
  ): void {
    this.#section.remarks.push({
      line: row.row.line,
      level,
      rule,
      what,
      ...(group === undefined ? {} : { group }),
      ...(lead === undefined ? {} : { lead }),
    });
  }
}

/** Serial labels name the other lead of the couplet: `1 (4)` and `4 (1)`. For each number, that of its couplet. */
function serialPairs(rows: readonly ReadRow[]): ReadonlyMap<string, string> {
  const other = new Map<string, string>();
  let all = 0;
  for (const { label } of rows) {
    if (label?.couplet === undefined) continue;
    all++;
    if (label.back.length === 1 && label.mark === undefined)
      other.set(label.couplet, label.back[0] as string);
  }
  const pairs = [...other].filter(([a, b]) => other.get(b) === a && a !== b);
  if (pairs.length < 2 || pairs.length < all * 0.8) return new Map();
  return new Map(pairs.map(([a, b]) => [a, Number(a) < Number(b) ? a : b]));
}

/** The last row above a key, unless it has several cells: those are the heads of columns. */
export function headingIn(loose: readonly Line[]): string | undefined {
  const text = loose.at(-1)?.text;
  return text?.includes(' | ') ? undefined : text;
}

export function lineOf({ line }: TableRow, text: string): Line {
  return { ...onLine(line), raw: text, indent: 0, text, marks: [], blank: 0, afterPage: false };
}
