import type { Chain } from '../key/chain.js';
import { writtenValue } from '../tables/written-value.js';
import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { Observation } from '../traits/collection.js';
import { stateIndices } from '../traits/state-set.js';
import { readValue, type Value } from '../traits/value.js';
import { meaningOf } from './couplet-words.js';

/** One observation, as a record keeps it: in the notation of collections. */
export interface RecordedTrait {
  /** Its id. */
  readonly character: string;
  /** The value in the notation of tables. */
  readonly shows: string;
  /** The same in the words of the key. */
  readonly means?: string;
  /** The ages and the condition under which the character exists; left out when it always does. */
  readonly only?: string;
  /** Absent where it holds for all. */
  readonly specimen?: string;
  /** The age; absent where not told. */
  readonly stage?: string;
  /** Set where whoever saw it was not sure of it. */
  readonly doubted?: true;
}

/** On what something was seen or told, and whether in doubt. */
export function readFrom({
  specimen,
  stage,
  doubted,
}: Pick<Observation, 'specimen' | 'stage' | 'doubted'>): Pick<
  RecordedTrait,
  'specimen' | 'stage' | 'doubted'
> {
  return {
    ...(specimen === undefined ? {} : { specimen }),
    ...(stage === undefined ? {} : { stage }),
    ...(doubted === true ? { doubted } : {}),
  };
}

/** Records an observation in the words of a chain; undefined where that has no such character. */
export function recordTrait(observation: Observation, chain: Chain): RecordedTrait | undefined {
  const character = chain.characters.get(observation.character);
  if (character === undefined) return undefined;
  return {
    character: observation.character,
    shows: writtenValue(character, observation.value),
    ...wordsOf(character, observation.value, chain),
    ...readFrom(observation),
  };
}

/** What a value of a character means, and where it can be shown. */
export function wordsOf(
  character: Character,
  value: Value | undefined,
  chain: Chain,
): Pick<RecordedTrait, 'means' | 'only'> {
  const { stages, appliesWhen } = character;
  const only = [
    ...(stages.length === 0 ? [] : [`on ${listed(stages, 'or')} specimens`]),
    ...(appliesWhen === undefined ? [] : [`where ${meaningOf(appliesWhen, chain.characters)}`]),
  ].join(', ');
  return { means: inWords(character, value), ...(only === '' ? {} : { only }) };
}

function inWords(character: Character, value: Value | undefined): string {
  const says = (text: string) => `${character.name}: ${text}`;
  if (value === undefined) return says('looked, could not tell');
  if (value.kind === 'inapplicable') return says('does not apply');
  const some = value.partly ? ', and wanting on some specimens' : '';
  if (value.kind === 'numbers') return says(`${writtenValue(character, { ...value, partly: false })}${some}`);
  return says(
    `${stateIndices(value.set)
      .map((i) => character.states[i]?.meaning ?? '')
      .join(' or ')}${some}`,
  );
}

/** A thing seen, read back. */
type ReadTrait =
  | { readonly ok: false; readonly problem: string }
  | {
      readonly ok: true;
      readonly observation: Observation;
      readonly words: Pick<RecordedTrait, 'means' | 'only'>;
      /** What it means otherwise now than when it was noted. */
      readonly changes: readonly string[];
    };

/** Reads a thing seen as a character of a chain has it; for `told` see `carry`. */
export function readTrait(
  trait: RecordedTrait,
  character: Character,
  chain: Chain,
  told: boolean,
): ReadTrait {
  const read = readValue(character, trait.shows);
  if (!read.ok) return read;
  const { value } = read;
  const words = wordsOf(character, value, chain);
  const changes = [
    ...(trait.means === undefined || trait.means === words.means
      ? []
      : [`means "${words.means}" now; before: "${trait.means}"`]),
    ...(!told || trait.only === words.only
      ? []
      : [`counts ${words.only ?? 'on any specimen'} now; before: ${trait.only ?? 'on any specimen'}`]),
  ];
  const observation = { character: trait.character, value, ...readFrom(trait) };
  return { ok: true, observation, words, changes };
}
