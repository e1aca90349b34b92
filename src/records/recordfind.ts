import type { Chain } from '../key/chain.js';
import type { Character } from '../traits/character.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import { stateIndices } from '../traits/stateset.js';
import { readValue, type Value } from '../traits/value.js';
import { carry, type GivenLead, givenLead } from './carry.js';
import { writtenValue } from './writtenvalue.js';

/** One thing seen, as a record keeps it: in the notation of collections. */
export interface RecordedTrait {
  readonly character: string;
  readonly shows: string;
  /** The same in the words of the key. */
  readonly means?: string;
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
  /** Leads that the find came with, with their words. */
  readonly leads?: readonly GivenLead[];
}

/** The details of a find besides its id. */
export const DETAILS = ['date', 'place', 'region', 'by', 'habitat', 'note'] as const;

/** Writes a find down, in the words of the key that it is determined with. */
export function recordFind(collection: Collection, chain: Chain): RecordedFind {
  const evidence = collection.observations.flatMap((o): RecordedTrait[] => {
    const character = chain.characters.get(o.character);
    if (character === undefined) return [];
    return [
      {
        character: o.character,
        shows: writtenValue(character, o.value),
        means: inWords(character, o.value),
        ...(o.specimen === undefined ? {} : { specimen: o.specimen }),
        ...(o.stage === undefined ? {} : { stage: o.stage }),
      },
    ];
  });
  const leads = collection.choices.flatMap((c) => givenLead(chain, c.couplet, c.letter) ?? []);
  return {
    id: collection.id,
    ...Object.fromEntries(
      DETAILS.flatMap((p) => ((collection[p] ?? '').trim() === '' ? [] : [[p, collection[p]]])),
    ),
    ...(collection.stages.length === 0 ? {} : { stages: collection.stages }),
    ...(evidence.length === 0 ? {} : { evidence }),
    ...(leads.length === 0 ? {} : { leads }),
  };
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

/** A find read back, and what of it the key no longer understands, one sentence each. */
export interface FoundAgain {
  readonly collection: Collection;
  readonly lost: readonly string[];
}

/** Reads a find back with a key that may have changed since. */
export function findAgain(find: RecordedFind, chain: Chain): FoundAgain {
  const lost: string[] = [];
  const observations = (find.evidence ?? []).flatMap((trait): Observation[] => {
    const character = chain.characters.get(trait.character);
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
  const choices = (leads ?? []).flatMap((given): Choice[] => {
    const carried = carry(given, chain);
    if (!carried.ok) {
      lost.push(`lead ${given.couplet}${given.lead}, chosen beforehand: ${carried.why}`);
      return [];
    }
    const { couplet, lead, counts } = carried.answer;
    return [{ couplet, letter: lead, ...(counts === undefined ? {} : { evidenceOnly: true }) }];
  });
  return { collection: { ...plain, observations, choices, stages: stages ?? [], expect: [] }, lost };
}

/** The same find when nothing was seen of it yet: where, when and by whom it was found. */
export function unseen(find: RecordedFind): Collection {
  const { evidence: _, leads: __, stages: ___, ...plain } = find;
  return { ...plain, observations: [], choices: [], stages: [], expect: [] };
}
