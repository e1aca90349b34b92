import type { Key } from '../../key/key.js';
import { proposedLeads } from '../review.js';
import type { Language } from './language.js';
import { wordsOf } from './statements.js';
import { Subjects } from './subjects.js';

/** A statement names its part among its first words: `young twigs pubescent`, `length of the first tergite`. */
const FIRST = 5;

/** The parts of organisms that the leads of a key speak of: those of its language, and those its characters are named after. */
export class Parts {
  readonly #stems: ReadonlySet<string>;
  readonly #joining: ReadonlySet<string>;

  constructor(
    key: Key,
    readonly language: Language,
  ) {
    const { words } = language;
    const subjects = new Subjects(key, language);
    const named = proposedLeads(key).size > 0 ? [] : [...key.characters.values()];
    const own = named.flatMap((character) => [...subjects.of(character).core]);
    this.#stems = new Set([...words.parts.map((part) => language.stem(part)), ...own]);
    this.#joining = new Set(
      [
        words.articles,
        words.copulas,
        words.and,
        words.or,
        words.prepositions,
        words.fillers,
        words.hedges,
        words.negations,
        words.with,
        words.without,
      ].flat(),
    );
  }

  /** The part that a statement is about, as written, when another text names neither it nor anything else of the statement. */
  unnamedIn(statement: string, other: string): string | undefined {
    const words = this.#stemsIn(statement);
    const part = words.slice(0, FIRST).find((w) => this.#stems.has(w.stem));
    if (part === undefined) return undefined;
    const others = this.#stemsIn(other);
    // A word that both have may mean that the other answers in other words.
    return words.some((w) => others.some((o) => isSame(w.stem, o.stem))) ? undefined : part.word;
  }

  #stemsIn(text: string): { readonly word: string; readonly stem: string }[] {
    return wordsOf(text)
      .flatMap((w) => w.lower.split(/[-’']/))
      .filter((word) => word.length > 1 && !this.#joining.has(word))
      .map((word) => ({ word, stem: this.language.stem(word) }));
  }
}

/** Whether two stems are of one word, of a word and what is made of it (`thorn`, `thorny`), or of a word and its abbreviation. */
function isSame(a: string, b: string): boolean {
  if (a === b) return a.length > 2;
  const [short, long] = a.length < b.length ? [a, b] : [b, a];
  if (short.length > 3 && long.startsWith(short)) return true;
  return short.length > 2 && !/[aeiouyäöü]/.test(short) && short[0] === long[0] && isWithin(short, long);
}

/** Whether the letters of one word stand in another in this order: `blt` in `blut`. */
function isWithin(letters: string, word: string): boolean {
  let at = 0;
  for (const letter of word) if (letter === letters[at]) at++;
  return at === letters.length;
}
