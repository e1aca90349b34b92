import { nearest } from '../text/nearest.js';
import type { Taxon } from './key.js';

/** Words after a genus that are not epithets: parts of the names of authors, and signs of doubt or width. */
const NO_EPITHET =
  /^(?:sp|spp|ssp|de|da|del|della|des|dos|du|la|le|von|van|zu|ex|et|in|al|and|f|fil|group|complex|agg|aggr)\.?$/;
const DOUBT =
  /(?:^|\s)(?:cf\.|aff\.|nr\.?|\?|s\.\s?l\.|s\.\s?str\.|sensu (?:lato|stricto)|agg\.|aggr\.|sp\.|spp\.)(?=\s|$)/gi;

/**
 * Finds taxa by what people call them: id, name with or without its author, synonym, or common name. Capitals, spaces and the
 * underscores that stand for them do not count. Everything that names a taxon of a key outside it is read here: what a specimen
 * is expected to be, and the lists that keys are cut to.
 */
export class TaxonNames {
  readonly #ids = new Map<string, Taxon>();
  /** The ways to name a taxon, the surest first: the first in which a name is known says what it means. */
  readonly #ways: readonly Map<string, Taxon[]>[] = Array.from({ length: 6 }, () => new Map());
  readonly #words: string[] = [];

  constructor(taxa: Iterable<Taxon>) {
    const [names, synonyms, common, bareNames, bareSynonyms, plainIds] = this.#ways as Map<string, Taxon[]>[];
    for (const taxon of taxa) {
      const { id, name, authority } = taxon;
      this.#ids.set(id, taxon);
      this.#words.push(id, name, ...taxon.synonyms, ...taxon.common);
      put(names, plainName(name), taxon);
      if (authority !== undefined) put(names, plainName(`${name} ${authority}`), taxon);
      put(bareNames, bareName(name), taxon);
      for (const synonym of taxon.synonyms) {
        put(synonyms, plainName(synonym), taxon);
        put(bareSynonyms, bareName(synonym), taxon);
      }
      for (const word of taxon.common) put(common, commonName(word), taxon);
      put(plainIds, plainName(id), taxon);
    }
  }

  /**
   * The taxa that are called so: none where the key has no such name, several where it is not clear which is meant. An id means
   * its taxon alone, a name the taxon that bears it rather than one of which it is a synonym, and a name with an author that
   * the key does not state goes by the name.
   */
  called(written: string): readonly Taxon[] {
    const own = this.#ids.get(written.trim());
    if (own !== undefined) return [own];
    const plain = plainName(written);
    const bare = bareName(written);
    const [names, synonyms, common, bareNames, bareSynonyms, plainIds] = this.#ways as Map<string, Taxon[]>[];
    return (
      names?.get(plain) ??
      synonyms?.get(plain) ??
      common?.get(commonName(written)) ??
      bareNames?.get(bare) ??
      bareSynonyms?.get(bare) ??
      plainIds?.get(plain) ??
      []
    );
  }

  /** The id or name that was most likely meant. */
  nearest(written: string): string | undefined {
    return nearest(bareShown(written), this.#words) ?? nearest(written, this.#words);
  }
}

function put(map: Map<string, Taxon[]> | undefined, name: string, taxon: Taxon): void {
  const before = map?.get(name);
  if (before === undefined) map?.set(name, [taxon]);
  else if (!before.includes(taxon)) before.push(taxon);
}

/** A name without what differs from print to print. */
export function plainName(name: string): string {
  return name
    .normalize('NFC')
    .replace(/[_\s]+/g, ' ')
    .replace(/["*]/g, '')
    .trim()
    .toLowerCase();
}

/** A common name: hyphens are written or not, as in `velvet-shank`. */
function commonName(name: string): string {
  return plainName(name).replace(/-/g, ' ').replace(/[’ʼ]/g, "'");
}

/** A name without its author and signs of doubt: genus, epithet and the epithets below it. */
export function bareName(name: string): string {
  return plainName(bareShown(name));
}

/** The same with the capitals as they are, to show. */
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
    // The author of a species may be followed by the rank and epithet of what lies below it.
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
