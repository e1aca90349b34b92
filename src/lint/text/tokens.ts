import type { Language } from './language.js';
import { saidNumbers } from './said-numbers.js';
import { type Word, wordsOf } from './statements.js';

/** A word of a lead, or a number with everything said about it, in a form that can be compared: `leaf`, `2`, `>= 5`, `2-4 mm`. */
export interface Token extends Word {
  readonly stem: string;
  readonly number: boolean;
}

/** The words of a text; words joined by a hyphen count separately. */
export function tokensOf(text: string, language: Language): Token[] {
  return wordsOf(text).flatMap((word) =>
    word.lower.split(/[-’']/).map((lower) => ({ ...word, lower, stem: language.stem(lower), number: false })),
  );
}

/** The words and the numbers of a text in order; a number includes the words that belong to it: `5 or more`, `two`. */
export function countedTokensOf(text: string, language: Language): Token[] {
  const numbers = saidNumbers(text, language);
  const words = tokensOf(text, language).filter(
    (w) => !numbers.some((n) => w.start < n.end && w.start + w.text.length > n.start),
  );
  const counted = numbers.map((n): Token => {
    const unit = n.unit === undefined ? '' : ` ${n.unit.id}`;
    const stem = `${n.loose ? '~' : ''}${n.notation}${unit}${n.times ? ' times' : ''}`;
    return { text: n.text, lower: n.text.toLowerCase(), start: n.start, stem, number: true };
  });
  return [...words, ...counted].sort((a, b) => a.start - b.start);
}
