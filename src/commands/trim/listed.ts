import { membersOf } from '../../analysis/members.js';
import type { CompiledKey } from '../../engine/compile.js';
import { lineage } from '../../engine/verdict.js';
import type { Taxon } from '../../key/key.js';
import { bareName, TaxonNames } from '../../key/taxon-names.js';
import type { Checklist, ListedName } from './checklist.js';

/** A name on the list that the key knows, and what it keeps. */
interface KnownName {
  readonly name: ListedName;
  /** The taxa that it stands for. */
  readonly taxa: readonly Taxon[];
}

/** A name on the list that the key does not know. */
interface StrangeName {
  readonly name: ListedName;
  readonly nearest: string | undefined;
}

/** A name on the list that may mean several taxa of the key. */
interface UnclearName {
  readonly name: ListedName;
  readonly taxa: readonly Taxon[];
}

/** The taxa of a key that a list names. */
export interface Understood {
  readonly known: readonly KnownName[];
  readonly strange: readonly StrangeName[];
  /** All that they may mean is kept: what is left out of a key is named as something else. */
  readonly unclear: readonly UnclearName[];
  /** The ids of all taxa that it keeps: their ends stay ends of the key. */
  readonly kept: ReadonlySet<string>;
}

/**
 * Finds the taxa of a key that the names of a list stand for: ids, names with or without authority, synonyms,
 * common names. A group (or a genus, by the first word of names) keeps all that lies within it; a species
 * whose own end the key lacks keeps the end of its genus or group.
 */
export function understandList(list: Checklist, key: CompiledKey): Understood {
  const book = new Book(key);
  const known: KnownName[] = [];
  const strange: StrangeName[] = [];
  const unclear: UnclearName[] = [];
  const kept = new Set<string>();
  for (const name of list.names) {
    const found = book.find(name.words);
    if (found === undefined) {
      strange.push({ name, nearest: book.near(name.written) });
      continue;
    }
    if (found.unclear.length > 0) unclear.push({ name, taxa: found.unclear });
    else known.push({ name, taxa: found.taxa });
    for (const taxon of found.taxa) kept.add(taxon.id);
  }
  return { known, strange, unclear, kept };
}

class Book {
  readonly #key: CompiledKey;
  readonly #names: TaxonNames;
  readonly #ends: ReadonlySet<Taxon>;
  readonly #ids = new Map<string, Taxon>();
  /** By the first word of names: the taxa. */
  readonly #genera = new Map<string, Set<Taxon>>();

  constructor(key: CompiledKey) {
    this.#key = key;
    this.#names = new TaxonNames(key.taxa);
    const numbers = new Set(key.couplets.flatMap((c) => c.leads.flatMap((l) => l.taxa)));
    this.#ends = new Set(key.taxa.filter((_, i) => numbers.has(i)));
    for (const taxon of key.taxa) {
      this.#ids.set(taxon.id, taxon);
      for (const name of [taxon.name, ...taxon.synonyms]) {
        const genus = genusOf(name);
        this.#genera.set(genus, (this.#genera.get(genus) ?? new Set()).add(taxon));
      }
    }
  }

  /**
   * The taxa that one of some words stands for, the first that is clear, with what they keep; where none is
   * clear, those that may be meant. Undefined when no word is known.
   */
  find(
    words: readonly string[],
  ): { readonly taxa: readonly Taxon[]; readonly unclear: readonly Taxon[] } | undefined {
    let unclear: readonly Taxon[] = [];
    for (const word of words) {
      const called = this.#names.called(word);
      const taxa =
        called.length === 1 ? this.#withAll(called) : called.length === 0 ? this.#byParts(word) : undefined;
      if (taxa !== undefined) return { taxa, unclear: [] };
      if (unclear.length === 0) unclear = called;
    }
    return unclear.length === 0 ? undefined : { taxa: this.#withAll(unclear), unclear };
  }

  near(written: string): string | undefined {
    return this.#names.nearest(written);
  }

  #byParts(word: string): readonly Taxon[] | undefined {
    const name = bareName(word);
    const [genus = '', epithet, ...more] = name.split(' ');
    const within = [...(this.#genera.get(genus) ?? [])].filter((t) =>
      [t.name, ...t.synonyms].some((n) => bareName(n).startsWith(`${name} `)),
    );
    if (within.length > 0) return this.#withAll(within);
    if (epithet === undefined) return undefined;
    // A variety or subspecies that the key does not separate from its species.
    const species = more.length > 0 ? this.#names.called(`${genus} ${epithet}`) : [];
    if (species.length > 0) return this.#withAll(species);
    const end = this.#names.called(genus).filter((t) => this.#ends.has(t));
    return end.length > 0 ? end : undefined;
  }

  /**
   * Taxa with all that lies within them; one that has no end of its own, nor its members, with the group where it
   * ends.
   */
  #withAll(taxa: readonly Taxon[]): readonly Taxon[] {
    const all = new Set<Taxon>();
    for (const taxon of taxa) {
      const name = bareName(taxon.name);
      const byName = name.includes(' ')
        ? []
        : [...(this.#genera.get(name) ?? [])].filter((t) => bareName(t.name).startsWith(`${name} `));
      const own = [taxon, ...membersOf(this.#key, taxon), ...byName];
      for (const t of own) all.add(t);
      if (own.some((t) => this.#ends.has(t))) continue;
      const above = lineage(taxon, this.#key.chain.taxa).flatMap((t) => this.#ids.get(t.id) ?? []);
      const end = above.find((t) => this.#ends.has(t)) ?? this.#genusEnd(taxon);
      if (end !== undefined) all.add(end);
    }
    return [...all];
  }

  #genusEnd(taxon: Taxon): Taxon | undefined {
    const [genus = '', epithet] = bareName(taxon.name).split(' ');
    if (epithet === undefined) return undefined;
    return this.#names.called(genus).find((t) => this.#ends.has(t));
  }
}

function genusOf(name: string): string {
  return bareName(name).split(' ')[0] ?? '';
}
