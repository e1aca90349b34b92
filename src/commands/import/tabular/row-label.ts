/** The label of a lead where it has a cell of its own. */

/** A label, as far as its form alone tells. */
export interface RowLabel {
  readonly printed: string;
  /** The number or letter of the couplet; undefined for a dash and for nothing. */
  readonly couplet: string | undefined;
  /** Which lead of its couplet, from 0; undefined where the label does not say. */
  readonly mark: number | undefined;
  /** What stands in brackets: the couplet from which this one is reached or, in serial keys, the other lead. */
  readonly back: readonly string[];
  /** Letters alone: a couplet where no number is used, else a lead of the couplet above. */
  readonly letters: boolean;
}

const DASHES = '[-‐‑‒–—―−]';
const DASH = new RegExp(String.raw`^(?:${DASHES}{1,3}|[*•·]|\.{1,3}|["“”„])\.?$`, 'u');
const PRIMES = `['’‘′´\`"”″*+]`;
const LABEL = new RegExp(
  String.raw`^${DASHES}?\s?[([]?(?<number>\d{1,4})[\])]?[.:]?\s?(?:(?<letter>[a-hA-H])|(?<primes>${PRIMES}{1,4}))?[.:)]{0,2}\s?(?:[([](?<back>[^()[\]]{1,40})[\])])?\s?(?<after>${PRIMES}{1,4})?[.:)]?\s?${DASHES}?$`,
  'u',
);
const LETTERS = new RegExp(
  String.raw`^[([]?(?<letters>(?<one>[A-Za-z])\k<one>{0,3})(?<primes>${PRIMES}{1,4})?[\]).:]{0,2}(?:\s?[([](?<back>[^()[\]]{1,20})[\])])?$`,
  'u',
);

/** Reads a label; undefined when the text is none. An empty text is not a label either. */
export function readRowLabel(written: string): RowLabel | undefined {
  const text = written.trim();
  if (text === '' || text.length > 60) return undefined;
  if (DASH.test(text))
    return { printed: text, couplet: undefined, mark: undefined, back: [], letters: false };
  const numbered = LABEL.exec(text)?.groups;
  if (numbered !== undefined) {
    const { number = '', letter, primes, after, back } = numbered;
    const marks = primes ?? after;
    // `1 (a)`
    const inner = letter === undefined && /^[a-h]$/i.test(back ?? '') ? back : letter;
    return {
      printed: text,
      couplet: String(Number(number)),
      mark:
        inner !== undefined
          ? inner.toLowerCase().charCodeAt(0) - 97
          : marks === undefined
            ? undefined
            : primesOf(marks),
      back: backs(back),
      letters: false,
    };
  }
  const lettered = LETTERS.exec(text)?.groups;
  if (lettered === undefined) return undefined;
  const { letters = '', one = '', primes, back } = lettered;
  const more = letters.length - 1 + (primes === undefined ? 0 : primesOf(primes));
  return {
    printed: text,
    couplet: one,
    mark: more === 0 ? undefined : more,
    back: backs(back),
    letters: true,
  };
}

function primesOf(marks: string): number {
  let count = 0;
  for (const sign of marks) count += /["”″]/.test(sign) ? 2 : 1;
  return count;
}

function backs(text: string | undefined): string[] {
  if (text === undefined) return [];
  const found = text.split(/\s*(?:[,;/&]|\bund\b|\band\b|\bor\b)\s*/).map((b) => b.trim());
  return found.every((b) => /^\d{1,4}\s?(?:[a-h]|['’‘′´`"”″*–-]{1,2})?$/i.test(b))
    ? found.map((b) => b.replace(/\s|[–-]$/g, ''))
    : [];
}
