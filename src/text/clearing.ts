import { CLEARING_WORDS, type ClearingWords } from './clearing-words.js';
import { looksLike } from './harmless.js';

interface Token {
  readonly text: string;
  /** Without capitals and accents, and without letters of another script that only look like Latin ones. */
  readonly folded: string;
  /** The text between the word before and this one. */
  readonly gap: string;
}

/** Cyrillic letters that are drawn as Latin ones. */
const LOOKALIKES: Readonly<Record<string, string>> = {
  а: 'a',
  е: 'e',
  о: 'o',
  р: 'p',
  с: 'c',
  у: 'y',
  х: 'x',
  і: 'i',
  ѕ: 's',
  ј: 'j',
  һ: 'h',
  ԁ: 'd',
  ӏ: 'l',
};

function folded(word: string): string {
  const lower = word.toLowerCase();
  if (/^[a-z0-9]*$/.test(lower)) return lower;
  const plain = lower.normalize('NFKD').replace(/\p{M}/gu, '');
  return /\p{Script=Latin}/u.test(plain) ? plain.replace(/[а-ӿԁ]/g, (c) => LOOKALIKES[c] ?? c) : plain;
}

/** A word that is looked for, alone or with those that follow it. */
interface Phrase {
  readonly language: string;
  readonly words: readonly string[];
  /** Whether the last word may continue. */
  readonly open: boolean;
}

/** What was found at a place, and how many words it takes. */
interface Hit {
  readonly language: string;
  readonly length: number;
}

/** Words of several languages, by their first letters, so that most words of a text need no comparison. */
class WordList {
  #read: Map<string, Phrase[]> | undefined;

  constructor(readonly written: Iterable<readonly [language: string, texts: readonly string[]]>) {}

  // Read when it is asked for first, since that takes a while and many a run asks for none.
  get #byStart(): ReadonlyMap<string, readonly Phrase[]> {
    this.#read ??= this.#readAll();
    return this.#read;
  }

  #readAll(): Map<string, Phrase[]> {
    const byStart = new Map<string, Phrase[]>();
    for (const [language, texts] of this.written)
      for (const text of texts) {
        const open = text.endsWith('*');
        const words = (open ? text.slice(0, -1) : text).split(' ').map(folded);
        const start = (words[0] ?? '').slice(0, 2);
        const alike = byStart.get(start);
        const phrase = { language, words, open };
        if (alike === undefined) byStart.set(start, [phrase]);
        else alike.push(phrase);
      }
    return byStart;
  }

  /** What every entry begins with that can stand in a text of plain letters. */
  get plainStarts(): readonly string[] {
    return [...this.#byStart.values()]
      .flat()
      .flatMap(({ words: [first = ''] }) => first.match(/^[a-z0-9]+$/) ?? []);
  }

  /** Everything that stands at a place. */
  at(tokens: readonly Token[], at: number): readonly Hit[] {
    const hits: Hit[] = [];
    for (const { language, words, open } of this.#byStart.get(tokens[at]?.folded.slice(0, 2) ?? '') ?? []) {
      const stands = words.every((word, i) => {
        const said = tokens[at + i]?.folded;
        return said === word || (open && i === words.length - 1 && said?.startsWith(word) === true);
      });
      if (stands) hits.push({ language, length: words.length });
    }
    return hits;
  }

  /** Where an entry of a language begins that ends right before a place; the longest. */
  before(tokens: readonly Token[], at: number, language: string): number | undefined {
    for (let length = Math.min(LONGEST, at); length > 0; length--)
      if (this.at(tokens, at - length).some((h) => h.language === language && h.length === length))
        return at - length;
    return undefined;
  }
}

/** The most words of a negation, or of what warns. */
const LONGEST = 3;

function listOf(which: (words: ClearingWords) => readonly string[] | undefined): WordList {
  return new WordList(
    Object.entries(CLEARING_WORDS).map(([language, words]) => [language, which(words) ?? []] as const),
  );
}

const CLEARS = listOf((w) => w.clears);
const HARMS = listOf((w) => w.harms);
const NEGATIONS = listOf((w) => w.negations);
const BETWEEN = listOf((w) => w.between);
const WARNS = listOf((w) => w.warns);
const ARTICLES = listOf((w) => w.articles);
const LATIN = 'la';
const RANK_MARKS = new Set([
  'var',
  'subsp',
  'ssp',
  'f',
  'fo',
  'forma',
  'cf',
  'aff',
  'kl',
  'x',
  'sect',
  'subg',
]);

const CLAUSE_END = /[,;:.!?()[\]{}"“”«»…–—/|\n]|\s-\s/;
/** How many words a negation reaches over. */
const REACH = 6;

const PLAIN = /^[ -~]*$/;
let starts: RegExp | undefined;

/** Whether a text holds none of the words for sure; most do, and taking each apart was a tenth of reading a key. */
function saysNothing(text: string): boolean {
  if (!PLAIN.test(text)) return false;
  const first = () => [...new Set([...CLEARS.plainStarts, ...HARMS.plainStarts])].join('|');
  starts ??= new RegExp(`(?<![A-Za-z0-9])(?:${first()})`, 'i');
  return !starts.test(text);
}

/**
 * A word or phrase of clearance in a text, as it is written there; undefined when there is none. A negated one
 * (`not edible`) is a warning and does not count; a negated word of harm (`not poisonous`) does. `scientific`: the
 * text is a scientific name, in which Latin words do not clear anything.
 */
export function clearingIn(
  text: string,
  options: { readonly scientific?: boolean } = {},
): string | undefined {
  if (saysNothing(text)) return undefined;
  const tokens = tokensOf(text);
  for (let i = 0; i < tokens.length; i++) {
    const clears = CLEARS.at(tokens, i).filter(
      ({ language }) => language !== LATIN || !(options.scientific === true || isEpithet(tokens, i)),
    );
    if (clears.length > 0 && !clears.some((hit) => denied(tokens, i, hit) || warned(tokens, i, hit.language)))
      return phraseAt(tokens, i, Math.max(...clears.map((h) => h.length)));
    for (const { language, length } of HARMS.at(tokens, i)) {
      const from = negationBefore(tokens, i, language);
      if (from !== undefined) return phraseAt(tokens, from, i + length - from);
    }
  }
  return undefined;
}

const CAUTION = 'words that clear no find for eating';
const QUOTED = new RegExp(`^the (?:key|record) says: "[^"]*" \\(${CAUTION}\\)$`);

/**
 * The words of an author as the program may show them: those that clear a find are shown as a quotation, with the
 * caution beside them, so that nobody takes
 * them for the program's own. All other words stay as they are.
 */
export function quotedIfClearing(
  whose: 'key' | 'record',
  text: string,
  options: { readonly scientific?: boolean } = {},
): string {
  if (clearingIn(text, options) === undefined || QUOTED.test(text)) return text;
  return `the ${whose} says: "${text.replace(/["“”]/g, '’')}" (${CAUTION})`;
}

function tokensOf(text: string): Token[] {
  const plain = looksLike(text).normalize('NFKC');
  const tokens: Token[] = [];
  let end = 0;
  for (const match of plain.matchAll(/[\p{L}\p{M}\p{N}]+/gu)) {
    tokens.push({ text: match[0], folded: folded(match[0]), gap: plain.slice(end, match.index) });
    end = match.index + match[0].length;
  }
  return tokens;
}

function phraseAt(tokens: readonly Token[], from: number, length: number): string {
  return tokens
    .slice(from, from + length)
    .map((t, i) => (i === 0 ? t.text : t.gap + t.text))
    .join('');
}

/**
 * Where the negation begins that denies what stands at a place: `not`, `not known to be`; none past the end of a
 * clause.
 */
function negationBefore(tokens: readonly Token[], at: number, language: string): number | undefined {
  for (let i = at; i > 0 && at - i < REACH; i--) {
    if (CLAUSE_END.test(tokens[i]?.gap ?? '')) return undefined;
    const from = NEGATIONS.before(tokens, i, language);
    if (from !== undefined) return from;
    if (!BETWEEN.at(tokens, i - 1).some((h) => h.language === language)) return undefined;
  }
  return undefined;
}

/** Whether a word that clears is itself denied: `not edible`, `edible: no`. */
function denied(tokens: readonly Token[], at: number, { language, length }: Hit): boolean {
  if (negationBefore(tokens, at, language) !== undefined) return true;
  const behind = at + length;
  if (!/[:?=(]/.test(tokens[behind]?.gap ?? '')) return false;
  return NEGATIONS.at(tokens, behind).some((no) => {
    const next = tokens[behind + no.length];
    return no.language === language && (next === undefined || CLAUSE_END.test(next.gap));
  });
}

/** Whether a word that clears is part of a warning of a mistaken identity: `mistaken for an edible one`. */
function warned(tokens: readonly Token[], at: number, language: string): boolean {
  if (CLAUSE_END.test(tokens[at]?.gap ?? '')) return false;
  const from = ARTICLES.before(tokens, at, language) ?? at;
  return [at, from].some((place) => WARNS.before(tokens, place, language) !== undefined);
}

/** Whether a Latin word is part of a scientific name: after a genus, its initial, or a mark of rank. */
function isEpithet(tokens: readonly Token[], at: number): boolean {
  for (let i = at; i > 0 && at - i < 3; i--) {
    const before = tokens[i - 1] as Token;
    const initial = /^\p{Lu}$/u.test(before.text) && /^\.\s*$/.test(tokens[i]?.gap ?? '');
    if (initial || RANK_MARKS.has(before.folded)) return true;
    if (CLAUSE_END.test(tokens[i]?.gap ?? '')) return false;
    if (/^\p{Lu}\p{Ll}/u.test(before.text)) return true;
  }
  return false;
}
