import type { CompiledKey } from '../engine/compile.js';
import type { Taxon, Trait } from '../key/key.js';
import { numbersOf } from '../traits/character.js';
import { type TestCheck, toCheck } from '../traits/check.js';
import { meetNumbers } from '../traits/number-set.js';
import { stateSet } from '../traits/state-set.js';
import type { Value } from '../traits/value.js';

/** What one taxon is described to show, by character number; undefined = not described. */
export interface Description {
  readonly taxon: Taxon;
  /** As a value: everything that a specimen of it can show. */
  readonly values: readonly (Value | undefined)[];
  /** As a test; undefined also where the character does not apply. */
  readonly tests: readonly (TestCheck | undefined)[];
  /** The numbers of the characters that are described. */
  readonly characters: readonly number[];
}

const DESCRIPTIONS = new WeakMap<CompiledKey, (Description | undefined)[]>();

/** The description of a taxon, by its number; made when first asked for. */
export function descriptionOf(key: CompiledKey, taxon: number): Description {
  let known = DESCRIPTIONS.get(key);
  if (known === undefined) {
    known = [];
    DESCRIPTIONS.set(key, known);
  }
  const made = known[taxon] ?? describe(key, key.taxa[taxon] as Taxon);
  known[taxon] = made;
  return made;
}

function describe(key: CompiledKey, taxon: Taxon): Description {
  const values = new Array<Value | undefined>(key.characters.length).fill(undefined);
  const tests = new Array<TestCheck | undefined>(key.characters.length).fill(undefined);
  const characters: number[] = [];
  for (const [id, trait] of taxon.traits) {
    const index = key.characterIndex.get(id);
    if (index === undefined) continue;
    characters.push(index);
    const test = testOf(key, id, trait);
    tests[index] = test;
    values[index] = shownBy(key, index, trait, test);
  }
  characters.sort((a, b) => a - b);
  return { taxon, values, tests, characters };
}

function testOf(key: CompiledKey, character: string, trait: Trait): TestCheck | undefined {
  if (trait.kind === 'inapplicable') return undefined;
  const check = toCheck(
    { kind: 'test', character, allowed: trait.allowed },
    key.characters,
    key.characterIndex,
  );
  return check.op === 'states' || check.op === 'numbers' ? check : undefined;
}

function shownBy(key: CompiledKey, index: number, trait: Trait, test: TestCheck | undefined): Value {
  if (trait.kind === 'inapplicable' || test === undefined) return { kind: 'inapplicable' };
  if (test.op === 'states') return { kind: 'states', set: test.set, partly: trait.partly };
  const character = key.characters[index];
  const set = character === undefined ? test.set : meetNumbers(test.set, numbersOf(character));
  return { kind: 'numbers', set: set.intervals.length === 0 ? test.set : set, partly: trait.partly };
}

/** The value of a character that shows just one state. */
export function singleState(state: number, states: number): Value {
  return { kind: 'states', set: stateSet([state], states), partly: false };
}
