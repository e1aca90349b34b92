import type { CompiledKey } from '../../engine/compile.js';
import { membersOf } from '../../engine/members.js';
import { lineage } from '../../engine/verdict.js';
import type { Taxon } from '../../key/key.js';
import type { Checklist, ListedName } from '../../records/checklist.js';
import { nearest } from '../../text/nearest.js';

/** A name of the list that the key knows, and what it keeps. */
export interface KnownName {
  readonly name: ListedName;
  /** The taxa that it stands for. */
  readonly taxa: readonly Taxon[];
}

/** A name of the list that the key does not know. */
export interface StrangeName {
  readonly name: ListedName;
  readonly nearest: string | undefined;
}

/** What a list means for a key. */
export interface Understood {
  readonly known: readonly KnownName[];
  readonly strange: readonly StrangeName[];
  /** The ids of all taxa that it keeps: at their ends the key goes on ending. */
  readonly kept: ReadonlySet<string>;
}

/** Words behind a genus that are no epithets: parts of the names of authors, and signs of doubt or width. */
const NO_EPITHET =
  /^(?:sp|spp|ssp|de|da|del|della|des|dos|du|la|le|von|van|zu|ex|et|in|al|and|f|fil|group|complex|agg|aggr)\.?$/;
const DOUBT =
  /(?:^|\s)(?:cf\.|aff\.|nr\.?|\?|s\.\s?l\.|s\.\s?str\.|sensu (?:lato|stricto)|agg\.|aggr\.|sp\.|spp\.)(?=\s|$)/gi;

/**
 * Finds the taxa of a key that the names of a list stand for: ids, names with or without authority, synonyms, common
 * names. A group (or a genus, by the first word of names) keeps all that lies within it; a species whose own end the key
 * lacks keeps the end of its genus or group.
 */
export function understandList(list: Checklist, key: CompiledKey): Understood {
  const book = new Book(key);
  const known: KnownName[] = [];
  const strange: StrangeName[] = [];
  const kept = new Set<string>();
  for (const name of list.names) {
    const taxa = book.find(name.words);
    if (taxa === undefined) {
      strange.push({ name, nearest: book.near(name.written) });
      continue;
    }
    known.push({ name, taxa });
    for (const taxon of taxa) kept.add(taxon.id);
  }
  return { known, strange, kept };
}

class Book {
  readonly #key: CompiledKey;
  readonly #ends: ReadonlySet<Taxon>;
  readonly #ids = new Map<string, Taxon>();
  readonly #names = new Map<string, Taxon[]>();
  readonly #common = new Map<string, Taxon[]>();
  /** By the first word of names: the taxa. */
  readonly #genera = new Map<string, Taxon[]>();

  constructor(key: CompiledKey) {
    this.#key = key;
    const numbers = new Set(key.couplets.flatMap((c) => c.leads.flatMap((l) => l.taxa)));
    this.#ends = new Set(key.taxa.filter((_, i) => numbers.has(i)));
    for (const taxon of key.taxa) {
      this.#ids.set(taxon.id, taxon);
      const names = [taxon.name, ...taxon.synonyms].flatMap((n) => [plain(n), bare(n)]);
      for (const name of new Set(names)) {
        put(this.#names, name, taxon);
        put(this.#genera, name.split(' ')[0] ?? '', taxon);
      }
      for (const name of taxon.common) put(this.#common, plain(name), taxon);
    }
  }

  /** The taxa that one of some words stands for, the first that is known; undefined when none is. */
  find(words: readonly string[]): readonly Taxon[] | undefined {
    for (const word of words) {
      const found = this.#exactly(word) ?? this.#byParts(word);
      if (found !== undefined) return found;
    }
    return undefined;
  }

  near(written: string): string | undefined {
    const known = this.#key.taxa.flatMap((t) => [t.name, ...t.synonyms, ...t.common]);
    return nearest(bareShown(written), known);
  }

  #exactly(word: string): readonly Taxon[] | undefined {
    const own = this.#ids.get(word.trim());
    const taxa = own === undefined ? (this.#names.get(plain(word)) ?? this.#common.get(plain(word))) : [own];
    return taxa === undefined ? undefined : this.#withAll(taxa);
  }

  #byParts(word: string): readonly Taxon[] | undefined {
    const name = bare(word);
    const taxa = this.#names.get(name);
    if (taxa !== undefined) return this.#withAll(taxa);
    const [genus = '', epithet, ...more] = name.split(' ');
    const within = (this.#genera.get(genus) ?? []).filter((t) =>
      [t.name, ...t.synonyms].some((n) => bare(n).startsWith(`${name} `)),
    );
    if (within.length > 0) return this.#withAll(within);
    if (epithet === undefined) return undefined;
    // A variety or subspecies that the key does not part from its species.
    const species = more.length > 0 ? this.#names.get(`${genus} ${epithet}`) : undefined;
    if (species !== undefined) return this.#withAll(species);
    const end = (this.#names.get(genus) ?? []).filter((t) => this.#ends.has(t));
    return end.length > 0 ? end : undefined;
  }

  /** Taxa with all that lies within them; one that has no end of its own, nor its members, with the group where it ends. */
  #withAll(taxa: readonly Taxon[]): readonly Taxon[] {
    const all = new Set<Taxon>();
    for (const taxon of taxa) {
      const name = bare(taxon.name);
      const byName = name.includes(' ')
        ? []
        : (this.#genera.get(name) ?? []).filter((t) => bare(t.name).startsWith(`${name} `));
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
    const [genus = '', epithet] = bare(taxon.name).split(' ');
    if (epithet === undefined) return undefined;
    return (this.#names.get(genus) ?? []).find((t) => this.#ends.has(t));
  }
}

function put(map: Map<string, Taxon[]>, name: string, taxon: Taxon): void {
  const before = map.get(name);
  if (before === undefined) map.set(name, [taxon]);
  else if (!before.includes(taxon)) before.push(taxon);
}

/** A name without what differs from list to list. */
function plain(name: string): string {
  return name
    .replace(/[_\s]+/g, ' ')
    .replace(/["*]/g, '')
    .trim()
    .toLowerCase();
}

/** A name without its author and signs of doubt: genus, epithet and the epithets below it. */
function bare(name: string): string {
  return bareShown(name).toLowerCase();
}

function bareShown(name: string): string {
  const [genus = '', ...rest] = name
    .replace(/[_\s]+/g, ' ')
    .replace(/["*]/g, '')
    .replace(DOUBT, ' ')
    .replace(/\s+/g, ' ')
    .trim()
    .split(' ');
  const parts = [genus];
  for (let i = 0; i < rest.length; i++) {
    const word = rest[i] as string;
    const rank = /^(?:var|subsp|ssp|f|forma|subg|sect)\.?$/.test(word);
    const next = rest[i + 1] ?? '';
    if (rank && isEpithet(next)) {
      parts.push(word, next);
      i++;
      continue;
    }
    // Behind the author of a species may stand the rank and epithet of what lies below it.
    if (!isEpithet(word) || parts.length > 1) {
      if (rest.slice(i).some((w) => /^(?:var|subsp|ssp)\.?$/.test(w))) continue;
      if (isEpithet(word) && i === 1 && parts.length === 2) parts.push(word);
      break;
    }
    parts.push(word);
  }
  return parts.join(' ');
}

function isEpithet(word: string): boolean {
  return /^×?[a-zà-ÿ][a-z0-9à-ÿ-]+$/.test(word) && !NO_EPITHET.test(word);
}
