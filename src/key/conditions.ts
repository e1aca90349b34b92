import type { Path } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import type { Character } from '../traits/character.js';
import type { Allowed, Condition } from '../traits/condition.js';
import { readNumbers } from '../traits/notation.js';
import { numberSet, otherNumbers } from '../traits/numberset.js';
import { expectedValues } from '../traits/value.js';
import type { Data } from './document.js';
import { asList, asMap, asTexts, type Reporter } from './fields.js';

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
  for (const [name, value] of Object.entries(asMap(data))) {
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
  const allowed = readAllowed(character, data, path, report);
  return allowed === undefined ? undefined : { kind: 'test', character: name, allowed };
}

/** Reads what is allowed of a character: a state, states, a number notation, or `{not: ...}` of these. */
export function readAllowed(
  character: Character,
  data: Data,
  path: Path,
  report: Reporter,
): Allowed | undefined {
  if (typeof data === 'object' && data !== null && !Array.isArray(data)) {
    const inner = asMap(data);
    if (inner.not === undefined) return undefined;
    const denied = readAllowed(character, inner.not, [...path, 'not'], report);
    if (denied === undefined) return undefined;
    return denied.kind === 'states'
      ? { ...denied, except: !denied.except }
      : { kind: 'numbers', set: otherNumbers(denied.set) };
  }
  const place = (i: number): Path => (Array.isArray(data) ? [...path, i] : path);
  const words = asTexts(data);
  if (character.kind === 'choice') {
    const known = words.filter((word, i) => {
      if (character.stateIndex.has(word)) return true;
      report.unknown(
        'state-known',
        `${quoted(word)} is not a state of ${character.id}`,
        word,
        [...character.stateIndex.keys()],
        place(i),
      );
      return false;
    });
    return known.length === 0 ? undefined : { kind: 'states', states: known, except: false };
  }
  const whole = character.kind === 'count';
  const sets = words.flatMap((word, i) => {
    const read = readNumbers(word, { whole, unit: character.unit });
    if (read.ok) return [read.value.possible];
    report.add('number-form', `${character.id}: ${read.problem}`, place(i), {
      found: word,
      expected: expectedValues(character),
    });
    return [];
  });
  if (sets.length === 0) return undefined;
  return {
    kind: 'numbers',
    set: numberSet(
      sets.flatMap((s) => s.intervals),
      whole,
    ),
  };
}
