import type { Key } from '../../key/key.js';
import type { Words } from './words.js';
import { german } from './words-de.js';
import { english } from './words-en.js';

// A word ends where no letter, digit or hyphen follows: `long-stalked` does not say `long`.
const BEFORE = String.raw`(?<![\p{L}\p{N}-])`;
const AFTER = String.raw`(?![\p{L}\p{N}-])`;

/** A language that the wording rules can read: its words, and patterns made of them. */
export class Language {
  readonly words: Words;
  readonly #foldEnding: (word: string) => string;
  readonly #patterns = new Map<readonly string[], RegExp>();
  readonly #sets = new Map<readonly string[], ReadonlySet<string>>();

  constructor(words: Words, foldEnding: (word: string) => string) {
    this.words = words;
    this.#foldEnding = foldEnding;
  }

  /** A word without capitals and without endings for number or case, so that `leaf` and `Leaves` are alike. */
  stem(word: string): string {
    return this.#foldEnding(word.toLowerCase());
  }

  /** Whether a word is one of a list of words. */
  is(list: readonly string[], word: string): boolean {
    let set = this.#sets.get(list);
    if (set === undefined) {
      set = new Set(list);
      this.#sets.set(list, set);
    }
    return set.has(word.toLowerCase());
  }

  /** The first of the words or phrases found in a text as whole words, as written there. */
  first(list: readonly string[], text: string): { readonly word: string; readonly at: number } | undefined {
    let pattern = this.#patterns.get(list);
    if (pattern === undefined) {
      pattern = new RegExp(BEFORE + alternatives(list) + AFTER, 'iu');
      this.#patterns.set(list, pattern);
    }
    const found = pattern.exec(text);
    return found === null ? undefined : { word: found[0], at: found.index };
  }
}

/** A pattern that matches any of the words or phrases, the longest first. */
export function alternatives(list: readonly string[]): string {
  const escaped = [...list]
    .sort((a, b) => b.length - a.length)
    .map((w) => w.replace(/[.*+?^${}()|[\]\\]/g, String.raw`\$&`).replaceAll(' ', String.raw`\s{1,3}`));
  return `(?:${escaped.join('|')})`;
}

const ENGLISH = new Language(english, (word) => {
  if (word.endsWith('ies') && word.length > 4) return `${word.slice(0, -3)}y`;
  if (word.endsWith('ves')) return `${word.slice(0, -3)}f`;
  if (/(?:s|x|ch|sh)es$/.test(word)) return word.slice(0, -2);
  return word.endsWith('s') && !/(?:ss|us|is)$/.test(word) ? word.slice(0, -1) : word;
});

// An id is written without umlauts (`gruen`), and a plural can have one that its singular does not.
const UMLAUTS: Readonly<Record<string, string>> = {
  ä: 'a',
  ae: 'a',
  ö: 'o',
  oe: 'o',
  ü: 'u',
  ue: 'u',
  ß: 'ss',
};

const GERMAN = new Language(german, (word) => {
  const plain = word.replace(/[äöüß]|[aou]e/g, (c) => UMLAUTS[c] ?? c);
  // Twice, so that `Pulver` and `Pulvers` are alike.
  const shorter = (w: string) => w.replace(/(?<=.{3})(?:ern|en|er|es|em|e|n|s)$/, '');
  return shorter(shorter(plain));
});

/** The language that a key is written in, English when it names none; undefined when its words are not known here. */
export function languageOf(key: Key): Language | undefined {
  const [tag] = (key.language ?? 'en').toLowerCase().split('-');
  return tag === 'en' ? ENGLISH : tag === 'de' ? GERMAN : undefined;
}
