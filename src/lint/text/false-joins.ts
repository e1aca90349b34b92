import type { Lead } from '../../key/key.js';
import { conjunction } from '../../traits/condition.js';
import { statementsOf, wordsOf } from './statements.js';
import type { Subjects } from './subjects.js';

/** A lead whose words join two statements with a word that its condition does not mean. */
interface FalseJoin {
  /** The word that is there. */
  readonly said: string;
  readonly asks: string;
  readonly expected: string;
}

/**
 * Finds `ring present or cap scaly` where the condition asks for both, and `ring present and cap scaly` where either is
 * enough. Only leads of one statement with one joining word between words of two characters are judged.
 */
export function falseJoin(lead: Lead, subjects: Subjects): FalseJoin | undefined {
  const { language } = subjects;
  const { words } = language;
  if (lead.when === undefined || statementsOf(lead.text).length !== 1) return undefined;
  const tokens = wordsOf(lead.text).map((w) => w.lower);
  const joiners = tokens.flatMap((word, i) => {
    if (language.is(words.or, word)) return [{ i, or: true }];
    return language.is(words.and, word) ? [{ i, or: false }] : [];
  });
  const [joiner] = joiners;
  if (joiner === undefined || joiners.length > 1 || lead.text.split(',').length > 2) return undefined;
  const pair = pairOf(lead);
  if (pair === undefined || pair.or === joiner.or) return undefined;
  const stems = tokens.map((w) => language.stem(w));
  const before = new Set(stems.slice(0, joiner.i));
  const after = new Set(stems.slice(joiner.i + 1));
  const [a, b] = pair.characters.map((id) => subjects.key.characters.get(id));
  if (a === undefined || b === undefined) return undefined;
  const areSeparated = (x: typeof a, y: typeof a) =>
    subjects.share(x, before) > subjects.share(y, before) &&
    subjects.share(y, after) > subjects.share(x, after);
  if (!areSeparated(a, b) && !areSeparated(b, a)) return undefined;
  return {
    said: tokens[joiner.i] ?? '',
    asks: pair.or ? 'one or the other' : 'both',
    expected: (pair.or ? words.or : words.and)[0] ?? '',
  };
}

/** The two characters of a condition that asks for both, or for either. */
function pairOf({
  when,
}: Lead): { readonly or: boolean; readonly characters: readonly string[] } | undefined {
  if (when === undefined) return undefined;
  const both = conjunction(when);
  if (both?.length === 2)
    return distinct(
      false,
      both.map((t) => t.character),
    );
  if (when.kind !== 'any' || when.parts.length !== 2) return undefined;
  return distinct(
    true,
    when.parts.flatMap((p) => (p.kind === 'test' ? [p.character] : [])),
  );
}

function distinct(or: boolean, characters: readonly string[]) {
  return new Set(characters).size === 2 ? { or, characters } : undefined;
}
