/** Joins leads to what they lead to, and says what is wrong or uncertain with each. */
import type { Group, Item, Outline } from './draft.js';
import type { How, Parted } from './ends.js';
import { isHeadingText } from './sections.js';
import type { End } from './targets.js';

/** How a lead's target is known. */
export type Via = 'printed' | 'below' | 'next' | 'back' | 'guess';

/** Where a lead goes on. */
export type Target =
  | { readonly kind: 'couplet'; readonly couplet: LinkedCouplet; readonly via: Via; readonly end?: End }
  | { readonly kind: 'taxa'; readonly end: End; readonly via: Via }
  | { readonly kind: 'key'; readonly name: string; readonly end: End }
  | { readonly kind: 'nowhere'; readonly printed: string; readonly end: End }
  | { readonly kind: 'several'; readonly printed: string }
  | { readonly kind: 'none' };

export interface LinkedLead {
  readonly item: Item;
  readonly words: string;
  readonly how: How | undefined;
  target: Target;
}

export interface LinkedCouplet {
  id: string;
  readonly group: Group;
  readonly leads: LinkedLead[];
}

/** Something to tell the author, at a line of the text. */
export interface Remark {
  readonly rule: string;
  readonly level: 'error' | 'warning' | 'note';
  readonly line: number;
  readonly message: string;
  /** The couplet whose confidence it lowers. */
  readonly couplet?: LinkedCouplet;
}

export interface Linked {
  readonly outline: Outline;
  readonly couplets: readonly LinkedCouplet[];
  readonly remarks: readonly Remark[];
  /** Leads stand under the lead that they follow, not under numbers that point to them. */
  readonly nested: boolean;
  readonly score: number;
}

/** Joins the leads of an outline to their targets. `part` takes a lead's lines apart into words and end. */
export function link(outline: Outline, part: (item: Item) => Parted): Linked {
  return new Linker(outline, part).link();
}

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
    part: (item: Item) => Parted,
  ) {
    this.#couplets = outline.groups.map((group) => ({
      id: '',
      group,
      leads: group.leads.map((item) => {
        const parted = part(item);
        item.parted = parted;
        return { item, words: parted.words, how: parted.how, target: { kind: 'none' } };
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
    this.#checkCouplets();
    this.#checkReach();
    for (const { line, what } of this.outline.oddities)
      this.#remarks.push({ rule: 'label-follows', level: 'warning', line, message: what });
    return {
      outline: this.outline,
      couplets: this.#couplets,
      remarks: this.#remarks,
      nested: this.#nested,
      score: this.#score(),
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
    return this.#isApart();
  }

  /** Whether the leads of some couplet have other couplets between them. */
  #isApart(): boolean {
    const place = new Map(this.outline.items.map((item, i) => [item, i]));
    return this.#couplets.some(({ group: { leads } }) =>
      leads.some((item, i) => i > 0 && place.get(item) !== (place.get(leads[i - 1] as Item) ?? 0) + 1),
    );
  }

  /** Whether any lead ends in the number of a couplet. */
  #pointsAtAll(): boolean {
    for (const { item } of this.#leads()) {
      const pointer = item.parted?.end?.pointer;
      if (pointer !== undefined && this.#byName.has(pointer)) return true;
    }
    return false;
  }

  #points(): boolean {
    let pointers = 0;
    let all = 0;
    for (const { item } of this.#leads()) {
      all++;
      if (item.parted?.end?.pointer !== undefined) pointers++;
    }
    return pointers * 4 >= all;
  }

  #linkPrinted(lead: LinkedLead): void {
    const end = lead.item.parted?.end;
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
    const { end, guess } = lead.item.parted as Parted;
    const below = this.#below.get(lead.item);
    const free = below !== undefined && !this.#pointed.has(below);
    if (end !== undefined) {
      const numbered = end.after === undefined ? undefined : this.#byName.get(end.after);
      if (this.#nested && free) {
        lead.target = { kind: 'couplet', couplet: below, via: 'below', end };
        const species = end.names.some(
          (n) => n.name.includes(' ') && n.rank !== 'section' && n.rank !== 'subgenus',
        );
        this.#remark(
          'target-clear',
          species ? 'warning' : 'note',
          lead,
          couplet,
          `${end.names.map((n) => n.name).join(', ')} stands at the end, yet couplet ${below.id} follows under it; the name is kept as what the couplet is about`,
        );
      } else if (
        numbered !== undefined &&
        !this.#pointed.has(numbered) &&
        numbered !== couplet &&
        numbered !== this.#couplets[0]
      ) {
        lead.target = { kind: 'couplet', couplet: numbered, via: 'printed', end };
        this.#pointed.add(numbered);
        this.#remark(
          'target-clear',
          'warning',
          lead,
          couplet,
          `the number ${end.after} behind the name is taken for couplet ${end.after}, to which nothing else leads; it may be a page`,
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
      this.#remark(
        'target-printed',
        'warning',
        lead,
        couplet,
        `no target is printed; couplet ${back.group.name} says that it is reached from here`,
      );
      return;
    }
    if (guess !== undefined) {
      const words = { ...lead, words: guess.words };
      Object.assign(lead, words);
      lead.target = { kind: 'taxa', end: guess.end, via: 'guess' };
      this.#remark(
        'target-clear',
        'warning',
        lead,
        couplet,
        `the last words are taken for the name at the end: ${guess.end.names.map((n) => n.name).join(', ')}`,
      );
      return;
    }
    const next = this.#couplets[(this.#places.get(couplet) ?? 0) + 1];
    const others = couplet.leads.filter(
      (l) => l !== lead && l.item.parted?.end === undefined && l.item.parted?.guess === undefined,
    );
    if (
      next !== undefined &&
      !this.#pointed.has(next) &&
      others.length === 0 &&
      next.group.back.length === 0
    ) {
      lead.target = { kind: 'couplet', couplet: next, via: 'next' };
      this.#pointed.add(next);
      this.#remark(
        'target-printed',
        'warning',
        lead,
        couplet,
        `no target is printed; taken to go on with the next couplet, ${next.group.name ?? 'below'}`,
      );
    }
  }

  #reachedFromKnown: Map<LinkedCouplet, Set<string>> | undefined;

  /** The printed names of the couplets that lead to each. */
  get #reachedFrom(): ReadonlyMap<LinkedCouplet, ReadonlySet<string>> {
    if (this.#reachedFromKnown !== undefined) return this.#reachedFromKnown;
    const from = new Map<LinkedCouplet, Set<string>>();
    for (const couplet of this.#couplets) {
      for (const { target } of couplet.leads) {
        if (target.kind !== 'couplet' || couplet.group.name === undefined) continue;
        const at = from.get(target.couplet) ?? new Set<string>();
        from.set(target.couplet, at.add(couplet.group.name));
      }
    }
    this.#reachedFromKnown = from;
    return from;
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

  #remark(
    rule: string,
    level: Remark['level'],
    lead: LinkedLead,
    couplet: LinkedCouplet,
    message: string,
  ): void {
    this.#remarks.push({
      rule,
      level,
      line: lead.item.line,
      message: `lead ${labelOf(couplet, lead)}: ${message}`,
      couplet,
    });
  }

  /** Gives every couplet an id: its printed name where it has one of its own. */
  #nameCouplets(): void {
    const printed = this.#pointsAtAll() || this.outline.layout !== 'outline';
    const used = new Set<string>();
    const named = printed && this.#couplets.some((c) => c.group.name !== undefined && c.group.name !== '0');
    if (named)
      for (const c of this.#couplets)
        if (c.group.name !== undefined && !c.group.again) used.add(c.group.name);
    const given = new Set<string>();
    let running = 0;
    for (const couplet of this.#couplets) {
      const { name } = couplet.group;
      if (!named) couplet.id = String(++running);
      else if (name !== undefined && !given.has(name)) couplet.id = name;
      else {
        const base = name ?? 'n';
        let n = name === undefined ? 1 : 2;
        const form = () => (name === undefined ? `${base}${n}` : `${base}.${n}`);
        while (used.has(form())) n++;
        couplet.id = form();
        used.add(couplet.id);
      }
      given.add(couplet.id);
    }
  }

  #checkCouplets(): void {
    const numbers = new Set([...this.#byName.keys()]);
    for (const couplet of this.#couplets) {
      const { group, leads, id } = couplet;
      const first = leads[0] as LinkedLead;
      if (group.again)
        this.#remark(
          'id-unique',
          'error',
          first,
          couplet,
          `couplet ${group.name} is printed a second time; kept as ${id}, to which nothing leads`,
        );
      if (leads.length < 2)
        this.#remark('couplet-has-leads', 'error', first, couplet, `couplet ${id} has only one lead`);
      if (first.item.mark !== undefined && first.item.mark > 0 && leads.length < 2)
        this.#remark('couplet-has-leads', 'error', first, couplet, 'its first lead is missing');
      const before = Number(group.name) - 1;
      if (
        group.system === 'number' &&
        before > 0 &&
        !numbers.has(String(before)) &&
        this.#couplets.length > 1 &&
        this.outline.layout !== 'serial'
      )
        this.#remark('label-follows', 'note', first, couplet, `no couplet is numbered ${before}`);
      const next = Number(group.name) + 1;
      if (
        leads.length >= 4 &&
        group.system === 'number' &&
        group.name !== undefined &&
        !numbers.has(String(next)) &&
        numbers.has(String(next + 1))
      )
        this.#remark(
          'label-follows',
          'warning',
          leads[2] as LinkedLead,
          couplet,
          `couplet ${group.name} has ${leads.length} leads and there is no couplet ${next}; a number may be misprinted`,
        );
      for (const lead of leads) this.#checkLead(couplet, lead);
      this.#checkBack(couplet);
    }
  }

  #checkLead(couplet: LinkedCouplet, lead: LinkedLead): void {
    if (lead.target.kind === 'none')
      this.#remark(
        'lead-ends',
        'error',
        lead,
        couplet,
        'no target is printed, and none follows from the layout',
      );
    if (lead.target.kind === 'several')
      this.#remark(
        'lead-ends',
        'error',
        lead,
        couplet,
        `goes to ${lead.target.printed}; a lead can go on at one couplet only`,
      );
    if (lead.target.kind === 'nowhere')
      this.#remark(
        'target-exists',
        'error',
        lead,
        couplet,
        `goes to couplet ${lead.target.printed}, which is not in this key`,
      );
    if (lead.target.kind === 'couplet' && lead.target.couplet === couplet)
      this.#remark('path-acyclic', 'error', lead, couplet, `goes to its own couplet ${couplet.id}`);
    if (
      lead.target.kind === 'taxa' &&
      lead.target.via === 'printed' &&
      lead.target.end.form === 0 &&
      lead.how !== 'dots'
    )
      this.#remark(
        'target-clear',
        'note',
        lead,
        couplet,
        `the end has not the form of a scientific name: ${lead.target.end.names.map((n) => n.name).join(', ')}`,
      );
    if (lead.words === '') this.#remark('words-whole', 'error', lead, couplet, 'the lead has no words');
  }

  #checkBack(couplet: LinkedCouplet): void {
    if (this.#serial || couplet.group.back.length === 0) return;
    const from = this.#reachedFrom.get(couplet) ?? new Set<string>();
    const start = couplet === this.#couplets[0];
    const wrong = couplet.group.back.filter(
      (b) => !(start && b === '0') && !from.has(b.replace(/(?<=\d)[a-h'’′*]+$/, '')),
    );
    if (wrong.length > 0)
      this.#remark(
        'back-reference-agrees',
        'warning',
        couplet.leads[0] as LinkedLead,
        couplet,
        `couplet ${couplet.id} says that it is reached from ${wrong.join(', ')}, but ${from.size === 0 ? 'nothing leads to it' : `it is reached from ${[...from].join(', ')}`}`,
      );
  }

  #checkReach(): void {
    const start = this.#couplets[0];
    if (start === undefined) return;
    const seen = new Set<LinkedCouplet>([start]);
    const todo = [start];
    for (let c = todo.pop(); c !== undefined; c = todo.pop()) {
      for (const { target } of c.leads) {
        if (target.kind !== 'couplet' || seen.has(target.couplet)) continue;
        seen.add(target.couplet);
        todo.push(target.couplet);
      }
    }
    const pointedTo = new Set<LinkedCouplet>();
    for (const { target } of this.#leads()) if (target.kind === 'couplet') pointedTo.add(target.couplet);
    for (const { target } of this.#leads())
      if (target.kind === 'several')
        for (const n of target.printed.match(/[A-Z]?\d+/g) ?? []) {
          const couplet = this.#byName.get(n);
          if (couplet !== undefined) pointedTo.add(couplet);
        }
    for (const couplet of this.#couplets)
      if (!seen.has(couplet) && !pointedTo.has(couplet) && !couplet.group.again)
        this.#remark(
          'couplet-reachable',
          'error',
          couplet.leads[0] as LinkedLead,
          couplet,
          `nothing leads to couplet ${couplet.id}`,
        );
  }

  /** How well the reading holds together: what resolves counts for it, what does not, more heavily, against it. */
  #score(): number {
    let score = 0;
    const apart = this.#isApart();
    for (const couplet of this.#couplets) {
      if (couplet.leads.length < 2) score -= 6;
      if (couplet.group.again) score -= 3;
      score -= Math.max(0, couplet.leads.length - 3) * 0.6;
      for (const lead of couplet.leads) {
        const { target } = lead;
        if (target.kind === 'none') score -= 5;
        else if (target.kind === 'nowhere') score -= 4;
        else if (target.kind === 'several') score += 0;
        else if (target.kind === 'couplet' && target.couplet === couplet) score -= 5;
        else if (target.kind === 'couplet')
          score += target.via === 'next' ? 0.8 : target.via === 'below' && target.end !== undefined ? 1 : 2;
        else if (target.kind === 'taxa')
          score += target.via === 'guess' ? 0.5 : lead.how === 'number' ? 1.5 : 2;
        else score += 2;
        if (lead.words === '') score -= 3;
        // `Leaflets 3` with couplet 3 below it: where leads stand apart, a last number belongs to the words.
        if (apart && lead.how === 'number') score -= 0.5;
        if (
          this.outline.layout === 'indented' &&
          /^[([]?(?:\d{1,4}[a-d'*]?|[A-Za-z])[.)]\s/.test(lead.item.pieces[0]?.text ?? '')
        )
          score -= 1.5;
        if (/^[\p{Ll}]/u.test(lead.words) && lead.item.label === undefined) score -= 0.5;
        const inner = lead.item.ended && lead.how !== 'dots' && lead.how !== 'column' ? 1 : 0;
        score -= inner;
        score -= Math.min(6, innerEnds(lead));
      }
    }
    for (const remark of this.#remarks) {
      if (remark.rule === 'couplet-reachable') score -= 5;
      else if (remark.rule === 'back-reference-agrees') score -= 1.5;
    }
    const inside = this.outline.items.slice(1).reduce((n, item) => n + item.loose.length, 0);
    score -= Math.min(inside * 0.5, this.outline.items.length);
    return score;
  }
}

/** Dots or wide gaps left inside the words: an end that was not seen as one. */
function innerEnds(lead: LinkedLead): number {
  let found = 0;
  const pieces = lead.item.pieces;
  for (let i = 0; i < pieces.length - 1 && i < 60; i++)
    if (/(?:\.\s?){4,}\s*\S+|\s{6,}\S+$/.test((pieces[i]?.text ?? '').slice(-80))) found += 2;
  return lead.how === 'dots' || lead.how === 'column' ? Math.max(0, found - 2) : found;
}

/** `3b`; for couplets without a printed number, the words serve. */
export function labelOf(couplet: LinkedCouplet, lead: LinkedLead): string {
  const index = couplet.leads.findIndex((l) => l.item === lead.item);
  const name = couplet.id === '' ? (couplet.group.name ?? '') : couplet.id;
  return `${name}${String.fromCharCode(97 + (Math.max(0, index) % 26))}`;
}

function anchorName(text: string): string {
  return text
    .toLowerCase()
    .replace(/^(?:the|der|die|das)\s+/, '')
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()
    .replace(/^((?:key|group|section|table|part|schlüssel|gruppe|tabelle|teil|abschnitt)\s+\S+).*$/u, '$1');
}

export { anchorName };
