import { type Character, numbersOf } from '../../traits/character.js';
import { readNumbers } from '../../traits/notation.js';
import { type Interval, meetNumbers, type NumberSet } from '../../traits/number-set.js';
import { type Asked, numbersAsked } from '../asked.js';
import { inScale, type SaidNumber, saidNumbers } from './said-numbers.js';
import { partsOf, statementsOf, type TextStretch, wordsOf } from './statements.js';
import { type Subjects, stemsOf } from './subjects.js';

/** Anything longer next to a number is not a word. */
const NEAR = 60;

/** A number that the words of a lead give for a character, where its condition asks for another. */
interface FalseNumber {
  readonly character: Character;
  readonly said: SaidNumber;
  readonly asked: NumberSet;
  /** Whether words and condition differ only in whether they include the boundary. */
  readonly boundary: boolean;
}

interface NumberInContext {
  readonly said: SaidNumber;
  /** The words around it, between commas, and the whole statement. */
  readonly part: ReadonlySet<string>;
  readonly statement: ReadonlySet<string>;
  /** The words next to it. */
  readonly before: string | undefined;
  readonly after: string | undefined;
}

interface Wanted {
  readonly character: Character;
  readonly set: NumberSet;
  /** `5-8` where the condition is written `(3-)5-8(-12)`. */
  readonly usual?: NumberSet;
}

/**
 * The numbers of a text that contradict a condition. A number is compared with a character only when the condition asks
 * for it, no number of the text agrees, only one number could be meant, and the words around it speak of that character
 * more than of any other.
 */
export function falseNumbers(
  text: string,
  when: readonly Asked[],
  usually: readonly Asked[],
  subjects: Subjects,
  written: (character: string) => string | undefined,
): FalseNumber[] {
  const wanted = wantedOf(when, subjects).map((w) => withUsual(w, written(w.character.id)));
  if (wanted.length === 0) return [];
  const numbers = saidNumbers(text, subjects.language);
  if (wanted.every((w) => numbers.some((said) => agrees(said, w) === true))) return [];
  const found = numbersInContext(text, numbers, subjects);
  if (found.length === 0) return [];
  const all = [...wanted, ...wantedOf(usually, subjects)];
  const free = found.filter(({ said }) => !said.loose && !all.some((w) => agrees(said, w) === true));
  return wanted.flatMap((w): FalseNumber[] => {
    if (found.some(({ said }) => agrees(said, w) === true)) return [];
    const meant = free.filter(
      (h) =>
        agrees(h.said, w) === false &&
        speaksOf(h, w.character, when.length === 1 && found.length === 1, subjects),
    );
    const [only] = meant;
    if (only === undefined || meant.length > 1) return [];
    const set = inScale(only.said, scaleOf(w.character)) as NumberSet;
    return [{ character: w.character, said: only.said, asked: w.set, boundary: sameButEnds(set, w.set) }];
  });
}

function wantedOf(asked: readonly Asked[], { key }: Subjects): Wanted[] {
  return asked.flatMap((a) => {
    const character = key.characters.get(a.character);
    const set = numbersAsked(a);
    return character === undefined || character.kind === 'choice' || set === undefined
      ? []
      : [{ character, set }];
  });
}

function withUsual(wanted: Wanted, written: string | undefined): Wanted {
  const read = written === undefined ? undefined : readNumbers(written, scaleOf(wanted.character));
  return read?.ok ? { ...wanted, usual: read.value.usual } : wanted;
}

function numbersInContext(
  text: string,
  numbers: readonly SaidNumber[],
  { language }: Subjects,
): NumberInContext[] {
  const statements = statementsOf(text).map((s) => ({
    ...s,
    parts: partsOf(s),
    stems: stemsOf(s.text, language),
  }));
  const around = <S extends TextStretch>(list: readonly S[], at: number): S | undefined =>
    list.find((s) => at >= s.start && at < s.start + s.text.length);
  return numbers.flatMap((said) => {
    const statement = around(statements, said.start);
    if (statement === undefined) return [];
    const part = around<TextStretch>(statement.parts, said.start) ?? statement;
    const cut = said.start - part.start;
    return [
      {
        said,
        part: stemsOf(part.text, language),
        statement: statement.stems,
        before: wordsOf(part.text.slice(Math.max(0, cut - NEAR), cut)).at(-1)?.lower,
        after: /^\s*(\p{L}[\p{L}-]*)/u
          .exec(part.text.slice(cut + said.end - said.start).slice(0, NEAR))?.[1]
          ?.toLowerCase(),
      },
    ];
  });
}

/** Whether the numbers said and the numbers asked are the same; undefined when they cannot be of one character. */
function agrees(said: SaidNumber, { character, set, usual }: Wanted): boolean | undefined {
  const read = inScale(said, scaleOf(character));
  if (read === undefined || (said.times && character.kind === 'count')) return undefined;
  const all = numbersOf(character);
  const words = meetNumbers(read, all);
  const asks = meetNumbers(set, all);
  if (sameNumbers(words, asks) || (usual !== undefined && sameNumbers(read, usual))) return true;
  // `5-8 mm` does not say whether 8 is included; `up to 8 mm` does not say where the range begins.
  if (!said.compared) return sameButEnds(words, asks);
  const [one] = read.intervals;
  const [from] = set.intervals;
  const to = set.intervals[set.intervals.length - 1];
  if (read.intervals.length !== 1 || one === undefined || from === undefined || to === undefined)
    return false;
  if (one.low === -Infinity)
    return from.low !== -Infinity && one.high === to.high && one.highOpen === to.highOpen;
  return to.high !== Infinity && one.low === from.low && one.lowOpen === from.lowOpen;
}

function speaksOf(found: NumberInContext, character: Character, alone: boolean, subjects: Subjects): boolean {
  if (!counts(found, character, subjects)) return false;
  const shareOf = (c: Character) => subjects.share(c, found.part) || subjects.share(c, found.statement) / 2;
  const own = shareOf(character);
  for (const other of subjects.key.characters.values()) {
    if (other === character || other.kind === 'choice') continue;
    if (inScale(found.said, scaleOf(other)) === undefined) continue;
    const share = shareOf(other);
    if (share > own || (share === own && own > 0)) return false;
  }
  return own > 0 || alone;
}

/** `in two ranks`: a number without a unit counts what follows it, whatever else the words are about. */
function counts({ said, before, after }: NumberInContext, character: Character, subjects: Subjects): boolean {
  if (said.unit !== undefined || said.times) return true;
  const { language } = subjects;
  const { all } = subjects.of(character);
  if (after !== undefined && all.has(language.stem(after))) return true;
  if (said.spelled && !said.compared && (before === undefined || !all.has(language.stem(before))))
    return false;
  const { words } = language;
  return (
    after === undefined ||
    [words.prepositions, words.dimensions, words.and, words.or, words.articles].some((list) =>
      language.is(list, after),
    )
  );
}

function scaleOf(character: Character): { whole: boolean; unit: Character['unit'] } {
  return { whole: character.kind === 'count', unit: character.unit };
}

function sameNumbers(a: NumberSet, b: NumberSet): boolean {
  return (
    a.intervals.length === b.intervals.length &&
    a.intervals.every((x, i) => {
      const y = b.intervals[i] as Interval;
      return x.low === y.low && x.high === y.high && x.lowOpen === y.lowOpen && x.highOpen === y.highOpen;
    })
  );
}

function sameButEnds(a: NumberSet, b: NumberSet): boolean {
  return (
    a.intervals.length === b.intervals.length &&
    a.intervals.every((x, i) => x.low === b.intervals[i]?.low && x.high === b.intervals[i]?.high)
  );
}
