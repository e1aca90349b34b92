import type { Couplet, Key, Lead } from '../../key/key.js';
import { type Language, languageOf } from './language.js';

/**
 * Nobody reads a longer lead, so it is not searched for what its words say. The limit also stops a text from being slow
 * on purpose.
 */
export const LONGEST_READ = 2000;

/** A stretch of a lead's text. */
export interface TextStretch {
  readonly text: string;
  /** Where it begins in the text of the lead. */
  readonly start: number;
}

/** A word of a text, as written there. */
export interface Word extends TextStretch {
  readonly lower: string;
}

/** A full stop that ends a sentence: before a capital, after a word of four or more letters that is not an abbreviation. */
const SENTENCE_END =
  /(?<=\p{L}{4})(?<!\b(?:subsp|subg|subgen|sect|diam|approx|incl|resp|excl))\.(?=\s+\p{Lu})/gu;
/** A longer word with a full stop and what follows it, and what follows where the sentence goes on. */
const STOPPED = /(?<!\p{L})(\p{L}{4,})\.(?:\s*[^\s]|-\p{L})?/gu;
const WITHIN = /\.(?:\s*[,;:)\]]|-\p{L}|\s+[\p{Ll}\d(])$/u;
const NONE: ReadonlySet<string> = new Set();

const abbreviated = new WeakMap<Key, ReadonlySet<string>>();

/**
 * The longer words that a key abbreviates, in lower case: those behind whose full stop a sentence goes on somewhere in it, and
 * those that always are short for others in its language. Where such a word stands before a capital, as before every noun in German, it ends no sentence.
 */
export function abbreviationsOf(key: Key): ReadonlySet<string> {
  let found = abbreviated.get(key);
  if (found === undefined) {
    const texts = [...key.couplets.values()].flatMap((c) =>
      c.leads.map((l) => l.text.slice(0, LONGEST_READ)),
    );
    const ending = languageOf(key)?.words.abbreviated;
    found = new Set(
      texts
        .flatMap((t) => [...t.matchAll(STOPPED)])
        .filter(([whole, word = '']) => WITHIN.test(whole) || ending?.test(word))
        .map(([, word = '']) => word.toLowerCase()),
    );
    abbreviated.set(key, found);
  }
  return found;
}

function sentenceEnds(text: string, abbreviations: ReadonlySet<string>): number[] {
  return [...text.matchAll(SENTENCE_END)]
    .map((m) => m.index)
    .filter(
      (at) =>
        !abbreviations.has(/\p{L}+$/u.exec(text.slice(Math.max(0, at - 40), at))?.[0].toLowerCase() ?? ''),
    );
}

/** Whether a text separates its statements as sentences. */
export function hasSentences(text: string, abbreviations: ReadonlySet<string> = NONE): boolean {
  return sentenceEnds(text, abbreviations).length > 0;
}

/** The statements of a lead: the text between semicolons, or its sentences. `abbreviations` are words that end none. */
export function statementsOf(text: string, abbreviations: ReadonlySet<string> = NONE): TextStretch[] {
  const semicolons = [...text.matchAll(/;/g)].map((m) => m.index);
  return cut(
    text,
    [...semicolons, ...sentenceEnds(text, abbreviations)].sort((a, b) => a - b),
  );
}

/** The parts of a statement between its commas; a comma within a number or within brackets does not separate. */
export function partsOf(statement: TextStretch): TextStretch[] {
  const commas = separatingCommas(statement.text);
  return cut(statement.text, commas).map((s) => ({ ...s, start: s.start + statement.start }));
}

/** The positions of commas followed neither by a digit nor by a bracket that closes before one opens. */
function separatingCommas(text: string): number[] {
  const commas: number[] = [];
  // From the right, so that a text of nothing but commas is read only once.
  let within = false;
  for (let i = text.length - 1; i >= 0; i--) {
    const sign = text[i];
    if (sign === ')') within = true;
    else if (sign === '(') within = false;
    else if (sign === ',' && !within && !/\d/.test(text[i + 1] ?? '')) commas.push(i);
  }
  return commas.reverse();
}

/** The parts of a text between the single signs at these places. */
function cut(text: string, at: readonly number[]): TextStretch[] {
  const out: TextStretch[] = [];
  let from = 0;
  const push = (to: number) => {
    const raw = text.slice(from, to);
    const trimmed = raw.trim();
    if (trimmed !== '') out.push({ text: trimmed, start: from + raw.indexOf(trimmed) });
  };
  for (const place of at) {
    push(place);
    from = place + 1;
  }
  push(text.length);
  return out;
}

/** A text with everything in brackets blanked out, so that nothing moves: a remark is not a statement. */
export function withoutRemarks(text: string): string {
  return text.replace(/\([^()]*\)/g, (remark) => ' '.repeat(remark.length));
}

/** The words of a text in order; hyphens join words. */
export function wordsOf(text: string): Word[] {
  return [...text.matchAll(/\p{L}[\p{L}\p{N}]*(?:[-’'][\p{L}\p{N}]+)*/gu)].map((m) => ({
    text: m[0],
    lower: m[0].toLowerCase(),
    start: m.index,
  }));
}

/** The word that a lead begins with, leaving out articles; undefined when it begins with a number. */
export function openingOf(text: string, language: Language): Word | undefined {
  if (/^[^\p{L}]*\p{N}/u.test(text)) return undefined;
  return wordsOf(text).find((w) => !language.is(language.words.articles, w.lower));
}

/** Whether the whole text of a lead only refuses the other leads: `Not so`, `Not as above`. */
export function isRefusal(text: string, language: Language): boolean {
  const plain = text.trim().replace(/[.!]$/, '');
  return language.words.refusals.some((pattern) => pattern.test(plain));
}

/** A lead with its couplet and the language it is written in. */
export interface ReadableLead {
  readonly couplet: Couplet;
  readonly lead: Lead;
  readonly language: Language;
}

/** Every lead of a key whose language is known. */
export function* leadsOf(key: Key): Generator<ReadableLead> {
  const language = languageOf(key);
  if (language === undefined) return;
  for (const couplet of key.couplets.values())
    for (const lead of couplet.leads) yield { couplet, lead, language };
}
