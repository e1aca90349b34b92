import { type Correspondences, kindOf } from '../correspondences/check.js';
import { Failure } from '../diagnostic/failure.js';
import type { Chain } from '../key/chain.js';
import type { Character, State } from '../traits/character.js';
import type { Collection, Observation } from '../traits/collection.js';
import { hasState, stateIndices, stateSet } from '../traits/state-set.js';
import { leadIn, type ReadChoice, type Vocabulary, vocabularyOf } from './vocabulary.js';

/** How one of several keys reads a table shared by all of them. */
export interface SharedReading {
  readonly vocabulary: Vocabulary;
  /** Columns that only other keys know. */
  readonly passOver: ReadonlySet<string>;
  /** The collection as far as this key understands it, and the characters whose states it does not know. */
  understood(collection: Collection): {
    readonly collection: Collection;
    readonly unknown: readonly string[];
  };
}

/**
 * How each of several keys reads one table. A character that only others know is ignored; a state that only others
 * know counts as "cannot tell" for this key, since
 * it is not known which of the key's own states it is.
 * Couplets without the id of a key are those of the first. Keys that a file of correspondences joins (`joined`) may mean other things by
 * one id: `carriedReadings` sees to that, and nothing of it is refused here.
 */
export function sharedReadings(
  chains: readonly Chain[],
  joined: (a: Chain, b: Chain) => Correspondences | undefined = () => undefined,
): SharedReading[] {
  const own = chains.map(vocabularyOf);
  checkKinds(chains, joined);
  return chains.map((chain, i) => {
    const earlier = chains.slice(0, i).filter((c) => joined(c, chain) !== undefined);
    // A number, or what is a number in one of them, is told in the terms of the first.
    const told = (c: Character) =>
      earlier.some((other) => {
        const first = other.characters.get(c.id);
        return (
          first !== undefined &&
          !joined(other, chain)?.shared.has(c.id) &&
          (first.kind !== 'choice' || c.kind !== 'choice')
        );
      });
    const characters = new Map(
      [...chain.characters].flatMap(([id, c]) =>
        told(c) ? [] : [[id, mergedCharacter(c, chains)] as const],
      ),
    );
    const findLead = (couplet: string, letter: string): ReadChoice =>
      leadFor(own, chains, i, couplet, letter);
    const others = chains.flatMap((c) => [...c.characters.keys()]).filter((id) => !characters.has(id));
    return {
      vocabulary: {
        keyId: chain.main.id,
        chain,
        characters,
        findLead,
        readLead: (written) => leadIn(written, findLead),
      },
      passOver: new Set(others),
      understood: (collection) => translated(chain, collection),
    };
  });
}

/**
 * A character with the states of all keys; those of the key itself keep their numbers. A number without a
 * unit means the same in all keys: it is in the unit of the first that has the character.
 */
function mergedCharacter(character: Character, chains: readonly Chain[]): Character {
  if (character.kind !== 'choice') {
    const first = chains.find((c) => c.characters.has(character.id))?.characters.get(character.id);
    return first === undefined ? character : { ...character, unit: first.unit };
  }
  const extra = new Map<string, State>();
  for (const chain of chains)
    for (const state of chain.characters.get(character.id)?.states ?? [])
      if (!character.stateIndex.has(state.id)) extra.set(state.id, state);
  if (extra.size === 0) return character;
  const states = [...character.states, ...extra.values()];
  return { ...character, states, stateIndex: new Map(states.map((s, i) => [s.id, i])) };
}

function checkKinds(
  chains: readonly Chain[],
  joined: (a: Chain, b: Chain) => Correspondences | undefined,
): void {
  const first = new Map<string, { readonly character: Character; readonly chain: Chain }>();
  for (const chain of chains)
    for (const [id, character] of chain.characters) {
      const before = first.get(id);
      if (before === undefined) first.set(id, { character, chain });
      else if (joined(before.chain, chain) !== undefined) continue;
      else if (
        before.character.kind !== character.kind ||
        before.character.unit.dimension !== character.unit.dimension
      )
        throw new Failure(
          `${id} is ${kindOf(before.character)} in ${before.chain.main.id} and ${kindOf(character)} in ${chain.main.id}, so that one table cannot speak to both keys`,
          { hint: 'a file of correspondences says what is meant: --correspondences FILE' },
        );
    }
}

/** A lead that a person chose, for the key of that number: its own, or kept under the name of the key that has it. */
function leadFor(
  vocabularies: readonly Vocabulary[],
  chains: readonly Chain[],
  index: number,
  couplet: string,
  letter: string,
): ReadChoice {
  const named = couplet.includes('/') || index === 0 ? couplet : `${chains[0]?.main.id ?? ''}/${couplet}`;
  const own = vocabularies[index]?.findLead(named, letter);
  if (own?.ok === true) return own;
  let failed = own;
  for (const [i, vocabulary] of vocabularies.entries()) {
    if (i === index || (i > 0 && !couplet.includes('/'))) continue;
    const other = vocabulary.findLead(couplet, letter);
    if (other.ok) {
      const { couplet: found } = other.choice;
      const owner = found.includes('/') ? found : `${vocabulary.keyId}/${found}`;
      return { ok: true, choice: { couplet: owner, letter } };
    }
    // For a couplet without the id of a key, the message is that of the first key.
    if (i === 0) failed = other;
  }
  return (
    failed ?? { ok: false, problem: `there is no couplet ${couplet}`, expected: 'the number of a couplet' }
  );
}

function translated(
  chain: Chain,
  collection: Collection,
): { readonly collection: Collection; readonly unknown: readonly string[] } {
  const unknown = new Set<string>();
  const observations = collection.observations.map((o): Observation => {
    const { value } = o;
    const states = chain.characters.get(o.character)?.states.length ?? 0;
    if (value?.kind !== 'states') return o;
    if (stateIndices(value.set).some((i) => i >= states)) {
      unknown.add(o.character);
      return { ...o, value: undefined };
    }
    const words = stateSet([], states).length;
    if (value.set.length === words) return o;
    const set = stateSet(
      Array.from({ length: states }, (_, i) => i).filter((i) => hasState(value.set, i)),
      states,
    );
    return { ...o, value: { ...value, set } };
  });
  return { collection: { ...collection, observations }, unknown: [...unknown] };
}
