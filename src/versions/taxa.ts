import type { CompiledKey } from '../engine/compile.js';
import type { Taxon } from '../key/key.js';
import { plainName } from '../key/taxon-names.js';

/**
 * Which taxon of the new key is which of the old, one for one: by id where the names agree, then by name, then by
 * synonym, and only then by id alone. An id that has been given to another species does not make the two one.
 */
export class MatchedTaxa {
  readonly #numbers = new Map<Taxon, number>();
  readonly #taxa: Taxon[] = [];
  readonly #new: Taxon[] = [];

  /** @param said by id in the old key, the taxon of the new key that a person says it is */
  constructor(old: CompiledKey, now: CompiledKey, said: ReadonlyMap<string, string> = new Map()) {
    const left = { old: new Set(old.taxa), now: new Set(now.taxa) };
    const by = (marksOf: (taxon: Taxon, side: 'old' | 'now') => readonly string[]): void => {
      const waiting = new Map<string, Taxon[]>();
      for (const taxon of left.now)
        for (const mark of marksOf(taxon, 'now')) waiting.set(mark, [...(waiting.get(mark) ?? []), taxon]);
      for (const taxon of [...left.old]) {
        const other = marksOf(taxon, 'old')
          .flatMap((mark) => waiting.get(mark) ?? [])
          .find((t) => left.now.has(t));
        if (other === undefined) continue;
        left.old.delete(taxon);
        left.now.delete(other);
        this.#number(taxon, other);
      }
    };
    const meant = new Set(said.values());
    by((t, side) => (side === 'old' ? [said.get(t.id) ?? []].flat() : meant.has(t.id) ? [t.id] : []));
    by((t) => [`${t.id}\n${plainName(t.name)}`]);
    by((t) => [plainName(t.name)]);
    by((t, side) => (side === 'old' ? [plainName(t.name)] : t.synonyms.map(plainName)));
    by((t, side) => (side === 'now' ? [plainName(t.name)] : t.synonyms.map(plainName)));
    by((t) => [t.id]);
    for (const taxon of [...left.old, ...left.now]) this.#number(taxon);
  }

  #number(...taxa: readonly Taxon[]): void {
    const number = this.#taxa.push(taxa[0] as Taxon) - 1;
    this.#new.push(taxa.at(-1) as Taxon);
    for (const taxon of taxa) this.#numbers.set(taxon, number);
  }

  numberOf(taxon: Taxon): number {
    return this.#numbers.get(taxon) ?? -1;
  }

  /** The taxon of that number, as the old key has it where it does. */
  taxon(number: number): Taxon {
    return this.#taxa[number] as Taxon;
  }

  /** The same as the new key has it where it does. */
  newTaxon(number: number): Taxon {
    return this.#new[number] as Taxon;
  }
}
