import type { Taxon } from '../key/key.js';

/** A stretch of text; in italics where it is a scientific name, or a part of one, at the rank of genus or below. */
export interface Span {
  readonly text: string;
  readonly italic: boolean;
}

const ITALIC_RANKS: ReadonlySet<string> = new Set([
  'genus',
  'subgenus',
  'section',
  'series',
  'species',
  'aggregate',
  'subspecies',
  'variety',
  'form',
]);

// Words inside a name that are no Latin name themselves: terms of rank, and what is said of the sense of a name.
const UPRIGHT =
  /^(subsp|ssp|subg|subgen|sect|subsect|ser|var|subvar|f|fo|agg|cf|aff|sp|spp|s|l|str|lat|nothosubsp|nothovar)\.$|^(×|x|group|aggregate|complex|sensu|lato|stricto|auct|ined)$|^s\.(l|str|lat)\.$/;

/** Whether the name of a taxon is set in italics: at the rank of genus and below; without a rank, when it is a binomial. */
function isItalic(taxon: Taxon): boolean {
  if (taxon.rank !== undefined) return ITALIC_RANKS.has(taxon.rank);
  return /^\p{Lu}[\p{Ll}-]+ (× ?)?\p{Ll}[\p{Ll}-]+$/u.test(taxon.name);
}

/** The name of a taxon as it is set: `Galera tenera` and `minor` in italics, `f.` between them upright. */
export function nameSpans(taxon: Taxon): Span[] {
  return isItalic(taxon) ? italicWords(taxon.name) : [{ text: taxon.name, italic: false }];
}

function italicWords(name: string): Span[] {
  const spans: { text: string; italic: boolean }[] = [];
  for (const piece of name.split(/(\s+)/)) {
    if (piece === '') continue;
    const last = spans.at(-1);
    const space = piece.trim() === '';
    const italic = space ? (last?.italic ?? true) : !UPRIGHT.test(piece);
    if (last !== undefined && last.italic === italic) last.text += piece;
    else spans.push({ text: piece, italic });
  }
  // A space belongs to the upright side, so that emphasis begins and ends at letters.
  return spans.flatMap(({ text, italic }): Span[] => {
    const bare = text.trimEnd();
    if (!italic || bare === text) return [{ text, italic }];
    return [
      { text: bare, italic },
      { text: text.slice(bare.length), italic: false },
    ];
  });
}

/** Finds the scientific names of a key in running text, so that they are set in italics there too. */
export class NameFinder {
  readonly #names = new Set<string>();
  /** By first word, the most words that a name which begins with it has. */
  readonly #longest = new Map<string, number>();

  constructor(taxa: Iterable<Taxon>) {
    for (const taxon of taxa) {
      if (!isItalic(taxon)) continue;
      const words = taxon.name.split(/\s+/);
      const [first = ''] = words;
      this.#names.add(words.join(' '));
      this.#longest.set(first, Math.max(this.#longest.get(first) ?? 0, words.length));
    }
  }

  /** A text in spans; put together they are the text. */
  spans(text: string): Span[] {
    const spans: Span[] = [];
    let done = 0;
    for (const match of text.matchAll(/(?<!\p{L})\p{Lu}[\p{L}-]*/gu)) {
      const most = this.#longest.get(match[0]);
      if (most === undefined || match.index < done) continue;
      const end = this.#endOfName(text, match.index, most);
      if (end === undefined) continue;
      if (match.index > done) spans.push({ text: text.slice(done, match.index), italic: false });
      spans.push(...italicWords(text.slice(match.index, end)));
      done = end;
    }
    if (done < text.length) spans.push({ text: text.slice(done), italic: false });
    return spans;
  }

  /** Where the longest name ends that begins there. */
  #endOfName(text: string, start: number, most: number): number | undefined {
    const word = /[^\s,;:()]+/gy;
    const words: string[] = [];
    let best: number | undefined;
    word.lastIndex = start;
    for (let n = 0; n < most; n++) {
      const match = word.exec(text);
      if (match === null) break;
      // The full stop of a sentence is not part of its last word, that of "var." is.
      const bare = match[0].replace(/[.!?]+$/, '');
      if (this.#names.has([...words, bare].join(' '))) best = match.index + bare.length;
      words.push(match[0]);
      if (text[word.lastIndex] !== ' ') break;
      word.lastIndex++;
    }
    return best;
  }
}
