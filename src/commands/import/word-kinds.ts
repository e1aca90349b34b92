/** What kind of word each word of a lead is: looked up in the lists of `trait-words.ts`. */
import {
  COLOUR_WORDS,
  DEGREE_WORDS,
  PART_WORDS,
  PROPERTY_ENDINGS,
  PROPERTY_WORDS,
  SHADE_WORDS,
} from './trait-words.js';

const COLOURS = new Set(COLOUR_WORDS);
const SHADES = new Set(SHADE_WORDS);
const byWord = new Map<string, string[]>();
for (const [property, words] of Object.entries(PROPERTY_WORDS))
  for (const word of words) byWord.set(word, [...(byWord.get(word) ?? []), property]);
const known = [...byWord.keys()];

/** The word in lower case without the stop that follows it. */
export function bare(word: string): string {
  return word.toLowerCase().replace(/[.,;:!]+$/, '');
}

/** Words that differ in their endings only have one stem. */
export function stemOf(word: string): string {
  const plain = bare(word).replace(/æ/g, 'ae');
  if (plain.length < 4) return plain;
  // Twice, for the plural and what stands before it.
  const single = plain.replace(/ves$/, 'f').replace(/(?<=...)(?:es|s|en)$/, '');
  return single.replace(/(?<=...)(?:ium|ia|ae|us|er|em|en|e|n|a|i|y)$/, '');
}

const cached = new Map<string, readonly string[]>();

/** The questions that a word answers: none when it is no known word. A shortened word (`fiedert.`) is what it begins. */
export function propertiesOf(written: string): readonly string[] {
  const known = cached.get(written);
  if (known !== undefined) return known;
  const found = looked(written);
  if (cached.size < 20_000) cached.set(written, found);
  return found;
}

function looked(written: string): readonly string[] {
  const word = bare(written);
  if (DEGREE_WORDS.has(word)) return [];
  if (isColour(word)) return ['colour'];
  const exact = byWord.get(word) ?? byWord.get(word.replace(/(?:e|er|es|en|em)$/, ''));
  if (exact !== undefined) return exact;
  for (const [ending, property] of Object.entries(PROPERTY_ENDINGS))
    if (word.endsWith(ending) || word.replace(/e[rsnm]?$/, '').endsWith(ending)) return [property];
  const last = word.split('-').at(-1) as string;
  if (last !== word && byWord.has(last)) return byWord.get(last) as string[];
  if (/\.$/.test(written) && word.length >= 3) {
    if (/(?:f)$/.test(word)) return ['shape'];
    if (/(?:st)$/.test(word)) return ['position', 'arrangement'];
    const whole = known.filter((w) => w.startsWith(word) && w.length > word.length);
    const common = (byWord.get(whole[0] ?? '') ?? []).filter((p) =>
      whole.every((w) => byWord.get(w)?.includes(p) === true),
    );
    if (common.length > 0) return common;
  }
  return [];
}

/** Whether a word is a colour, or colours joined by hyphens. */
export function isColour(written: string): boolean {
  const word = bare(written);
  const ends = (w: string) => COLOURS.has(w) || COLOURS.has(w.replace(/(?:e|er|es|en|em)$/, ''));
  if (ends(word)) return true;
  const parts = word.split('-');
  return parts.length > 1 && parts.every((p) => ends(p) || SHADES.has(p)) && parts.some(ends);
}

/** Whether a word says how dark or pure a colour is. */
export function isShade(written: string): boolean {
  return SHADES.has(bare(written));
}

/** Whether a word names a part of a plant, fungus or animal. */
export function isPart(word: string): boolean {
  const plain = bare(word);
  return (
    PART_WORDS.has(plain) ||
    PART_WORDS.has(plain.replace(/s$/, '')) ||
    PART_WORDS.has(plain.split('-').at(-1) ?? '')
  );
}

/** Whether two stems are one; a shortened word is what it begins. */
export function sameStem(a: string, b: string): boolean {
  if (a === b) return true;
  const [short, long] = a.length < b.length ? [a, b] : [b, a];
  return short.length >= 5 && long.startsWith(short) && !long.includes('-');
}

/** The stems of words, and of what they are composed of by hyphens. */
export function stemsOf(words: readonly string[]): string[] {
  return words.flatMap((w) => [stemOf(w), ...(w.includes('-') ? w.split('-').map(stemOf) : [])]);
}
