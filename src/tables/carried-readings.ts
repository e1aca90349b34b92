import type { Correspondences } from '../correspondences/check.js';
import { type LeftAside, translateCollection } from '../correspondences/translate.js';
import type { Chain } from '../key/chain.js';
import type { Collection, Observation } from '../traits/collection.js';
import { stateIndices } from '../traits/state-set.js';
import { type SharedReading, sharedReadings } from './shared-readings.js';

/** What one key understands of a collection that was told in the terms of any of several keys. */
export interface Understood {
  readonly collection: Collection;
  /** The characters whose states it does not know. */
  readonly unknown: readonly string[];
  /** By key in whose terms it was told: what a file of correspondences could not carry. */
  readonly left: readonly (LeftAside & { readonly from: Chain })[];
}

/** How several keys read one table, and carry what was told in the terms of one into the others. */
export interface CarriedReadings {
  readonly readings: readonly SharedReading[];
  /** One collection as each of the keys has read it, in the order of the keys. */
  understood(read: readonly Collection[]): readonly Understood[];
}

/**
 * How each of several keys reads one table where files of correspondences join some of them. What only one of two joined keys knows
 * is in its terms. What both know under one id is in the terms of the first, unless only the other has its states; it is carried
 * as the file says, since two authors may mean different things by one word.
 */
export function carriedReadings(
  chains: readonly Chain[],
  files: readonly Correspondences[],
): CarriedReadings {
  const joined = (a: Chain, b: Chain) =>
    files.find((f) => (f.from === a && f.to === b) || (f.from === b && f.to === a));
  const readings = sharedReadings(chains, joined);
  const knows = (key: number, { character, value }: Observation, reader: number): boolean => {
    const states = readings[reader]?.vocabulary.characters.get(character)?.states ?? [];
    const own = chains[key]?.characters.get(character);
    if (value?.kind !== 'states' || own?.kind !== 'choice') return true;
    return stateIndices(value.set).every((i) => own.stateIndex.has(states[i]?.id ?? ''));
  };
  /** Whether something that one key has read is told in its terms and not in those of another that is joined to it. */
  const tells = (own: number, other: number, o: Observation): boolean => {
    const [one, two] = [chains[own] as Chain, chains[other] as Chain];
    const file = joined(one, two);
    if (file === undefined || file.shared.has(o.character) || !two.characters.has(o.character)) return true;
    const [mine, theirs] = [knows(own, o, own), knows(other, o, own)];
    return own < other ? mine || !theirs : mine && !theirs;
  };
  const understood = (read: readonly Collection[]): readonly Understood[] =>
    chains.map((chain, key) => {
      const own = read[key] as Collection;
      const mine = own.observations.filter((o) =>
        chains.every((_, other) => other === key || tells(key, other, o)),
      );
      const told = (readings[key] as SharedReading).understood({ ...own, observations: mine });
      const left: (LeftAside & { from: Chain })[] = [];
      const carried = chains.flatMap((from, other) => {
        const file = other === key ? undefined : joined(from, chain);
        const theirs = read[other];
        if (file === undefined || theirs === undefined) return [];
        const observations = theirs.observations.filter(
          (o) => !file.shared.has(o.character) && o.value !== undefined && tells(other, key, o),
        );
        const whole = (readings[other] as SharedReading).understood({ ...theirs, observations, choices: [] });
        const { collection, left: aside } = translateCollection(whole.collection, file, from, chain);
        left.push(...aside.map((a) => ({ ...a, from })));
        return collection.observations;
      });
      const { collection } = told;
      return {
        ...told,
        collection: { ...collection, observations: [...collection.observations, ...carried] },
        left,
      };
    });
  return { readings, understood };
}
