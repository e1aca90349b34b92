import type { Couplet, Key, Lead } from '../../key/key.js';
import { type Language, languageOf } from './language.js';

/**
 * A longer lead is no lead that people read, and is not searched for what its words say. The limit also keeps a text that
 * was made to be slow from being so.
 */
export const LONGEST_READ = 2000;

/** A stretch of a lead's text. */
export interface TextStretch {
  readonly text: string;
  /** Where it begins in the text of the lead. */
  readonly start: number;
}

/** A word of a text, as it stands there. */
export interface Word extends TextStretch {
  readonly lower: string;
}

/** A full stop that ends a sentence: before a capital, after a word of four letters or more that is no abbreviation. */
const SENTENCE_END = String.raw`(?<=\p{L}{4})(?<!\b(?:subsp|subg|subgen|sect|diam|approx|incl|resp|excl))\.(?=\s+\p{Lu})`;
const STATEMENT_END = new RegExp(`;|${SENTENCE_END}`, 'gu');

/** Whether a text parts statements as sentences. */
export function hasSentences(text: string): boolean {
  return new RegExp(SENTENCE_END, 'u').test(text);
}

/** The statements of a lead: what stands between semicolons, or a sentence each. */
export function statementsOf(text: string): TextStretch[] {
  return cut(
    text,
    [...text.matchAll(STATEMENT_END)].map((m) => m.index),
  );
}

/** The parts of a statement between its commas; a comma within a number or within brackets does not part. */
export function partsOf(statement: TextStretch): TextStretch[] {
  const commas = partingCommas(statement.text);
  return cut(statement.text, commas).map((s) => ({ ...s, start: s.start + statement.start }));
}

/** Where the commas stand that are neither followed by a digit nor by a bracket that closes before one opens. */
function partingCommas(text: string): number[] {
  const commas: number[] = [];
  // From the right, so that a text of nothing but commas is gone through once.
  let within = false;
  for (let i = text.length - 1; i >= 0; i--) {
    const sign = text[i];
    if (sign === ')') within = true;
    else if (sign === '(') within = false;
    else if (sign === ',' && !within && !/\d/.test(text[i + 1] ?? '')) commas.push(i);
  }
  return commas.reverse();
}

/** The parts of a text between single signs that stand at these places. */
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

/** A text with what stands in brackets blanked out, so that nothing moves: a remark is no statement. */
export function withoutRemarks(text: string): string {
  return text.replace(/\([^()]*\)/g, (remark) => ' '.repeat(remark.length));
}

/** The words of a text in order; a hyphen joins them. */
export function wordsOf(text: string): Word[] {
  return [...text.matchAll(/\p{L}[\p{L}\p{N}]*(?:[-’'][\p{L}\p{N}]+)*/gu)].map((m) => ({
    text: m[0],
    lower: m[0].toLowerCase(),
    start: m.index,
  }));
}

/** The word a lead opens with, articles left out; undefined when it opens with a number. */
export function openingOf(text: string, language: Language): Word | undefined {
  if (/^[^\p{L}]*\p{N}/u.test(text)) return undefined;
  return wordsOf(text).find((w) => !language.is(language.words.articles, w.lower));
}

/** A lead whose whole text only refuses the other leads: `Not so`, `Not as above`. */
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
