import type { Key } from '../../key/key.js';
import type { Character } from '../../traits/character.js';
import type { Language } from './language.js';
import { wordsOf } from './statements.js';
import { countedTokensOf } from './tokens.js';

/** The words with which a text can refer to a character. */
export interface Subject {
  readonly character: Character;
  /** The stems of the words in its name and id: `cap`, `width`. */
  readonly all: ReadonlySet<string>;
  /**
   * The words that must be said for the character to be meant: what its name begins with, `prickle` of `prickle on the
   * cone scales`; where that is a word such as `colour`, any word that names a part, `spore` and `print`.
   */
  readonly core: ReadonlySet<string>;
  /** When its states say that something is present or absent: these two states. */
  readonly presence: { readonly present: number; readonly absent: number } | undefined;
  readonly states: readonly SaidState[];
  /** Whether one of its states is given as a number: `2`, `5 or more`. */
  readonly counted: boolean;
}

/** How a text can refer to a state. */
interface SaidState {
  /**
   * The state in so many words, as stems: its id, and its meaning where that is short. None of them is empty: a meaning
   * without a word or a number, such as `+`, cannot be put in words.
   */
  readonly exact: readonly (readonly string[])[];
  /** Every word in its id and meaning: any of them can hint at it. */
  readonly hints: ReadonlySet<string>;
}

/** The subjects of a key's characters in its language; made on first use. */
export class Subjects {
  readonly #of = new Map<Character, Subject>();

  constructor(
    readonly key: Key,
    readonly language: Language,
  ) {}

  of(character: Character): Subject {
    let subject = this.#of.get(character);
    if (subject === undefined) {
      subject = makeSubject(character, this.language);
      this.#of.set(character, subject);
    }
    return subject;
  }

  /** How strongly a text refers to a character: the share of its core words that it uses. */
  share(character: Character, stems: ReadonlySet<string>): number {
    const { core } = this.of(character);
    let said = 0;
    for (const word of core) if (stems.has(word)) said++;
    return core.size === 0 ? 0 : said / core.size;
  }
}

/** The stems of the words of a text. */
export function stemsOf(text: string, language: Language): Set<string> {
  return new Set(wordsOf(text).flatMap((w) => w.lower.split(/[-’']/).map((part) => language.stem(part))));
}

function makeSubject(character: Character, language: Language): Subject {
  const { words } = language;
  const isFiller = (word: string) =>
    [words.articles, words.prepositions, words.and, words.or, words.copulas].some((list) =>
      language.is(list, word),
    );
  const name = wordsOf(character.name).map((w) => w.lower);
  const written = [...character.id.split('-'), ...name].filter((w) => !isFiller(w));
  const phrase = (text: string) => countedTokensOf(text, language);
  const phrases = character.states.map((s) =>
    // A hyphen in an id separates words, but joins the numbers of a range.
    [phrase(s.id.replace(/(?<=\p{L})-|-(?=\p{L})/gu, ' ')), phrase(s.meaning)].filter(
      (said, i) => said.length > 0 && (i === 0 || said.length <= 2),
    ),
  );
  return {
    character,
    all: new Set(written.map((w) => language.stem(w))),
    core: coreOf(character, name, written, isFiller, language),
    presence: presenceOf(character, language),
    counted: phrases.some((said) => said.some((tokens) => tokens.some((t) => t.number))),
    states: character.states.map((s, i): SaidState => {
      const hints = [...wordsOf(s.meaning).map((w) => w.lower), ...s.id.split('-')].filter(
        (w) => !isFiller(w),
      );
      return {
        exact: (phrases[i] ?? []).map((tokens) => tokens.map((t) => t.stem)),
        hints: new Set(hints.filter((w) => w.length > 2).map((w) => language.stem(w))),
      };
    }),
  };
}

function coreOf(
  character: Character,
  name: readonly string[],
  written: readonly string[],
  isFiller: (word: string) => boolean,
  language: Language,
): Set<string> {
  const { words } = language;
  const stems = (list: readonly string[]) => new Set(list.map((w) => language.stem(w)));
  const parts = stems(written.filter((w) => !language.is(words.generic, w)));
  // `how the gills meet the stem`: the word that is also in the id is meant.
  if (language.is(words.questions, name[0] ?? '')) {
    const inId = stems(character.id.split('-'));
    const inName = stems(name);
    const both = [...parts].filter((p) => inId.has(p) && inName.has(p));
    return both.length === 0 ? parts : new Set(both);
  }
  const first = name.findIndex((w) => language.is(words.prepositions, w));
  const head = (first < 0 ? name : name.slice(0, first)).filter((w) => !isFiller(w)).at(-1);
  return head === undefined || language.is(words.generic, head) ? parts : stems([head]);
}

function presenceOf(character: Character, language: Language): Subject['presence'] {
  const { present, absent } = language.words;
  const find = (list: readonly string[]) =>
    character.states.findIndex((s) => language.is(list, s.id) || language.is(list, s.meaning));
  const there = find(present);
  const not = find(absent);
  return character.states.length === 2 && there >= 0 && not >= 0
    ? { present: there, absent: not }
    : undefined;
}
