/** From the rows of a table to couplets: which leads belong together, and what each leads to. */
import { quoted } from '../../../text/harmless.js';
import type { Group, Item } from '../draft.js';
import { faultsOf } from '../faults.js';
import { onLine } from '../lines.js';
import { type Linked, type LinkedCouplet, type LinkedLead, leadRemark, type Remark } from '../linked.js';
import { type ImportedEnd, readEndText } from '../targets.js';
import { type KnownCouplets, readEndCell } from './end-cell.js';
import {
  type DraftGroup,
  type DraftLead,
  Grouper,
  headingIn,
  lineOf,
  type ReadRow,
  type Section,
} from './grouping.js';
import { type Cell, partOf } from './table.js';

/** One key of a table. */
export interface TableKey {
  /** A row above its first lead that has the form of a heading. */
  readonly heading: string | undefined;
  readonly linked: Linked;
}

/** Reads the keys of a table: several where numbers begin again. */
export function readCouplets(rows: readonly ReadRow[], full?: ReadonlyMap<string, string>): TableKey[] {
  const grouper = new Grouper(rows);
  return grouper.sections
    .filter((s) => s.groups.length > 0)
    .map((section) => new Linker(section, full).link());
}

class Linker {
  readonly #couplets: LinkedCouplet[];
  readonly #byName = new Map<string, LinkedCouplet>();
  readonly #remarks: Remark[] = [];
  readonly #leadOf = new Map<DraftLead, LinkedLead>();
  readonly #coupletOf = new Map<DraftGroup, LinkedCouplet>();
  readonly #labels = new Map<string, string>();

  constructor(
    readonly section: Section,
    readonly full: ReadonlyMap<string, string> | undefined,
  ) {
    this.#couplets = section.groups.map((draft) => {
      const leads = draft.leads.map((lead, mark): LinkedLead => {
        const linked: LinkedLead = {
          item: itemOf(lead, mark),
          words: lead.words,
          how: 'dots',
          target: { kind: 'none' },
        };
        this.#leadOf.set(lead, linked);
        return linked;
      });
      const group: Group = {
        name: draft.name,
        system: draft.name !== undefined && /^\d/.test(draft.name) ? 'number' : undefined,
        leads: leads.map((l) => l.item),
        under: undefined,
        back: draft.back,
        again: draft.again,
      };
      const couplet: LinkedCouplet = { id: '', group, leads };
      this.#coupletOf.set(draft, couplet);
      if (draft.name !== undefined && !this.#byName.has(draft.name)) this.#byName.set(draft.name, couplet);
      for (const { row } of draft.leads)
        if (row.label?.couplet !== undefined && draft.name !== undefined) {
          const { couplet: number, mark } = row.label;
          this.#labels.set(number, draft.name);
          if (mark !== undefined) this.#labels.set(`${number}${String.fromCharCode(97 + mark)}`, draft.name);
          this.#labels.set(row.label.printed.replace(/[.)\]:]+$/, ''), draft.name);
        }
      return couplet;
    });
    const used = new Set<string>();
    for (const couplet of this.#couplets) {
      const wanted = couplet.group.name ?? 'start';
      couplet.id = wanted;
      for (let k = 2; used.has(couplet.id); k++) couplet.id = `${wanted}.${k}`;
      used.add(couplet.id);
    }
  }

  link(): TableKey {
    const { groups, remarks, heading, after } = this.section;
    const known: KnownCouplets = {
      full: this.full,
      of: (label) =>
        this.#byName.has(label) ? label : (this.#labels.get(label) ?? this.#labels.get(label.toLowerCase())),
    };
    this.#readEnds(known);
    this.#linkBelow();
    this.#checkBackwards();
    this.#checkStrange();
    for (const { line, level, rule, what, group, lead } of remarks) {
      const couplet = group === undefined ? undefined : this.#coupletOf.get(group);
      const linked = lead === undefined ? undefined : this.#leadOf.get(lead);
      this.#remarks.push(
        couplet !== undefined && linked !== undefined
          ? { ...leadRemark(rule, level, linked, couplet, what), line }
          : { rule, level, line, message: what },
      );
    }
    const items = this.section.order.map((lead) => (this.#leadOf.get(lead) as LinkedLead).item);
    const outline = {
      layout: 'first-numbered',
      groups: this.#couplets.map((c) => c.group),
      items,
      after,
      oddities: [],
    } as const;
    this.#remarks.push(...faultsOf(outline, this.#couplets, this.#byName));
    for (const line of [...items.slice(1).flatMap((i) => i.loose), ...after])
      this.#remarks.push({
        rule: 'line-placed',
        level: 'warning',
        line: line.number,
        message: `belongs to no couplet and is kept as a comment: ${quoted(line.raw)}`,
      });
    return {
      heading: heading ?? (groups.length > 0 ? headingIn(items[0]?.loose ?? []) : undefined),
      linked: { outline, couplets: this.#couplets, remarks: this.#remarks, nested: false, score: 0 },
    };
  }

  *#each(): Iterable<[DraftLead, LinkedLead, LinkedCouplet]> {
    for (const draft of this.section.groups)
      for (const lead of draft.leads)
        yield [lead, this.#leadOf.get(lead) as LinkedLead, this.#coupletOf.get(draft) as LinkedCouplet];
  }

  #readEnds(known: KnownCouplets): void {
    for (const [draft, lead, couplet] of this.#each()) {
      const end =
        draft.row.end ??
        (draft.ends.length > 0
          ? this.#endOf(draft, lead, couplet, known)
          : this.#tailOf(draft, lead, couplet, known));
      if (end === undefined) continue;
      if (end.pointer !== undefined && end.after !== undefined)
        this.#remarks.push(
          leadRemark(
            'target-clear',
            'warning',
            lead,
            couplet,
            `the number ${end.after} behind the words of its end is taken for couplet ${end.pointer}; it may be a page`,
          ),
        );
      if (end.several !== undefined) lead.target = { kind: 'several', printed: end.several };
      else if (end.key !== undefined) lead.target = { kind: 'key', name: end.key, end };
      else if (end.pointer !== undefined) {
        const to = this.#byName.get(end.pointer);
        lead.target =
          to === undefined
            ? { kind: 'nowhere', printed: end.pointer, end }
            : { kind: 'couplet', couplet: to, via: 'printed', end };
      } else if (end.names.length > 0) lead.target = { kind: 'taxa', end, via: 'printed' };
    }
  }

  /** The end in its own cell or cells. */
  #endOf(
    draft: DraftLead,
    lead: LinkedLead,
    couplet: LinkedCouplet,
    known: KnownCouplets,
  ): ImportedEnd | undefined {
    const read = draft.ends.map((cell) => readEndCell(cell, known));
    const unread = draft.ends.filter((_, i) => read[i] === undefined);
    const ends = read.filter((e) => e !== undefined);
    const pointers = ends.filter((e) => e.pointer !== undefined);
    const others = ends.filter((e) => e.pointer === undefined);
    if (ends.length === 0) {
      this.#notRead(draft, lead, couplet, unread);
      return undefined;
    }
    const said = unread.map((c) => c.text);
    if (pointers.length > 1) {
      const numbers = pointers.map((e) => e.pointer as string);
      if (new Set(numbers).size > 1) return { ...(pointers[0] as ImportedEnd), several: numbers.join(', ') };
    }
    const [pointer] = pointers;
    const [first] = others;
    if (pointer !== undefined) {
      const [name] = first?.names ?? [];
      if (first?.names.length === 1 && name !== undefined && name.form > 0)
        return { ...pointer, names: [name], remarks: [...pointer.remarks, ...first.remarks, ...said] };
      return {
        ...pointer,
        remarks: [...pointer.remarks, ...others.flatMap((e) => e.names.map((n) => n.name)), ...said],
      };
    }
    if (others.length > 1) {
      const whole = readEndText(draft.ends.map((c) => c.text).join(' '), [], true);
      if (whole !== undefined && whole.names.length === 1 && whole.form === 2) return whole;
      this.#remarks.push(
        leadRemark(
          'target-clear',
          'warning',
          lead,
          couplet,
          `two cells name an end: ${draft.ends.map((c) => quoted(c.text)).join(' and ')}`,
        ),
      );
    }
    return first === undefined ? undefined : { ...first, remarks: [...first.remarks, ...said] };
  }

  #notRead(draft: DraftLead, lead: LinkedLead, couplet: LinkedCouplet, cells: readonly Cell[]): void {
    const text = cells.map((c) => c.text).join(' | ');
    lead.item.loose = [...lead.item.loose, lineOf(draft.row.row, text)];
    this.#remarks.push(
      leadRemark(
        'lead-ends',
        'error',
        lead,
        couplet,
        `the end ${quoted(text)} is neither a couplet nor a name; it is kept as a comment`,
      ),
    );
  }

  /** The end in the cell of the words: behind dots or an arrow, or a name that the file marks, right at the end. */
  #tailOf(
    draft: DraftLead,
    lead: LinkedLead,
    couplet: LinkedCouplet,
    known: KnownCouplets,
  ): ImportedEnd | undefined {
    const cell = draft.row.words;
    if (!cell.text.startsWith(draft.words)) return undefined;
    const led = [...cell.text.matchAll(/\s*(?:\.{3,}|…+|(?:\s\.){3,}|→|⇒)\s*(?=\S)/gu)].at(-1);
    if (led !== undefined && led.index > 0) {
      const end = readEndCell(partOf(cell, led.index + led[0].length), known);
      if (end !== undefined) {
        this.#cut(lead, cell.text.slice(0, led.index), 'dots');
        return end;
      }
    }
    const number = /^(.*[^\s\d–-])[\s.]\s*(\d{1,4}[a-h]?)\.?$/u.exec(cell.text);
    if (
      number !== null &&
      known.of(number[2] as string) !== undefined &&
      !/(?:fig|figs|see|of|to|or|and|than|with|about|ca)\.?$|[–—-]$/iu.test(number[1] as string)
    ) {
      this.#cut(lead, number[1] as string, 'number');
      return {
        names: [],
        outside: false,
        inPart: false,
        remarks: [],
        form: 2,
        pointer: known.of(number[2] as string) as string,
      };
    }
    const marks = cell.names.length > 0 ? cell.names : cell.italics;
    const last = marks.findLast(
      ([a]) => /[.;:)]\s*$|\s[-–—]\s*$/u.test(cell.text.slice(0, a)) && /^\p{Lu}/u.test(cell.text.slice(a)),
    );
    if (last === undefined) return undefined;
    const end = readEndCell(partOf(cell, last[0]), known);
    if (end === undefined || end.names.length === 0 || end.remarks.length > 1) return undefined;
    this.#cut(lead, cell.text.slice(0, last[0]).replace(/\s[-–—]\s*$/u, ''), 'words');
    this.#remarks.push(
      leadRemark(
        'target-clear',
        'warning',
        lead,
        couplet,
        `no cell holds its end; the name at the end of its words is taken for it: ${end.names.map((n) => n.name).join(', ')}`,
      ),
    );
    return end;
  }

  #cut(lead: LinkedLead, words: string, how: LinkedLead['how']): void {
    Object.assign(lead, { words: words.trim(), how });
  }

  /** In tables where further leads stand below all that belongs to the first, a lead without an end leads to the next row. */
  #linkBelow(): void {
    const { order, groups } = this.section;
    const groupOf = new Map(groups.flatMap((g) => g.leads.map((l) => [l, g] as const)));
    const apart = groups.some(
      (g) =>
        g.leads.length > 1 &&
        order.indexOf(g.leads[1] as DraftLead) - order.indexOf(g.leads[0] as DraftLead) > 1,
    );
    const pointed = [...this.#each()].some(([, lead]) => lead.target.kind === 'couplet');
    if (!apart || pointed) return;
    order.forEach((draft, i) => {
      const lead = this.#leadOf.get(draft) as LinkedLead;
      const next = order[i + 1];
      if (lead.target.kind !== 'none' || draft.ends.length > 0 || next === undefined) return;
      const group = groupOf.get(next);
      if (group === undefined || group.leads[0] !== next || group === groupOf.get(draft)) return;
      lead.target = { kind: 'couplet', couplet: this.#coupletOf.get(group) as LinkedCouplet, via: 'below' };
    });
  }

  /** A key goes on; a lead that goes back may be a misprint, and keying could run in a circle. */
  #checkBackwards(): void {
    const place = new Map(this.#couplets.map((c, i) => [c, i]));
    for (const [draft, lead, couplet] of this.#each()) {
      if (draft.row.end !== undefined || lead.target.kind !== 'couplet' || lead.target.couplet === couplet)
        continue;
      if ((place.get(lead.target.couplet) ?? 0) < (place.get(couplet) ?? 0))
        this.#remarks.push(
          leadRemark(
            'order-forward',
            'warning',
            lead,
            couplet,
            `goes back to couplet ${lead.target.couplet.id}, which stands before it`,
          ),
        );
    }
  }

  /** An end without the form of a scientific name, where nearly all others have it. */
  #checkStrange(): void {
    const ends = [...this.#each()].flatMap(([draft, lead, couplet]) =>
      lead.target.kind === 'taxa' && draft.row.end === undefined
        ? [{ end: lead.target.end, lead, couplet }]
        : [],
    );
    const latin = ends.filter((e) => e.end.form > 0).length;
    for (const { end, lead, couplet } of ends)
      if (end.form === 0 && (latin * 2 > ends.length || !/^[\p{Lu}\d"“„]/u.test(end.names[0]?.name ?? '')))
        this.#remarks.push(
          leadRemark(
            'target-clear',
            'warning',
            lead,
            couplet,
            `the end does not look like a scientific name: ${end.names.map((n) => n.name).join(', ')}`,
          ),
        );
  }
}

function itemOf(lead: DraftLead, mark: number): Item {
  const { row } = lead;
  return {
    pieces: [],
    ends: [],
    suspects: [],
    label:
      row.label === undefined
        ? undefined
        : {
            printed: row.label.printed,
            readings: [{ system: 'number', ordinal: 0 }],
            times: 1,
            mark,
            markSystem: 'lower',
            value: row.label.printed,
            back: [],
            firm: true,
            dress: '',
            end: 0,
          },
    mark,
    markSystem: 'lower',
    indent: 0,
    line: onLine(row.row.line),
    lastLine: onLine(lead.lastLine),
    ended: true,
    loose: lead.loose,
    figures: row.words.figures,
    ...(row.note === undefined ? {} : { notes: [row.note] }),
  };
}
