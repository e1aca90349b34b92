import type { Path } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import type { Character } from '../traits/character.js';
import type { Allowed, Condition } from '../traits/condition.js';
import { type Numbers, readNumbers } from '../traits/notation.js';
import { type NumberSet, numberSet, otherNumbers } from '../traits/number-set.js';
import { expectedValues } from '../traits/value.js';
import type { Data } from './document.js';
import { asEntries, asList, asMap, type Reporter, textsAt } from './fields.js';

/** Words that join conditions and so cannot name a character. */
export const reserved: readonly string[] = ['any', 'all', 'not'];

/**
 * Reads a `when`: characters joined by AND, with `any`, `all` and `not`. Unknown characters and states and numbers that
 * cannot be read are reported at their own place and left out. undefined when nothing usable is left.
 */
export function readCondition(
  data: Data | undefined,
  path: Path,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Condition | undefined {
  const parts: Condition[] = [];
  for (const [name, value] of asEntries(data)) {
    const at = [...path, name];
    const part = reserved.includes(name)
      ? readJoined(name, value, at, characters, report)
      : readTest(name, value, at, characters, report);
    if (part !== undefined) parts.push(part);
  }
  return parts.length === 1 ? parts[0] : parts.length === 0 ? undefined : { kind: 'all', parts };
}

function readJoined(
  word: string,
  data: Data,
  path: Path,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Condition | undefined {
  if (word === 'not') {
    const part = readCondition(data, path, characters, report);
    return part === undefined ? undefined : { kind: 'not', part };
  }
  const parts = asList(data).flatMap(
    (item, i) => readCondition(item, [...path, i], characters, report) ?? [],
  );
  if (parts.length === 0) return undefined;
  return { kind: word === 'any' ? 'any' : 'all', parts };
}

function readTest(
  name: string,
  data: Data,
  path: Path,
  characters: ReadonlyMap<string, Character>,
  report: Reporter,
): Condition | undefined {
  const character = characters.get(name);
  if (character === undefined) {
    report.unknown(
      'character-known',
      `${quoted(name)} is not a character of this key`,
      name,
      [...characters.keys()],
      path,
      'name',
    );
    return undefined;
  }
  if (character.unread) {
    report.touch(path);
    return undefined;
  }
  const allowed = readAllowed(character, data, path, report);
  return allowed === undefined ? undefined : { kind: 'test', character: name, allowed };
}

/** Reads what is allowed of a character: a state, states, a number notation, or `{not: ...}` of these. */
function readAllowed(character: Character, data: Data, path: Path, report: Reporter): Allowed | undefined {
  if (typeof data === 'object' && data !== null && !Array.isArray(data)) {
    const inner = asMap(data);
    if (inner.not === undefined) return undefined;
    const denied = readAllowed(character, inner.not, [...path, 'not'], report);
    if (denied === undefined) return undefined;
    return denied.kind === 'states'
      ? { ...denied, except: !denied.except }
      : { kind: 'numbers', set: otherNumbers(denied.set) };
  }
  const words = textsAt(data, path);
  if (character.kind === 'choice') {
    const states = readStateNames(character, words, report);
    return states.length === 0 ? undefined : { kind: 'states', states, except: false };
  }
  const sets = readNumberNotes(character, words, report).map((n) => n.possible);
  return sets.length === 0 ? undefined : { kind: 'numbers', set: joinAll(sets, character) };
}

/** The states that are named; unknown ones are reported and left out. */
export function readStateNames(character: Character, words: Words, report: Reporter): string[] {
  return words.flatMap(([word, path]) => {
    if (character.stateIndex.has(word)) return [word];
    const known = [...character.stateIndex.keys()];
    report.unknown('state-known', `${quoted(word)} is not a state of ${character.id}`, word, known, path);
    return [];
  });
}

/** What was read of the notes on a character: a large key has the same numbers in many places. */
const notes = new WeakMap<Character, Map<string, Numbers>>();

/** The numbers that are noted; what cannot be read is reported and left out. */
export function readNumberNotes(character: Character, words: Words, report: Reporter): Numbers[] {
  const scale = { whole: character.kind === 'count', unit: character.unit };
  const known = notes.get(character) ?? new Map<string, Numbers>();
  notes.set(character, known);
  return words.flatMap(([word, path]) => {
    const before = known.get(word);
    if (before !== undefined) return [before];
    const read = readNumbers(word, scale);
    if (read.ok) {
      known.set(word, read.value);
      return [read.value];
    }
    const expected = expectedValues(character);
    report.add('number-form', `${character.id}: ${read.problem}`, path, { found: word, expected });
    return [];
  });
}

/** The numbers of a character that are in any of the sets. */
export function joinAll(sets: readonly NumberSet[], character: Character): NumberSet {
  const [only] = sets;
  if (only !== undefined && sets.length === 1) return only;
  return numberSet(
    sets.flatMap((s) => s.intervals),
    character.kind === 'count',
  );
}

/** Texts with the paths at which they stand. */
type Words = ReturnType<typeof textsAt>;
