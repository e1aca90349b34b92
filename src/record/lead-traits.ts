/** What leads say of single characters: worked out with their key, or from the words that a record keeps of them. */
import type { CompiledKey } from '../engine/compile.js';
import { factsOf } from '../engine/facts.js';
import { writtenValue } from '../tables/written-value.js';
import { partsOf } from '../text/parts.js';
import { type Character, numbersOf } from '../traits/character.js';
import type { TestCheck } from '../traits/check.js';
import { meetNumbers, noNumbers, numbersWithin, otherNumbers } from '../traits/number-set.js';
import { noStates, stateIndices } from '../traits/state-set.js';
import { narrowValue, readValue, type Value } from '../traits/value.js';
import type { RecordedLead } from './carry.js';
import { OTHERWISE } from './couplet-words.js';
import { type RecordedTrait, wordsOf } from './trait.js';

/** What a lead that a person takes says of single characters. Nothing for "can't tell". */
export function traitsOfLead(key: CompiledKey, couplet: string, letter: string): RecordedTrait[] {
  const compiled = key.couplets[key.coupletIndex.get(couplet) ?? -1];
  const lead = compiled?.leads.find((l) => l.lead.letter === letter);
  if (compiled === undefined || lead === undefined) return [];
  const values = new Map<number, Value | undefined>();
  for (const fact of factsOf(compiled, lead, key)) {
    const value = valueByFact(fact, key.characters[fact.character] as Character);
    const before = values.get(fact.character);
    const both = before === undefined || value === undefined ? value : narrowValue(before, value);
    values.set(fact.character, both ?? before);
  }
  return [...values].flatMap(([index, value]) => {
    const character = key.characters[index] as Character;
    return value === undefined ? [] : [traitOf(character, value, key)];
  });
}

function traitOf(character: Character, value: Value, { chain }: CompiledKey): RecordedTrait {
  return {
    character: character.id,
    shows: writtenValue(character, value),
    ...wordsOf(character, value, chain),
  };
}

/** What a character shows by a fact; undefined where that is nothing, or all that it can show. */
function valueByFact(fact: TestCheck, character: Character): Value | undefined {
  if (fact.op === 'states') {
    const all = stateIndices(fact.set).length === character.states.length;
    return all || noStates(fact.set) ? undefined : { kind: 'states', set: fact.set, partly: false };
  }
  const limits = numbersOf(character);
  const set = meetNumbers(fact.set, limits);
  return noNumbers(set) || numbersWithin(limits, set) ? undefined : { kind: 'numbers', set, partly: false };
}

/**
 * What a lead says of single characters by the conditions that a record keeps of its couplet, for records in which answers
 * do not have that of their own; `characters` are those of the key that is to understand it. The rule is that of
 * `traitsOfLead`, but that what a character depends on is left to whoever reads it.
 */
export function traitsInWords(
  { when, means, beside = [] }: Pick<RecordedLead, 'when' | 'means' | 'beside'>,
  characters: ReadonlyMap<string, Character>,
): RecordedTrait[] {
  if (when === undefined) return [];
  const tests =
    when === OTHERWISE
      ? beside.flatMap((other) =>
          (other.when === undefined ? [] : conjuncts(other.when, true)).map((test) => ({
            ...test,
            gated: isGated(other),
          })),
        )
      : conjuncts(when, false).map((test) => ({ ...test, gated: isGated({ means }) }));
  return tests.flatMap(({ character: id, written, except, denied, gated }): RecordedTrait[] => {
    const character = characters.get(id);
    const negated = except !== denied;
    if (character === undefined) return [{ character: id, shows: negated ? `not ${written}` : written }];
    // That it is not so that the ring is membranous, or not so that it is anything but fibrous, is also true where
    // there is no ring.
    if (denied && (gated || character.appliesWhen !== undefined)) return [];
    // One of all its states says nothing.
    if (!negated) return namesAll(written, character) ? [] : [{ character: id, shows: written }];
    const shows = others(written, character);
    return shows === undefined ? [] : [{ character: id, shows }];
  });
}

/** Whether a character of a condition depends on others, as far as its meaning tells. */
function isGated({ means }: { readonly means?: string | undefined }): boolean {
  return means?.includes(' (where ') ?? false;
}

/** A test as a record writes it. */
interface WrittenTest {
  readonly character: string;
  /** The states or numbers that it names. */
  readonly written: string;
  /** Whether it asks for all others, of a character that is there. */
  readonly except: boolean;
  /** Whether it is said not to hold, which may also be since the character is not there. */
  readonly denied: boolean;
}

const TEST = /^([a-z0-9][a-z0-9-]*): (not )?(.+)$/;

/** The tests that hold, or are denied, when a written condition holds, or when it is denied. */
function conjuncts(condition: string, denied: boolean): WrittenTest[] {
  const all = atTop(condition, ' and ');
  const any = all.length > 1 ? [] : alternatives(condition);
  // One of `a: 5 or b: 7` suffices, and one of `a: 5 and b: 7` is enough to deny both: which one is not known.
  if (all.length > 1) return denied ? [] : all.flatMap((part) => conjuncts(part, false));
  if (any.length > 1) return denied ? any.flatMap((part) => conjuncts(part, true)) : [];
  if (condition.startsWith('(')) return conjuncts(condition.slice(1, -1), denied);
  const inner = /^not \((.+)\)$/.exec(condition)?.[1];
  if (inner !== undefined) return conjuncts(inner, !denied);
  const [, character = '', not, written = ''] = TEST.exec(condition) ?? [];
  return character === '' ? [] : [{ character, written, except: not !== undefined, denied }];
}

/** The conditions that are joined by OR; `a: 5 or 7` is one test. */
function alternatives(condition: string): string[] {
  const parts: string[] = [];
  for (const part of atTop(condition, ' or ')) {
    if (parts.length === 0 || TEST.test(part) || /^(not )?\(/.test(part)) parts.push(part);
    else parts.push(`${parts.pop()} or ${part}`);
  }
  return parts;
}

/** The parts of a text between separators that stand in no brackets. */
function atTop(text: string, separator: string): string[] {
  const parts: string[] = [];
  let depth = 0;
  let from = 0;
  for (let i = 0; i < text.length; i++) {
    if (text[i] === '(') depth++;
    else if (text[i] === ')') depth--;
    else if (depth === 0 && text.startsWith(separator, i)) {
      parts.push(text.slice(from, i));
      i += separator.length - 1;
      from = i + 1;
    }
  }
  return [...parts, text.slice(from)];
}

/** All that a character can show besides what is written; undefined where that is nothing, or where it does not know that. */
function others(written: string, character: Character): string | undefined {
  const read = readValue(character, written);
  if (!read.ok || read.value === undefined || read.value.kind === 'inapplicable') return undefined;
  if (read.value.kind === 'numbers') {
    const set = meetNumbers(otherNumbers(read.value.set), numbersOf(character));
    return noNumbers(set) ? undefined : writtenValue(character, { ...read.value, set });
  }
  const named = read.value.set;
  const rest = character.states.filter((_, i) => !stateIndices(named).includes(i));
  return rest.length === 0 ? undefined : rest.map((s) => s.id).join(' | ');
}

function namesAll(written: string, { states }: Character): boolean {
  const named = partsOf(written);
  return states.length > 0 && states.every((s) => named.includes(s.id));
}
