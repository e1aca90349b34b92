import type { Chain } from '../key/chain.js';
import { writtenValue } from '../tables/written-value.js';
import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import { stateIndices } from '../traits/state-set.js';
import { readValue, type Value } from '../traits/value.js';
import { carryAnswer, type RecordedLead, recordedLead } from './carry.js';
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
  /** Whoever saw it was not sure of it. */
  readonly doubted?: boolean;
}

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
  const evidence = collection.observations.flatMap((o): RecordedTrait[] => {
    const character = chain.characters.get(o.character);
    if (character === undefined) return [];
    return [
      {
        character: o.character,
        shows: writtenValue(character, o.value),
        ...wordsOf(character, o.value, chain),
        ...(o.specimen === undefined ? {} : { specimen: o.specimen }),
        ...(o.stage === undefined ? {} : { stage: o.stage }),
        ...(o.doubted === true ? { doubted: true } : {}),
      },
    ];
  });
  const leads = collection.choices.flatMap((c) => recordedLead(chain, c.couplet, c.letter) ?? []);
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

/** What a value of a character means, and where it can be shown. */
function wordsOf(
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
    const read = readValue(character, trait.shows);
    if (!read.ok) {
      lost.push(`${trait.character}: ${read.problem}`);
      return [];
    }
    const now = wordsOf(character, read.value, chain);
    const changes = [
      ...(trait.means === undefined || trait.means === now.means
        ? []
        : [`means "${now.means}" now; before: "${trait.means}"`]),
      ...(!told || trait.only === now.only
        ? []
        : [`counts ${now.only ?? 'on any specimen'} now; before: ${trait.only ?? 'on any specimen'}`]),
    ];
    for (const change of changes) otherwise.add(`${trait.character} (${trait.shows}) ${change}`);
    if (changes.length === 0) {
      const { character: id, shows, means: _, only: __, ...rest } = trait;
      evidence[at] = { character: id, shows, ...now, ...rest };
    }
    return [
      {
        character: trait.character,
        value: read.value,
        ...(trait.specimen === undefined ? {} : { specimen: trait.specimen }),
        ...(trait.stage === undefined ? {} : { stage: trait.stage }),
        ...(trait.doubted === true ? { doubted: true } : {}),
      },
    ];
  });
  const { evidence: _, leads, stages, ...plain } = find;
  const choices = (leads ?? []).flatMap((given): Choice[] => {
    const carried = carryAnswer(given, chain, told);
    if (!carried.ok) {
      lost.push(`lead ${given.couplet}${given.lead}, chosen beforehand: ${carried.why}`);
      return [];
    }
    const { couplet, lead, counts } = carried.answer;
    return [{ couplet, letter: lead, ...(counts === undefined ? {} : { evidenceOnly: true }) }];
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
