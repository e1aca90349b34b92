/** What is wrong with a printed key once its leads are joined: the faults of the print, each at its line. */
import type { Item, Outline } from './draft.js';
import { foreignWords } from './foreign-words.js';
import { type LinkedCouplet, type LinkedLead, leadRemark, type Remark } from './linked.js';
import { hasOtherLabel, isOutOfLine } from './score.js';

/** The faults of a key. `byName` holds its couplets by their printed numbers. */
export function faultsOf(
  outline: Outline,
  couplets: readonly LinkedCouplet[],
  byName: ReadonlyMap<string, LinkedCouplet>,
): Remark[] {
  return new Checker(outline, couplets, byName).check();
}

class Checker {
  readonly #remarks: Remark[] = [];
  /** The leads before which one without an end stands. */
  readonly #behindOpen: ReadonlySet<Item>;

  constructor(
    readonly outline: Outline,
    readonly couplets: readonly LinkedCouplet[],
    readonly byName: ReadonlyMap<string, LinkedCouplet>,
  ) {
    this.#behindOpen = new Set(outline.items.filter((_, i) => outline.items[i - 1]?.ended === false));
  }

  check(): Remark[] {
    this.#checkCouplets();
    this.#checkReach();
    return this.#remarks;
  }

  *#leads(): Iterable<LinkedLead> {
    for (const couplet of this.couplets) yield* couplet.leads;
  }

  #checkCouplets(): void {
    const numbers = new Set([...this.byName.keys()]);
    for (const couplet of this.couplets) {
      const { group, leads, id } = couplet;
      const first = leads[0] as LinkedLead;
      if (group.again)
        this.#remarks.push(
          leadRemark(
            'id-unique',
            'error',
            first,
            couplet,
            `couplet ${group.name ?? first.item.label?.printed ?? id} is printed a second time; it is kept as ${id}, and nothing leads to it`,
          ),
        );
      if (leads.length < 2)
        this.#remarks.push(
          leadRemark('couplet-has-leads', 'error', first, couplet, `couplet ${id} has only one lead`),
        );
      if (this.#hasLostBeginning(couplet))
        this.#warn(
          'couplet-has-leads',
          first,
          couplet,
          'its couplet has no label, as others have; its beginning, or another lead, may stand elsewhere',
        );
      if (first.item.mark !== undefined && first.item.mark > 0 && leads.length < 2)
        this.#remarks.push(
          leadRemark('couplet-has-leads', 'error', first, couplet, 'its first lead is missing'),
        );
      const before = Number(group.name) - 1;
      if (
        group.system === 'number' &&
        before > 0 &&
        !numbers.has(String(before)) &&
        this.couplets.length > 1 &&
        this.outline.layout !== 'serial'
      )
        this.#remarks.push(
          leadRemark('label-follows', 'note', first, couplet, `no couplet is numbered ${before}`),
        );
      const next = Number(group.name) + 1;
      if (
        leads.length >= 4 &&
        group.system === 'number' &&
        group.name !== undefined &&
        !numbers.has(String(next)) &&
        numbers.has(String(next + 1))
      )
        this.#remarks.push(
          leadRemark(
            'label-follows',
            'warning',
            leads[2] as LinkedLead,
            couplet,
            `couplet ${group.name} has ${leads.length} leads, and there is no couplet ${next}; a number may be misprinted`,
          ),
        );
      for (const lead of leads) {
        this.#checkLead(couplet, lead);
        this.#checkPlace(couplet, lead);
        this.#checkLabel(couplet, lead);
      }
      this.#checkBack(couplet);
    }
  }

  /** The first lead has no label though later ones, or other couplets, say that it should. */
  #hasLostBeginning(couplet: LinkedCouplet): boolean {
    const { leads } = couplet;
    const { layout } = this.outline;
    if (layout === 'outline' || layout === 'indented') return false;
    const system = (lead: LinkedLead | undefined) => lead?.item.label?.readings[0]?.system;
    const first = system(leads[0]);
    if (first !== undefined && first !== 'dash') return false;
    if (first === undefined && leads.some((l) => system(l) === 'dash')) return true;
    // The first couplet of a book may stand without a number before couplet 1.
    const opens = leads.some(({ target }) => target.kind === 'couplet' && target.couplet.group.name === '1');
    return !opens && this.couplets.some((c) => system(c.leads[0]) === 'number');
  }

  #warn(rule: string, lead: LinkedLead, couplet: LinkedCouplet, message: string): void {
    this.#remarks.push(leadRemark(rule, 'warning', lead, couplet, message));
  }

  #checkLead(couplet: LinkedCouplet, lead: LinkedLead): void {
    const [first, second] = lead.item.ends;
    if (first !== undefined && second !== undefined)
      this.#warn(
        'target-clear',
        lead,
        couplet,
        `there are ends on ${lead.item.ends.length} of its lines (${lead.item.ends.join(', ')}); some may be those of other leads`,
      );
    if (
      lead.target.kind === 'couplet' &&
      lead.target.via === 'printed' &&
      lead.target.couplet.leads.length < 2
    )
      this.#warn(
        'couplet-has-leads',
        lead,
        couplet,
        `goes to couplet ${lead.target.couplet.id}, of which only one lead was read`,
      );
    if (lead.target.kind === 'none')
      this.#remarks.push(
        leadRemark(
          'lead-ends',
          'error',
          lead,
          couplet,
          'no target is printed, and none follows from the layout',
        ),
      );
    if (lead.target.kind === 'several')
      this.#remarks.push(
        leadRemark(
          'lead-ends',
          'error',
          lead,
          couplet,
          /^\d+\s*\D+\s*\d+$/.test(lead.target.printed) && !/[,;&/]|or|and|oder|und/.test(lead.target.printed)
            ? `ends in the numbers ${lead.target.printed}, and a lead can go to only one couplet`
            : `goes to ${lead.target.printed}; a lead can go to only one couplet`,
        ),
      );
    if (lead.target.kind === 'nowhere')
      this.#remarks.push(
        leadRemark(
          'target-exists',
          'error',
          lead,
          couplet,
          `goes to couplet ${lead.target.printed}, which is not in this key`,
        ),
      );
    if (lead.target.kind === 'couplet' && lead.target.couplet === couplet)
      this.#remarks.push(
        leadRemark('path-acyclic', 'error', lead, couplet, `goes to its own couplet ${couplet.id}`),
      );
    if (
      lead.target.kind === 'taxa' &&
      lead.target.via === 'printed' &&
      lead.target.end.form === 0 &&
      (lead.how !== 'dots' || lead.target.end.names.some((n) => isSentence(n.name)))
    )
      this.#remarks.push(
        leadRemark(
          'target-clear',
          // No name has digits or an open bracket; of others only the author can tell.
          lead.target.end.names.some((n) => /[\d([\])]/.test(n.name) || isSentence(n.name))
            ? 'warning'
            : 'note',
          lead,
          couplet,
          `the end does not look like a scientific name: ${lead.target.end.names.map((n) => n.name).join(', ')}`,
        ),
      );
    if (
      lead.target.kind === 'taxa' &&
      lead.target.via === 'printed' &&
      lead.target.end.names.some((n) => n.name.startsWith('('))
    )
      this.#warn('target-clear', lead, couplet, 'its name begins in brackets; the genus may be lost');
    const foreign = foreignWords(lead.words);
    if (foreign !== undefined)
      this.#remarks.push(
        leadRemark('words-whole', 'warning', lead, couplet, `its words may hold ${foreign}`),
      );
    if (lead.words === '')
      this.#remarks.push(leadRemark('words-whole', 'error', lead, couplet, 'the lead has no words'));
  }

  /** A lead without a label, though the first and the last one of its couplet have theirs, may be words of the one above. */
  #checkLabel(couplet: LinkedCouplet, lead: LinkedLead): void {
    const { leads } = couplet;
    if (lead.item.label !== undefined || lead === leads[0]) return;
    if (leads[0]?.item.label !== undefined && leads.at(-1)?.item.label !== undefined)
      this.#warn('target-clear', lead, couplet, 'it has no label, as other leads of its couplet have');
  }

  /** Whether a lead stands where the first one of its couplet does, and holds no line that begins as a lead does. */
  #checkPlace(couplet: LinkedCouplet, lead: LinkedLead): void {
    const { layout } = this.outline;
    if (layout === 'outline' && isOutOfLine(couplet, lead, 2))
      this.#warn(
        'target-clear',
        lead,
        couplet,
        'it is not level with the first lead of its couplet, and may belong elsewhere',
      );
    if (layout !== 'indented' && hasOtherLabel(lead))
      this.#remarks.push(
        leadRemark('target-clear', 'warning', lead, couplet, 'its words begin with a label of another kind'),
      );
    if (lead.item.split?.doubt !== undefined)
      this.#remarks.push(leadRemark('target-clear', 'warning', lead, couplet, lead.item.split.doubt));
    if (lead.item.split?.above === true && this.#behindOpen.has(lead.item))
      this.#warn(
        'target-clear',
        lead,
        couplet,
        'its end stands above more of its words, and the lead before it has none; it may be that of the lead before',
      );
    if (lead.item.suspects.length > 0)
      this.#warn(
        'target-clear',
        lead,
        couplet,
        `line ${lead.item.suspects.join(', ')} begins as a lead does, and was read as more of its words`,
      );
  }

  #checkBack(couplet: LinkedCouplet): void {
    if (this.outline.layout === 'serial' || couplet.group.back.length === 0) return;
    const from = this.#reachedFrom.get(couplet) ?? new Set<string>();
    const start = couplet === this.couplets[0];
    const wrong = couplet.group.back.filter(
      (b) => !(start && b === '0') && !from.has(b.replace(/(?<=\d)[a-h'’′*]+$/, '')),
    );
    if (wrong.length > 0)
      this.#remarks.push(
        leadRemark(
          'back-reference-agrees',
          'warning',
          couplet.leads[0] as LinkedLead,
          couplet,
          `couplet ${couplet.id} says that it is reached from ${wrong.join(', ')}, but ${from.size === 0 ? 'nothing leads to it' : `it is reached from ${[...from].join(', ')}`}`,
        ),
      );
  }

  #checkReach(): void {
    const start = this.couplets[0];
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
          const couplet = this.byName.get(n);
          if (couplet !== undefined) pointedTo.add(couplet);
        }
    for (const couplet of this.couplets)
      if (!seen.has(couplet) && !pointedTo.has(couplet) && !couplet.group.again)
        this.#remarks.push(
          leadRemark(
            'couplet-reachable',
            'error',
            couplet.leads[0] as LinkedLead,
            couplet,
            `nothing leads to couplet ${couplet.id}`,
          ),
        );
  }
  #reachedFromKnown: Map<LinkedCouplet, Set<string>> | undefined;

  /** The printed names of the couplets that lead to each. */
  get #reachedFrom(): ReadonlyMap<LinkedCouplet, ReadonlySet<string>> {
    if (this.#reachedFromKnown !== undefined) return this.#reachedFromKnown;
    const from = new Map<LinkedCouplet, Set<string>>();
    for (const couplet of this.couplets) {
      for (const { target } of couplet.leads) {
        if (target.kind !== 'couplet' || couplet.group.name === undefined) continue;
        const at = from.get(target.couplet) ?? new Set<string>();
        from.set(target.couplet, at.add(couplet.group.name));
      }
    }
    this.#reachedFromKnown = from;
    return from;
  }
}

/** Words of a sentence, which no name has, or a name that broke off. */
function isSentence(name: string): boolean {
  return (
    /\d|[-¬]$/.test(name) ||
    name.split(/\s+/).length > 5 ||
    /\s(?:the|an?|with|that|and|in|on|at|to|by|are|is|was|were|der|die|das|mit|ist|sind|war|waren)(?:\s|$)/.test(
      name,
    )
  );
}
