/** Values as people write them where they know no notation: capitals, a state's own wording, numbers in words, doubts. */
import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { partsOf } from '../text/parts.js';
import { listed } from '../text/words.js';
import type { Character } from './character.js';
import { numbersOf } from './character.js';
import { readNumbers } from './notation.js';
import { everyNumber, meetNumbers } from './number-set.js';
import { plainNumber } from './number-words.js';
import { statesNamed } from './state-words.js';
import { type ReadValue, readValue, type Value, writeValue } from './value.js';

/** A way in which a value was written other than keys write it. */
export type LooseWay =
  | 'state-spelling'
  | 'state-wording'
  | 'number-words'
  | 'number-about'
  | 'decimal-comma'
  | 'doubted';

/** A value that was read though it is not written as keys write it, or what is wrong with it. */
export type LooseValue =
  | {
      readonly ok: true;
      readonly value: Value | undefined;
      readonly doubted: boolean;
      readonly ways: readonly LooseWay[];
      /** How the value is written in keys, for messages. */
      readonly as: string;
    }
  | Extract<ReadValue, { ok: false }>;

/** What stands for doubt at the end of a word or before it: `present?`, `present (?)`. */
const DOUBT = /^(?:\(\?\)|\?+)\s*|\s*(?:\(\?\)|\?+)$/g;

/**
 * Reads what `readValue` refuses, where only one thing can be meant. A value with `?` was seen and doubted; `?` alone is not
 * read here, since it has a meaning of its own. With `decimalComma` a comma stands before decimals, but never where it may
 * part thousands.
 */
export function readLoosely(
  character: Character,
  written: string | readonly string[],
  decimalComma = false,
): LooseValue {
  const exact = readValue(character, written);
  const ways = new Set<LooseWay>();
  const parts = (typeof written === 'string' ? [written] : written).flatMap(partsOf).map((part) => {
    const sure = part.replace(DOUBT, '').trim();
    if (sure === part || sure === '') return part;
    ways.add('doubted');
    return sure;
  });
  const read =
    character.kind === 'choice'
      ? looseStates(character, parts, ways)
      : looseNumbers(character, parts, decimalComma, ways);
  if (!read.ok)
    // What is wrong with the text as it was written says most, unless it was understood but for one thing.
    return exact.ok || read.understood === true ? read : { ...exact, ...hintOf(read) };
  const { value } = read;
  return { ok: true, value, doubted: ways.has('doubted'), ways: [...ways], as: writeValue(character, value) };
}

/** A value, or what is wrong with it: where the text was understood, the mistake is in what it says and not in how. */
type Reading = ReadValue & { readonly understood?: boolean };

function hintOf({ nearest: near }: Extract<ReadValue, { ok: false }>): { nearest?: string } {
  return near === undefined ? {} : { nearest: near };
}

function looseStates(character: Character, parts: readonly string[], ways: Set<LooseWay>): Reading {
  const ids: string[] = [];
  for (const part of parts) {
    if (part === '-' || part === '?' || character.stateIndex.has(part)) {
      ids.push(part);
      continue;
    }
    const { way, states } = statesNamed(character, part);
    const [only, ...others] = states;
    if (only === undefined || others.length > 0)
      return notOne(
        character,
        part,
        states.map((s) => s.id),
      );
    ways.add(way);
    ids.push(only.id);
  }
  return readValue(character, ids);
}

function notOne(character: Character, part: string, ids: readonly string[]): Reading {
  const expected = listed(ids.length > 0 ? ids : character.states.map((s) => s.id), 'or');
  if (ids.length > 0)
    return {
      ok: false,
      problem: `${quoted(part)} may be ${expected} of ${character.id}`,
      expected,
      understood: true,
    };
  const near =
    nearest(part, character.stateIndex.keys()) ??
    character.states.find((s) => nearest(part, [s.meaning]) !== undefined)?.id;
  const problem = `${quoted(part)} is not a state of ${character.id}`;
  return { ok: false, problem, expected, ...(near === undefined ? {} : { nearest: near }) };
}

function looseNumbers(
  character: Character,
  parts: readonly string[],
  decimalComma: boolean,
  ways: Set<LooseWay>,
): Reading {
  const scale = { whole: character.kind === 'count', unit: character.unit };
  const exact: string[] = [];
  const wide: string[] = [];
  for (const part of parts) {
    if (part === '-' || part === '?' || readNumbers(part, scale).ok) {
      exact.push(part);
      wide.push(part);
      continue;
    }
    const plain = plainNumber(part, scale, decimalComma);
    if (plain === undefined) return readValue(character, part);
    for (const way of plain.ways) ways.add(way);
    exact.push(plain.exact);
    wide.push(plain.wide);
  }
  const read = readValue(character, exact);
  if (!read.ok) return { ...read, understood: true };
  if (!ways.has('number-about') || read.value?.kind !== 'numbers') return read;
  // What "about" adds may reach beyond what the character can be, which is no mistake; the number itself must not.
  const limits = numbersOf(character);
  const open = readValue({ ...character, limits: everyNumber(scale.whole) }, wide);
  if (!open.ok || open.value?.kind !== 'numbers') return read;
  return { ok: true, value: { ...open.value, set: meetNumbers(open.value.set, limits) } };
}
