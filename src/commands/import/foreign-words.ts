/** Signs that words of a lead are none of its own: what stood beside or between its lines on the page. */

interface Sign {
  readonly pattern: RegExp;
  readonly what: string;
}

const SIGNS: readonly Sign[] = [
  // Programs that copy text join `vari-` and the page number below it.
  { pattern: /\p{Ll}{2}\d{2,4}\s\p{Ll}/u, what: 'a number inside a word' },
  {
    pattern: /doi\s*:\s*10\.\d{4}|https?:\/\/|\bwww\.\S+\.\S|©|\bdownloaded from\b|\bby guest on \d/i,
    what: 'a notice of the publisher',
  },
  {
    pattern: /\bscale[ -]?bars?\s*[:=]|^(?:bars?\s*[:=]\s*)?\d*\s?[mµμ]m\.\s/i,
    what: 'the caption of a figure',
  },
  { pattern: /\p{Ll},?\s(?:\p{Lu}{2,}\s){3,}\p{Ll}/u, what: 'a running head' },
  {
    pattern: /\p{Ll}{3}-\s(?!(?:and|or|to|nor|than|und|oder|bis|bzw|wie|sowie|als|resp)\b)\p{Ll}{3,}[\s.,;]/u,
    what: 'a word that breaks off',
  },
];

/** What among the words of a lead belongs to the page and not to the lead; undefined when nothing shows. */
export function foreignWords(words: string): string | undefined {
  for (const { pattern, what } of SIGNS) {
    const at = pattern.exec(words);
    if (at !== null) {
      const from = Math.max(0, at.index - 12);
      return `${what} (…${words.slice(from, at.index + at[0].length + 12).trim()}…)`;
    }
  }
  return undefined;
}
