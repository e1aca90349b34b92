import { nearest } from '../text/nearest.js';
import type { Taxon } from './key.js';

/** Finds taxa by what people call them: id, name or synonym. Capitals and spaces do not count. */
export class TaxonNames {
  readonly #byWord = new Map<string, Taxon[]>();
  readonly #words: string[] = [];

  constructor(taxa: Iterable<Taxon>) {
    for (const taxon of taxa)
      for (const word of new Set([taxon.id, taxon.name, ...taxon.synonyms])) {
        this.#words.push(word);
        const own = this.#byWord.get(plainName(word));
        if (own === undefined) this.#byWord.set(plainName(word), [taxon]);
        else if (!own.includes(taxon)) own.push(taxon);
      }
  }

  /**
   * The taxa that are called so; empty when there is none. An id means that taxon alone; a name that stands among the
   * synonyms of several means any of them.
   */
  called(written: string): readonly Taxon[] {
    const found = this.#byWord.get(plainName(written)) ?? [];
    const byId = found.filter((t) => t.id === written);
    return byId.length > 0 ? byId : found;
  }

  /** The id, name or synonym that was most likely meant. */
  nearest(written: string): string | undefined {
    return nearest(written, this.#words);
  }
}

/** A name without what differs from print to print. */
export function plainName(name: string): string {
  return name.toLowerCase().replace(/\s+/g, ' ').trim();
}
