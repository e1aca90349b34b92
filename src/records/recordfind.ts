import type { Character } from '../traits/character.js';
import type { Collection, Observation } from '../traits/collection.js';
import { readValue } from '../traits/value.js';
import { writtenValue } from './writtenvalue.js';

/** One thing seen, as a record keeps it: in the notation of collections. */
export interface RecordedTrait {
  readonly character: string;
  readonly shows: string;
  readonly specimen?: string;
  readonly stage?: string;
}

/** A find as a record keeps it. */
export interface RecordedFind {
  readonly id: string;
  readonly date?: string;
  readonly place?: string;
  readonly region?: string;
  readonly by?: string;
  readonly habitat?: string;
  readonly note?: string;
  readonly stages?: readonly string[];
  readonly evidence?: readonly RecordedTrait[];
  /** Leads that the find came with: couplet and letter. */
  readonly leads?: readonly { readonly couplet: string; readonly lead: string }[];
}

const PLAIN = ['date', 'place', 'region', 'by', 'habitat', 'note'] as const;

/** Writes a find down; `characters` are those of the key. */
export function recordFind(collection: Collection, characters: ReadonlyMap<string, Character>): RecordedFind {
  const evidence = collection.observations.flatMap((o): RecordedTrait[] => {
    const character = characters.get(o.character);
    if (character === undefined) return [];
    return [
      {
        character: o.character,
        shows: writtenValue(character, o.value),
        ...(o.specimen === undefined ? {} : { specimen: o.specimen }),
        ...(o.stage === undefined ? {} : { stage: o.stage }),
      },
    ];
  });
  const leads = collection.choices.map((c) => ({ couplet: c.couplet, lead: c.letter }));
  return {
    id: collection.id,
    ...Object.fromEntries(PLAIN.flatMap((p) => (collection[p] === undefined ? [] : [[p, collection[p]]]))),
    ...(collection.stages.length === 0 ? {} : { stages: collection.stages }),
    ...(evidence.length === 0 ? {} : { evidence }),
    ...(leads.length === 0 ? {} : { leads }),
  };
}

/** A find read back, and what of it the key no longer understands, one sentence each. */
export interface FoundAgain {
  readonly collection: Collection;
  readonly lost: readonly string[];
}

/** Reads a find back with the characters of a key that may have changed since. */
export function findAgain(find: RecordedFind, characters: ReadonlyMap<string, Character>): FoundAgain {
  const lost: string[] = [];
  const observations = (find.evidence ?? []).flatMap((trait): Observation[] => {
    const character = characters.get(trait.character);
    if (character === undefined) {
      lost.push(`${trait.character} (${trait.shows}): the key has no such character any more`);
      return [];
    }
    const read = readValue(character, trait.shows);
    if (!read.ok) {
      lost.push(`${trait.character}: ${read.problem}`);
      return [];
    }
    return [
      {
        character: trait.character,
        value: read.value,
        ...(trait.specimen === undefined ? {} : { specimen: trait.specimen }),
        ...(trait.stage === undefined ? {} : { stage: trait.stage }),
      },
    ];
  });
  const { evidence: _, leads, stages, ...plain } = find;
  return {
    collection: {
      ...plain,
      observations,
      choices: (leads ?? []).map((l) => ({ couplet: l.couplet, letter: l.lead })),
      stages: stages ?? [],
      expect: [],
    },
    lost,
  };
}
