import { type CompiledKey, compile } from '../engine/compile.js';
import { type Determination, determine } from '../engine/determine.js';
import { Walk } from '../engine/walk.js';
import type { Taxon } from '../key/key.js';
import type { Choice, Collection } from '../traits/collection.js';
import type { JoinedVersions } from './joint.js';

/** A collection with another result. */
export interface CollectionChange {
  readonly id: string;
  readonly was: Determination;
  readonly is: Determination;
}

/** Takes collections through both versions of a key, one after the other. */
export class TableComparison {
  readonly old: CompiledKey;
  readonly now: CompiledKey;
  readonly #walks: { readonly old: Walk; readonly now: Walk };
  readonly #numbers: ReadonlyMap<Taxon, number>;
  /** By lead of the old key, as couplet and letter: the lead that it has become. */
  readonly #leads = new Map<string, Choice>();

  constructor(joint: JoinedVersions) {
    this.old = compile(joint.oldChain);
    this.now = compile(joint.newChain);
    this.#walks = { old: new Walk(this.old), now: new Walk(this.now) };
    // The keys as they are have their taxa in the order of the ones that were brought together.
    this.#numbers = new Map([
      ...this.old.taxa.map((t, i) => [t, joint.same.numberOf(joint.old.taxa[i] as Taxon)] as const),
      ...this.now.taxa.map((t, i) => [t, joint.same.numberOf(joint.now.taxa[i] as Taxon)] as const),
    ]);
    for (const { old, now, leads } of joint.pairs)
      leads.forEach((other, own) => {
        const [a, b] = [old.leads[own], now.leads[other]];
        if (a === undefined || b === undefined) return;
        this.#leads.set(`${old.name} ${a.lead.letter}`, { couplet: now.name, letter: b.lead.letter });
      });
  }

  /**
   * The collection as each version understands it, and what becomes of it; undefined when that is the same.
   * Leads that a person took are those of the old version.
   */
  compare(before: Collection, after: Collection): CollectionChange | undefined {
    const choices = before.choices.flatMap((c): Choice[] => {
      const lead = this.#leads.get(`${c.couplet} ${c.letter}`);
      return lead === undefined ? [] : [{ ...c, ...lead }];
    });
    const was = determine(this.old, before, {}, this.#walks.old);
    const is = determine(this.now, { ...after, choices }, {}, this.#walks.now);
    return this.#mark(was) === this.#mark(is) ? undefined : { id: before.id, was, is };
  }

  #mark({ possible, further, qualifier, verdict }: Determination): string {
    const numbers = (taxa: readonly Taxon[]) =>
      taxa.map((t) => this.#numbers.get(t) ?? -1).sort((a, b) => a - b);
    const worst = numbers(further.map((f) => f.taxon));
    return JSON.stringify([numbers(possible), worst, qualifier, verdict.word, verdict.worst]);
  }
}
