/** Joins leads to what they lead to, and says what is wrong or uncertain about each. */
import type { Item, Outline } from './draft.js';
import { faultsOf } from './faults.js';
import {
  anchorName,
  type Linked,
  type LinkedCouplet,
  type LinkedLead,
  leadRemark,
  type Remark,
} from './linked.js';
import { isApart, scoreOf } from './score.js';
import { isHeadingText } from './sections.js';
import type { SplitLead } from './split-lead.js';
import type { ImportedEnd } from './targets.js';

/** Joins the leads of an outline to their targets. `part` splits a lead's lines into words and end. */
export function link(outline: Outline, part: (item: Item) => SplitLead): Linked {
  return new Linker(outline, part).link();
}

/** Whether an end names a group of which a couplet below may treat, and not a taxon with its number or page in the book. */
function isGroup(end: ImportedEnd): boolean {
  if (end.page !== undefined || end.before !== undefined || end.after !== undefined) return false;
  return end.names.every((n) => GROUPS.has(n.rank ?? '') && n.authority === undefined);
}

const GROUPS: ReadonlySet<string> = new Set([
  'class',
  'order',
  'suborder',
  'superfamily',
  'family',
  'subfamily',
  'tribe',
  'subtribe',
  'section',
  'subsection',
  'subgenus',
  'series',
  'group',
]);

class Linker {
  readonly #couplets: LinkedCouplet[];
  readonly #byName = new Map<string, LinkedCouplet>();
  readonly #below = new Map<Item, LinkedCouplet>();
  readonly #anchors = new Map<string, LinkedCouplet>();
  readonly #pointed = new Set<LinkedCouplet>();
  readonly #places: ReadonlyMap<LinkedCouplet, number>;
  readonly #remarks: Remark[] = [];
  #nested = false;

  constructor(
    readonly outline: Outline,
    part: (item: Item) => SplitLead,
  ) {
    this.#couplets = outline.groups.map((group) => ({
      id: '',
      group,
      leads: group.leads.map((item) => {
        const split = part(item);
        item.split = split;
        if (split.note !== undefined) item.notes = [split.note];
        return { item, words: split.words, how: split.how, target: { kind: 'none' } };
      }),
    }));
    this.#places = new Map(this.#couplets.map((couplet, i) => [couplet, i]));
    for (const couplet of this.#couplets) {
      const { name, under, leads } = couplet.group;
      if (name !== undefined && !this.#byName.has(name)) this.#byName.set(name, couplet);
      if (outline.layout === 'serial')
        for (const { label } of leads) if (label !== undefined) this.#byName.set(label.value, couplet);
      if (under !== undefined) this.#below.set(under, couplet);
      for (const line of leads[0]?.loose ?? [])
        if (isHeadingText(line.text)) this.#anchors.set(anchorName(line.text), couplet);
    }
  }

  link(): Linked {
    this.#nested = this.#isNested();
    this.#nameCouplets();
    for (const lead of this.#leads()) this.#linkPrinted(lead);
    for (const couplet of this.#couplets) for (const lead of couplet.leads) this.#linkOthers(couplet, lead);
    for (const fault of faultsOf(this.outline, this.#couplets, this.#byName)) this.#remarks.push(fault);
    for (const { line, what } of this.outline.oddities)
      this.#remarks.push({ rule: 'label-follows', level: 'warning', line, message: what });
    return {
      outline: this.outline,
      couplets: this.#couplets,
      remarks: this.#remarks,
      nested: this.#nested,
      score: scoreOf(this.outline, this.#couplets, this.#remarks),
    };
  }

  *#leads(): Iterable<LinkedLead> {
    for (const couplet of this.#couplets) yield* couplet.leads;
  }

  /** Nested: the leads of a couplet have other couplets between them, or nothing points anywhere. */
  #isNested(): boolean {
    const { outline } = this;
    if (this.#points()) return false;
    if (outline.layout === 'indented' || outline.layout === 'serial' || !this.#pointsAtAll()) return true;
    return isApart(this.outline, this.#couplets);
  }

  /** Whether any lead ends in the number of a couplet. */
  #pointsAtAll(): boolean {
    for (const { item } of this.#leads()) {
      const pointer = item.split?.end?.pointer;
      if (pointer !== undefined && this.#byName.has(pointer)) return true;
    }
    return false;
  }

  #points(): boolean {
    let pointers = 0;
    let all = 0;
    for (const { item } of this.#leads()) {
      all++;
      if (item.split?.end?.pointer !== undefined) pointers++;
    }
    return pointers * 4 >= all;
  }

  #linkPrinted(lead: LinkedLead): void {
    const end = lead.item.split?.end;
    if (end?.several !== undefined) lead.target = { kind: 'several', printed: end.several };
    else if (end?.pointer !== undefined) {
      const couplet = this.#byName.get(end.pointer);
      if (couplet === undefined) lead.target = { kind: 'nowhere', printed: end.pointer, end };
      else {
        lead.target = { kind: 'couplet', couplet, via: 'printed', end };
        this.#pointed.add(couplet);
      }
    } else if (end?.key !== undefined) {
      const couplet = this.#anchors.get(anchorName(end.key));
      if (couplet !== undefined) {
        lead.target = { kind: 'couplet', couplet, via: 'printed', end };
        this.#pointed.add(couplet);
      } else lead.target = { kind: 'key', name: end.key, end };
    }
  }

  #linkOthers(couplet: LinkedCouplet, lead: LinkedLead): void {
    if (lead.target.kind !== 'none') return;
    const { end, guess } = lead.item.split as SplitLead;
    const below = this.#below.get(lead.item);
    const free = below !== undefined && !this.#pointed.has(below);
    // An end in which no name could be read says no more than no end at all.
    if (end !== undefined && end.names.length > 0) {
      const numbered = end.after === undefined ? undefined : this.#byName.get(end.after);
      if (this.#nested && free && isGroup(end)) {
        lead.target = { kind: 'couplet', couplet: below, via: 'below', end };
        this.#remarks.push(
          leadRemark(
            'target-clear',
            'note',
            lead,
            couplet,
            `${end.names.map((n) => n.name).join(', ')} is at the end, but couplet ${below.id} follows under it; the name is kept as what the couplet is about`,
          ),
        );
      } else if (
        numbered !== undefined &&
        !this.#pointed.has(numbered) &&
        numbered !== couplet &&
        numbered !== this.#couplets[0]
      ) {
        lead.target = { kind: 'couplet', couplet: numbered, via: 'printed', end };
        this.#pointed.add(numbered);
        this.#remarks.push(
          leadRemark(
            'target-clear',
            'warning',
            lead,
            couplet,
            `the number ${end.after} after the name is taken for couplet ${end.after}, to which nothing else leads; it may be a page`,
          ),
        );
      } else lead.target = { kind: 'taxa', end, via: 'printed' };
      return;
    }
    if (below !== undefined && (this.#nested || this.#serial)) {
      lead.target = { kind: 'couplet', couplet: below, via: 'below' };
      return;
    }
    const back = this.#namedBy(couplet, lead);
    if (back !== undefined) {
      lead.target = { kind: 'couplet', couplet: back, via: 'back' };
      this.#pointed.add(back);
      this.#remarks.push(
        leadRemark(
          'target-printed',
          'warning',
          lead,
          couplet,
          `no target is printed; couplet ${back.group.name} says that it is reached from here`,
        ),
      );
      return;
    }
    if (guess !== undefined) {
      const words = { ...lead, words: guess.words };
      Object.assign(lead, words);
      lead.target = { kind: 'taxa', end: guess.end, via: 'guess' };
      this.#remarks.push(
        leadRemark(
          'target-clear',
          'warning',
          lead,
          couplet,
          `the last words are taken for the name at the end: ${guess.end.names.map((n) => n.name).join(', ')}`,
        ),
      );
      return;
    }
    const next = this.#couplets[(this.#places.get(couplet) ?? 0) + 1];
    const others = couplet.leads.filter(
      (l) => l !== lead && l.item.split?.end === undefined && l.item.split?.guess === undefined,
    );
    if (
      next !== undefined &&
      !this.#pointed.has(next) &&
      others.length === 0 &&
      next.group.back.length === 0
    ) {
      lead.target = { kind: 'couplet', couplet: next, via: 'next' };
      this.#pointed.add(next);
      this.#remarks.push(
        leadRemark(
          'target-printed',
          'warning',
          lead,
          couplet,
          `no target is printed; taken to lead to the next couplet, ${next.group.name ?? 'below'}`,
        ),
      );
    }
  }

  get #serial(): boolean {
    return this.outline.layout === 'serial';
  }

  /** The couplet whose back-reference names this lead, when nothing points to it. */
  #namedBy(couplet: LinkedCouplet, lead: LinkedLead): LinkedCouplet | undefined {
    const own = couplet.group.name;
    if (own === undefined) return undefined;
    const letter = String.fromCharCode(97 + couplet.leads.indexOf(lead));
    const found = (this.#backs.get(own) ?? []).filter(
      ({ couplet: c, letter: l }) => !this.#pointed.has(c) && (l === undefined || l === letter),
    );
    return found.length === 1 ? found[0]?.couplet : undefined;
  }

  #backsKnown: Map<string, { couplet: LinkedCouplet; letter: string | undefined }[]> | undefined;

  get #backs() {
    if (this.#backsKnown !== undefined) return this.#backsKnown;
    const backs = new Map<string, { couplet: LinkedCouplet; letter: string | undefined }[]>();
    for (const couplet of this.#couplets) {
      for (const back of couplet.group.back) {
        const m = /^([A-Z]?\d+)([a-h])?/.exec(back);
        if (m === null) continue;
        const at = backs.get(m[1] as string) ?? [];
        at.push({ couplet, letter: m[2] });
        backs.set(m[1] as string, at);
      }
    }
    this.#backsKnown = backs;
    return backs;
  }

  /** Gives every couplet an id: its printed name where it has one of its own. */
  #nameCouplets(): void {
    const printed = this.#pointsAtAll() || this.outline.layout !== 'outline';
    const used = new Set<string>();
    const named =
      printed &&
      this.#couplets.some(
        ({ group }) => group.name !== undefined && (group.name !== '0' || group.system !== undefined),
      );
    if (named)
      for (const c of this.#couplets)
        if (c.group.name !== undefined && !c.group.again) used.add(c.group.name);
    const given = new Set<string>();
    const counts = new Map<string, number>();
    let running = 0;
    for (const couplet of this.#couplets) {
      const { name } = couplet.group;
      if (!named) couplet.id = String(++running);
      else if (name !== undefined && !given.has(name)) couplet.id = name;
      else {
        const base = name ?? 'n';
        let n = counts.get(base) ?? (name === undefined ? 1 : 2);
        const form = () => (name === undefined ? `${base}${n}` : `${base}.${n}`);
        while (used.has(form())) n++;
        couplet.id = form();
        counts.set(base, n + 1);
        used.add(couplet.id);
      }
      given.add(couplet.id);
    }
  }
}
