import type { Chain } from '../key/chain.js';
import type { Choice, Collection, Observation, Photograph } from '../traits/collection.js';
import { carryAnswer, type RecordedLead, recordedLead } from './carry.js';
import { type RecordedTrait, readFrom, readTrait, recordTrait } from './trait.js';

/** A find as a record keeps it. */
export interface RecordedFind {
  /** What it is called. */
  readonly id: string;
  /** When it was found; absent, as all below, where not told. */
  readonly date?: string;
  /** In words. */
  readonly place?: string;
  /** A code such as `GB-CMA`. */
  readonly region?: string;
  /** Who found it. */
  readonly by?: string;
  /** In words. */
  readonly habitat?: string;
  /** In words. */
  readonly note?: string;
  /** Its photographs, by their file names. */
  readonly photographs?: readonly Photograph[];
  /** The ages of its specimens. */
  readonly stages?: readonly string[];
  /** What was seen on it. */
  readonly evidence?: readonly RecordedTrait[];
  /** Leads that the find came with, with their words. */
  readonly leads?: readonly RecordedLead[];
}

/** The details of a find besides its id. */
export const DETAILS = ['date', 'place', 'region', 'by', 'habitat', 'note'] as const;

/** Records a find, in the words of the key that it is determined with. */
export function recordFind(collection: Collection, chain: Chain): RecordedFind {
  const evidence = collection.observations.flatMap((o) => recordTrait(o, chain) ?? []);
  const leads = collection.choices.flatMap((c): RecordedLead[] => {
    const lead = recordedLead(chain, c.couplet, c.letter);
    return lead === undefined
      ? []
      : [{ ...lead, ...(c.evidenceOnly === true ? { counts: 'evidence' } : {}), ...readFrom(c) }];
  });
  return {
    id: collection.id,
    ...Object.fromEntries(
      DETAILS.flatMap((p) => ((collection[p] ?? '').trim() === '' ? [] : [[p, collection[p]]])),
    ),
    ...(collection.photographs === undefined ? {} : { photographs: collection.photographs }),
    ...(collection.stages.length === 0 ? {} : { stages: collection.stages }),
    ...(evidence.length === 0 ? {} : { evidence }),
    ...(leads.length === 0 ? {} : { leads }),
  };
}

/** A find read back, and what of it the key no longer understands, one sentence each. */
interface ReadFind {
  readonly collection: Collection;
  /** The find to be recorded with this key: evidence whose meaning has changed keeps the meaning it was noted with. */
  readonly find: RecordedFind;
  readonly lost: readonly string[];
  /** Evidence whose meaning has changed, one sentence each. */
  readonly otherwise: readonly string[];
}

/** Reads a find back with a key that may have changed since; for `told` see `carry`. */
export function readFind(find: RecordedFind, chain: Chain, told: boolean): ReadFind {
  const lost: string[] = [];
  const otherwise = new Set<string>();
  const evidence: RecordedTrait[] = [];
  const observations = (find.evidence ?? []).flatMap((trait): Observation[] => {
    const character = chain.characters.get(trait.character);
    const at = evidence.push(trait) - 1;
    if (character === undefined) {
      lost.push(`${trait.character} (${trait.shows}): the key has no such character any more`);
      return [];
    }
    const read = readTrait(trait, character, chain, told);
    if (!read.ok) {
      lost.push(`${trait.character}: ${read.problem}`);
      return [];
    }
    for (const change of read.changes) otherwise.add(`${trait.character} (${trait.shows}) ${change}`);
    if (read.changes.length === 0) {
      const { character: id, shows, means: _, only: __, ...rest } = trait;
      evidence[at] = { character: id, shows, ...read.words, ...rest };
    }
    return [read.observation];
  });
  const { evidence: _, leads, stages, ...plain } = find;
  const choices = (leads ?? []).flatMap((given): Choice[] => {
    const carried = carryAnswer(given, chain, told);
    if (!carried.ok) {
      lost.push(`lead ${given.couplet}${given.lead}, chosen beforehand: ${carried.why}`);
      return [];
    }
    const { couplet, lead, counts } = carried.answer;
    return [
      {
        couplet,
        letter: lead,
        ...(counts === undefined ? {} : { evidenceOnly: true }),
        ...readFrom(carried.answer),
      },
    ];
  });
  return {
    collection: { ...plain, observations, choices, stages: stages ?? [], expect: [] },
    find: { ...find, ...(evidence.length === 0 ? {} : { evidence }) },
    lost,
    otherwise: [...otherwise],
  };
}

/** The find without its traits: where, when and by whom it was found. */
export function withoutTraits(find: RecordedFind): Collection {
  const { evidence: _, leads: __, stages: ___, ...plain } = find;
  return { ...plain, observations: [], choices: [], stages: [], expect: [] };
}
