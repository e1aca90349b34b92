import { reachableFrom } from '../key/graph.js';
import type { Lead } from '../key/key.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';

/** Where a lead of the pruned key ends. */
export type PrunedTarget =
  | { readonly kind: 'couplet'; readonly id: string }
  /** `of` is the lead that the end stands at in the key as it was. */
  | { readonly kind: 'taxa'; readonly taxa: readonly string[]; readonly of: Lead }
  | { readonly kind: 'key'; readonly of: Lead };

/** A lead that stays. */
export interface KeptLead {
  readonly lead: CompiledLead;
  readonly target: PrunedTarget;
  /** Whether its end has changed. */
  readonly changed: boolean;
}

/** A couplet that stays, with the leads that are removed. */
export interface KeptCouplet {
  readonly couplet: CompiledCouplet;
  readonly id: string;
  readonly leads: readonly KeptLead[];
  readonly gone: readonly CompiledLead[];
}

/** A couplet that is no longer asked, since nothing is left to choose there. */
export interface Collapsed {
  readonly couplet: CompiledCouplet;
  readonly id: string;
  /** The lead that was left; undefined when several were, all ending at the same. */
  readonly left: CompiledLead | undefined;
  readonly gone: readonly CompiledLead[];
}

/** The plan of a key that ends at some taxa only. */
export interface PruningPlan {
  /** By id, in the order of the key. */
  readonly couplets: ReadonlyMap<string, KeptCouplet>;
  readonly collapsed: readonly Collapsed[];
  /** Couplets to which nothing leads any longer, or beyond which nothing is kept. */
  readonly cut: readonly string[];
  /** Where keying begins; an end when there is no couplet left. */
  readonly start: PrunedTarget | undefined;
}

/** The taxa, by number, at which a lead that ended at taxa ends now; none where it is to go. */
export type EndsAt = (lead: CompiledLead) => readonly number[];

/**
 * Plans what stays of the main key of a chain when its ends hold other taxa. Leads beyond which nothing is left go, and
 * so do couplets at which nothing is left to choose.
 */
export function planPruning(key: CompiledKey, endsAt: EndsAt): PruningPlan {
  return new Planner(key, endsAt).plan();
}

interface Resolved {
  readonly target: PrunedTarget | undefined;
  readonly kept?: KeptCouplet;
  readonly collapsed?: Collapsed;
}

class Planner {
  /** By couplet number: whether some kept taxon lies beyond it. */
  readonly #alive: boolean[] = [];
  readonly #resolved: Resolved[] = [];

  constructor(
    readonly key: CompiledKey,
    readonly endsAt: EndsAt,
  ) {
    // Every lead goes forward, so the last couplet is settled first.
    for (const couplet of [...key.couplets].reverse()) {
      this.#alive[couplet.index] = couplet.leads.some(
        (l) => this.#taxaOf(l).length > 0 || (l.next >= 0 && this.#alive[l.next] === true),
      );
      if (this.#isOwn(couplet.index)) this.#resolved[couplet.index] = this.#resolve(couplet);
    }
  }

  plan(): PruningPlan {
    const { couplets: all, start } = this.key;
    const first = this.#resolved[start]?.target;
    const next = all.map((c) => {
      const kept = this.#resolved[c.index]?.kept;
      return (kept?.leads ?? []).flatMap(({ target }) => this.#number(target) ?? []);
    });
    const from = first === undefined ? undefined : this.#number(first);
    const reached = from === undefined ? new Set<number>() : reachableFrom(from, next);
    const before = reachableFrom(
      start,
      all.map((c) => c.leads.flatMap((l) => (l.next >= 0 && this.#isOwn(l.next) ? [l.next] : []))),
    );
    const couplets = new Map<string, KeptCouplet>();
    const collapsed: Collapsed[] = [];
    const cut: string[] = [];
    for (const couplet of all) {
      if (!this.#isOwn(couplet.index)) continue;
      const own = this.#resolved[couplet.index];
      if (own?.kept !== undefined && reached.has(couplet.index)) couplets.set(own.kept.id, own.kept);
      else if (own?.collapsed !== undefined && before.has(couplet.index)) collapsed.push(own.collapsed);
      else cut.push(this.#id(couplet));
    }
    return { couplets, collapsed, cut, start: first };
  }

  #isOwn(index: number): boolean {
    const { chain } = this.key;
    return chain.nodes[index]?.key === chain.main;
  }

  #id(couplet: CompiledCouplet): string {
    return this.key.chain.nodes[couplet.index]?.couplet.id ?? '';
  }

  #number(target: PrunedTarget): number | undefined {
    return target.kind === 'couplet' ? this.key.coupletIndex.get(target.id) : undefined;
  }

  #resolve(couplet: CompiledCouplet): Resolved {
    const leads: KeptLead[] = [];
    const gone: CompiledLead[] = [];
    for (const lead of couplet.leads) {
      const kept = this.#lead(lead);
      if (kept === undefined) gone.push(lead);
      else leads.push(kept);
    }
    const id = this.#id(couplet);
    const [first] = leads;
    if (first === undefined) return { target: undefined };
    // Where pruning has made all ends the same there is nothing to choose; where the author did, it stays.
    const pruned = gone.length > 0 || leads.some((l) => l.changed);
    const same = leads.every((l) => markOf(l.target) === markOf(first.target));
    if (leads.length === 1 || (pruned && same))
      return {
        target: first.target,
        collapsed: { couplet, id, left: leads.length === 1 ? first.lead : undefined, gone },
      };
    return { target: { kind: 'couplet', id }, kept: { couplet, id, leads, gone } };
  }

  #taxaOf(lead: CompiledLead): readonly number[] {
    return lead.lead.end.kind === 'taxa' ? this.endsAt(lead) : [];
  }

  #lead(lead: CompiledLead): KeptLead | undefined {
    const { end } = lead.lead;
    if (end.kind === 'taxa') {
      const numbers = this.#taxaOf(lead);
      const taxa = numbers.map((t) => this.key.taxa[t]?.id ?? '');
      if (taxa.length === 0) return undefined;
      const changed = numbers.join() !== lead.taxa.join();
      return { lead, target: { kind: 'taxa', taxa, of: lead.lead }, changed };
    }
    if (end.kind === 'key') {
      if (this.#alive[lead.next] !== true) return undefined;
      return { lead, target: { kind: 'key', of: lead.lead }, changed: false };
    }
    const target = this.#resolved[lead.next]?.target;
    if (target === undefined) return undefined;
    return { lead, target, changed: markOf(target) !== markOf({ kind: 'couplet', id: end.couplet }) };
  }
}

function markOf(target: PrunedTarget): string {
  if (target.kind === 'couplet') return `couplet ${target.id}`;
  if (target.kind === 'taxa') return `taxa ${[...target.taxa].sort().join(' ')}`;
  const { end } = target.of;
  return end.kind === 'key' ? `key ${end.key} ${end.at ?? ''}` : '';
}
