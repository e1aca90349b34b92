import type { Character } from '../../traits/character.js';
import { type Asked, statesAsked } from '../asked.js';
import type { Language } from './language.js';
import { LONGEST_READ, partsOf, statementsOf, type TextStretch } from './statements.js';
import type { Subject, Subjects } from './subjects.js';
import { countedTokensOf, type Token, tokensOf } from './tokens.js';

/** A state that the words of a lead claim against its condition. */
interface FalseState {
  readonly character: Character;
  /** What the words say: `ring absent`. */
  readonly said: string;
  /** The state that is stated or denied. */
  readonly state: number;
  readonly denied: boolean;
}

/**
 * The states that the words claim and the condition does not allow. Only plain cases are found: a part of a statement
 * that consists of words of the character and of its states, without a hedge, an age or a change.
 */
export function falseStates(text: string, asked: readonly Asked[], subjects: Subjects): FalseState[] {
  const { key, language } = subjects;
  const choices = asked.flatMap((a) => {
    const character = key.characters.get(a.character);
    if (character === undefined || character.kind !== 'choice') return [];
    return [{ subject: subjects.of(character), allowed: statesAsked(a, character.stateIndex) }];
  });
  if (choices.length === 0 || text.length > LONGEST_READ) return [];
  const stems = text
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .map((w) => language.stem(w));
  const negative = stems.some((s) => negationStems(language).has(s));
  if (!choices.some((c) => mayDiffer(c.subject, c.allowed, stems, negative))) return [];
  const found: FalseState[] = [];
  for (const statement of statementsOf(text)) {
    const parts = partsOf(statement);
    const words = parts.map((part) => tokensOf(part.text, language));
    // Numbers count as words only for a character whose states are numbers; elsewhere they are ignored.
    const counted = choices.some((c) => c.subject.counted)
      ? parts.map((part) => countedTokensOf(part.text, language))
      : words;
    const opening = words[0]?.find((t) => !language.is(language.words.articles, t.lower));
    for (const i of parts.keys()) {
      for (const { subject, allowed } of choices) {
        const tokens = (subject.counted ? counted : words)[i] ?? [];
        const claim = claimOf(tokens, subject, i > 0 ? opening : undefined, language);
        const state = claim === undefined ? undefined : contradiction(claim, subject, allowed, tokens);
        if (state === undefined || !plain(statement, tokens, language) || rival(tokens, subject, subjects))
          continue;
        found.push({ character: subject.character, said: said(tokens), ...state });
      }
    }
  }
  return found;
}

/** Whether the words may name a state that is not asked, or deny anything: most leads do neither. */
function mayDiffer(
  { states, presence, counted }: Subject,
  allowed: ReadonlySet<number>,
  stems: readonly string[],
  negative: boolean,
): boolean {
  if (negative || presence !== undefined || counted) return true;
  return states.some((s, i) => !allowed.has(i) && s.exact.some(([first]) => stems.includes(first ?? '')));
}

const negationsOf = new Map<Language, ReadonlySet<string>>();

function negationStems(language: Language): ReadonlySet<string> {
  let stems = negationsOf.get(language);
  if (stems === undefined) {
    const { negations, without } = language.words;
    stems = new Set([...negations, ...without].map((w) => language.stem(w)));
    negationsOf.set(language, stems);
  }
  return stems;
}

/** Whether something is said without a hedge, an age or a change. */
function plain(statement: TextStretch, tokens: readonly Token[], language: Language): boolean {
  const { words } = language;
  return (
    language.first(words.hedges, statement.text) === undefined &&
    !tokens.some((t) => language.is(words.changes, t.lower))
  );
}

/** The states that a part of a statement claims or denies of a character. */
interface Claim {
  readonly claimed: ReadonlySet<number>;
  readonly denied: ReadonlySet<number>;
}

function claimOf(
  tokens: readonly Token[],
  subject: Subject,
  opening: Token | undefined,
  language: Language,
): Claim | undefined {
  const claimed = new Set<number>();
  const denied = new Set<number>();
  let negative = false;
  let named = false;
  let states = 0;
  for (let i = 0; i < tokens.length; ) {
    const token = tokens[i] as Token;
    const state = stateAt(tokens, i, subject, language);
    // A state before its part: `viscid cap`, or, after a comma, of the part that the statement began with.
    const follows = tokens[i + (state?.length ?? 1)];
    if (state !== undefined) {
      named ||= joins(tokens, i, subject, language);
      const owned =
        named ||
        (i === 0 && opening !== undefined && subject.core.has(opening.stem)) ||
        (follows !== undefined && subject.core.has(follows.stem));
      if (!owned) return undefined;
      for (const s of state.states) (negative ? denied : claimed).add(s);
      states++;
      i += state.length;
      continue;
    }
    if (subject.core.has(token.stem)) {
      // `spines on the ring absent`: the second part only says where the first is.
      if (!named && i > 0 && spatial(tokens, i, language)) return undefined;
      named = true;
    } else if (language.is(language.words.negations, token.lower)) negative = true;
    else if (!isFiller(token, subject, language)) {
      // `hairs absent on the upper side`: what is said of one place need not be true elsewhere.
      if (states > 0 && language.is(language.words.prepositions, token.lower)) return undefined;
      // `stamens 6, 4 long`: a number that belongs to another word is not a state.
      if (states > 0 && tokens[i - 1]?.number === true) return undefined;
      if (states > 0) break;
      // `flower stalk without bracts`: whatever comes before, the bracts are meant.
      const joined = tokens.findIndex((_, k) => k > i && joins(tokens, k, subject, language));
      if (joined < 0) return undefined;
      i = joined;
      continue;
    }
    i++;
  }
  return states === 0 ? undefined : { claimed, denied };
}

function joins(tokens: readonly Token[], at: number, subject: Subject, language: Language): boolean {
  const word = (tokens[at] as Token).lower;
  const { words } = language;
  if (!language.is(words.with, word) && !language.is(words.without, word)) return false;
  return stateAt(tokens, at, subject, language) !== undefined;
}

function isFiller(token: Token, subject: Subject, language: Language): boolean {
  const { words } = language;
  return (
    subject.all.has(token.stem) ||
    [words.articles, words.copulas, words.fillers, words.and, words.or, words.generic, words.with].some(
      (list) => language.is(list, token.lower),
    )
  );
}

function spatial(tokens: readonly Token[], at: number, language: Language): boolean {
  const { words } = language;
  let i = at - 1;
  while (i >= 0 && language.is(words.articles, (tokens[i] as Token).lower)) i--;
  const before = tokens[i];
  return (
    before !== undefined &&
    language.is(words.prepositions, before.lower) &&
    !language.is(words.without, before.lower)
  );
}

/** The state named in so many words at a token, with the number of its words. */
function stateAt(
  tokens: readonly Token[],
  at: number,
  subject: Subject,
  language: Language,
): { readonly states: readonly number[]; readonly length: number } | undefined {
  const states: number[] = [];
  let length = 0;
  for (const [s, { exact }] of subject.states.entries()) {
    for (const phrase of exact) {
      if (phrase.length < length || !phrase.every((stem, k) => tokens[at + k]?.stem === stem)) continue;
      if (phrase.length > length) states.length = 0;
      length = phrase.length;
      if (!states.includes(s)) states.push(s);
    }
  }
  if (states.length > 0) return { states, length };
  const { presence } = subject;
  if (presence === undefined) return undefined;
  const { words } = language;
  const word = (tokens[at] as Token).lower;
  const near = tokens.slice(at + 1, at + 4).findIndex((t) => subject.core.has(t.stem));
  const part = near < 0 ? -1 : at + 1 + near;
  const between = part < 0 ? [] : tokens.slice(at + 1, part);
  if (
    part > 0 &&
    language.is(words.without, word) &&
    between.every((t) => language.is(words.articles, t.lower))
  )
    return { states: [presence.absent], length: part - at };
  const after = tokens[part + 1]?.lower ?? '';
  if (part > 0 && language.is(words.with, word) && !deniedBy(after, language))
    return { states: [presence.present], length: part - at };
  if (language.is(words.absent, word)) return { states: [presence.absent], length: 1 };
  return language.is(words.present, word) ? { states: [presence.present], length: 1 } : undefined;
}

function deniedBy(word: string, language: Language): boolean {
  return language.is(language.words.absent, word) || language.is(language.words.negations, word);
}

/** Whether another character of the key fits the words just as well. */
function rival(tokens: readonly Token[], subject: Subject, subjects: Subjects): boolean {
  const stems = new Set(tokens.map((t) => t.stem));
  const own = subjects.share(subject.character, stems);
  for (const other of subjects.key.characters.values()) {
    if (other === subject.character || other.kind !== 'choice') continue;
    if (subjects.share(other, stems) < own) continue;
    const { states } = subjects.of(other);
    if (states.some((s) => s.exact.some((phrase) => phrase.every((stem) => stems.has(stem))))) return true;
  }
  return false;
}

function contradiction(
  claim: Claim,
  subject: Subject,
  allowed: ReadonlySet<number>,
  tokens: readonly Token[],
): { readonly state: number; readonly denied: boolean } | undefined {
  const [first] = claim.claimed;
  if (first !== undefined && claim.denied.size === 0) {
    if ([...claim.claimed].some((s) => allowed.has(s))) return undefined;
    // A word of an allowed state may be there in another form.
    return [...allowed].some((s) => tokens.some((t) => hintsAt(subject, s, t)))
      ? undefined
      : { state: first, denied: false };
  }
  const [denied] = claim.denied;
  if (denied === undefined || claim.claimed.size > 0) return undefined;
  return allowed.size > 0 && [...allowed].every((s) => claim.denied.has(s))
    ? { state: denied, denied: true }
    : undefined;
}

function hintsAt(subject: Subject, state: number, { stem }: Token): boolean {
  if (subject.all.has(stem)) return false;
  for (const hint of subject.states[state]?.hints ?? []) {
    const near = Math.min(hint.length, stem.length) > 3 && (stem.startsWith(hint) || hint.startsWith(stem));
    if (hint === stem || near) return true;
  }
  return false;
}

function said(tokens: readonly Token[]): string {
  const seen = new Set<number>();
  return tokens
    .filter((t) => !seen.has(t.start) && seen.add(t.start))
    .map((t) => t.text)
    .join(' ');
}
