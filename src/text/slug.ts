/** Ids from texts. The transliteration library is large: nothing that every command loads may import this file. */
import anyAscii from 'any-ascii';
import { hyphened } from './hyphened.js';
import { normalized } from './normalized.js';

/** Longer ids are cut, at a hyphen where there is one. */
const LONGEST = 60;

/**
 * A text as an id: plain lower-case letters, digits and hyphens, up to a length. Umlauts are written out as names
 * of taxa have them (ä is ae; International Code of Nomenclature for algae, fungi, and plants, Art. 60.7),
 * other scripts are transliterated, and signs that distinguish states become words (`K+` is `k-plus`). Empty
 * when nothing of the text can be kept. Different texts may get the same id: `Ids` keeps them apart.
 */
export function slug(text: string, most = LONGEST): string {
  const id = hyphened(anyAscii(inWords(text)).replace(/['`]/g, ''));
  return id.length <= most ? id : id.slice(0, most).replace(/-[^-]*$/, '');
}

const WORDS: Readonly<Record<string, string>> = {
  '+': 'plus',
  '±': 'plus-minus',
  '\u2212': 'minus',
  '<': 'less-than',
  '>': 'more-than',
  '%': 'percent',
  '×': 'x',
  '♀': 'female',
  '♂': 'male',
};
const SIGN = new RegExp(`[${Object.keys(WORDS).join('')}]`, 'gu');
const UMLAUTS: Readonly<Record<string, string>> = { ä: 'ae', ö: 'oe', ü: 'ue', Ä: 'Ae', Ö: 'Oe', Ü: 'Ue' };

function inWords(text: string): string {
  return (
    text
      .normalize('NFC')
      .replace(/[äöüÄÖÜ]/g, (letter) => UMLAUTS[letter] ?? letter)
      // `K-`, and `-` alone; `red-brown` and `2-lobed` have a hyphen.
      .replace(/(?<=^|[\p{L}\p{N}])-(?=\s|$)/gu, ' minus ')
      .replace(/#(?=\s|$)/g, ' sharp ')
      .replace(SIGN, (sign) => ` ${WORDS[sign]} `)
      .replace(/['’ʼ]/g, '')
  );
}

/**
 * Gives ids to texts. Texts that say the same have one id, others never; the second of `rosé` and `rose` is `rose-2`.
 */
export class Ids {
  readonly #bySaid = new Map<string, string>();
  readonly #taken = new Set<string>();
  /** Ids that differ from another by their number only. */
  readonly numbered = new Map<string, string>();

  /** @param fallback the word for what cannot be written as an id: `state-1` */
  constructor(
    readonly fallback: string,
    taken: Iterable<string> = [],
  ) {
    for (const id of taken) this.#taken.add(id);
  }

  /** The id of a text. */
  of(text: string): string {
    const said = normalized(text);
    const known = this.#bySaid.get(said);
    if (known !== undefined) return known;
    const id = this.fresh(text);
    this.#bySaid.set(said, id);
    return id;
  }

  /** An id that no other text has, nor this one before. */
  fresh(text: string): string {
    const base = slug(text);
    let id = base === '' ? `${this.fallback}-1` : base;
    for (let n = 2; this.#taken.has(id); n++) id = `${base || this.fallback}-${n}`;
    if (base !== '' && id !== base) this.numbered.set(id, base);
    this.#taken.add(id);
    return id;
  }

  /** Gives a text an id that is settled. */
  settle(text: string, id: string): void {
    this.#bySaid.set(normalized(text), id);
    this.#taken.add(id);
  }
}
