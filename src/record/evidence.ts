import type { Chain } from '../key/chain.js';
import { listed } from '../text/words.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import { narrowValue, writeValue } from '../traits/value.js';
import { carryAnswer, type RecordedLead } from './carry.js';
import type { RecordedFind } from './find.js';
import type { KeyMark } from './key-mark.js';
import { traitsInWords } from './lead-traits.js';
import { type RecordedTrait, readFrom, readTrait } from './trait.js';
import type { FindRecord, RecordedDetermination } from './write.js';

/** What a record knows of its find, for one key. */
export interface RecordEvidence {
  /** The find with all that the key understands of what was seen and answered. */
  readonly collection: Collection;
  /** What the key does not understand, a sentence each. */
  readonly lost: readonly string[];
  /** What means something else in the key now than when it was noted, a sentence each. */
  readonly otherwise: readonly string[];
  /** Where one thing was said in different ways: which of them counts, a sentence each. */
  readonly replaced: readonly string[];
}

/** How a record is read as evidence. */
interface EvidenceOptions {
  /** Leave out the answers that were given with this very key: they are to be given anew. */
  readonly anew?: boolean;
  /** Take every answer for what its lead says of single characters, none as the answer that it is. */
  readonly asTraits?: boolean;
}

/** Something noted of a find, and where it comes from. */
export interface NotedTrait {
  readonly trait: RecordedTrait;
  /** The number of the determination, from 1. */
  readonly determination: number;
  /** The key that it was noted with, whose words it is in. */
  readonly key: KeyMark;
  /** The answer that says it, such as `7b`; absent where it was seen before the first answer. */
  readonly answer?: string;
}

/**
 * All that a record knows of its find, as a key understands it: what was seen, and what the answers say. An answer at a
 * couplet that the chain has as well is taken over as the answer that it is; any other counts for what its lead says of
 * single characters. All determinations count; of two that say different things of one character, the later one.
 * Characters of another key are known by their ids, and their states must mean the same in words.
 */
export function evidenceOfRecord(
  record: FindRecord,
  chain: Chain,
  { anew = false, asTraits = false }: EvidenceOptions = {},
): RecordEvidence {
  const choices = new Map<string, Choice>();
  const noted: NotedTrait[] = [];
  const wordless = new Map<string, string[]>();
  record.determinations.forEach((d, i) => {
    const from = { determination: i + 1, key: d.key };
    for (const trait of d.collection.evidence ?? []) noted.push({ ...from, trait });
    for (const lead of leadsOf(d, anew && d.key.id === chain.main.id)) {
      const choice = asTraits ? undefined : choiceAt(lead, d, chain);
      if (choice !== undefined) {
        choices.delete(choice.couplet);
        choices.set(choice.couplet, choice);
        continue;
      }
      const answer = `${lead.couplet}${lead.lead}`;
      const traits = lead.shows ?? traitsInWords(lead, chain.characters);
      for (const trait of traits) noted.push({ ...from, answer, trait: { ...trait, ...readFrom(lead) } });
      if (traits.length === 0) wordless.set(d.key.id, [...(wordless.get(d.key.id) ?? []), answer]);
    }
  });
  const reading = new Reading(chain);
  for (const one of noted) reading.take(one);
  const found: RecordedFind = Object.assign(
    { ...record.collection },
    ...record.determinations.map((d) => d.collection),
  );
  const { evidence: _, leads: __, stages: ___, ...details } = found;
  const stages = record.determinations.flatMap((d) => d.collection.stages ?? []);
  return {
    collection: {
      ...details,
      observations: reading.observations(),
      choices: [...choices.values()],
      stages: [...new Set(stages)],
      expect: [],
    },
    lost: [
      ...reading.lost,
      ...(reading.unknown.size === 0
        ? []
        : [`${chain.main.id} does not have ${listed([...reading.unknown])}`]),
      ...[...wordless].map(
        ([id, answers]) =>
          `${answers.length === 1 ? 'answer' : 'answers'} ${listed([...new Set(answers)])} of ${id}, which ${answers.length === 1 ? 'says' : 'say'} nothing of one character alone`,
      ),
    ],
    otherwise: [...reading.otherwise],
    replaced: [...reading.replaced],
  };
}

/** A lead that was taken, beforehand or as an answer. */
type TakenLead = RecordedLead & { readonly shows?: readonly RecordedTrait[] };

/** The leads that a determination has, without those that could not be told. */
function leadsOf({ collection, answers }: RecordedDetermination, anew: boolean): TakenLead[] {
  const given = answers.map(
    ({ doubt, ...answer }): TakenLead => ({ ...answer, ...(doubt === undefined ? {} : { doubted: true }) }),
  );
  return [...(collection.leads ?? []), ...(anew ? [] : given)].filter((l) => l.lead !== '?');
}

/** A lead as a choice at a couplet of the chain, where the key of that couplet is part of it and says the same still. */
function choiceAt(lead: TakenLead, { key }: RecordedDetermination, chain: Chain): Choice | undefined {
  const slash = lead.couplet.lastIndexOf('/');
  const owner = slash < 0 ? key.id : lead.couplet.slice(0, slash);
  if (!chain.keys.some((k) => k.id === owner)) return undefined;
  const number = lead.couplet.slice(slash + 1);
  const couplet = owner === chain.main.id ? number : `${owner}/${number}`;
  const carried = carryAnswer({ ...lead, couplet }, chain, key.contents !== undefined);
  if (!carried.ok) return undefined;
  const { lead: letter, counts } = carried.answer;
  return {
    couplet: carried.answer.couplet,
    letter,
    ...(counts === undefined ? {} : { evidenceOnly: true }),
    ...readFrom(lead),
  };
}

/** An observation, and where it comes from. */
interface Told {
  readonly observation: Observation;
  readonly from: NotedTrait;
}

/** Brings together what is noted of a find, in the order of the determinations. */
class Reading {
  readonly lost: string[] = [];
  /** Characters that the key does not have. */
  readonly unknown = new Set<string>();
  readonly otherwise = new Set<string>();
  readonly replaced = new Set<string>();
  /** By character and specimen: what the last determination that saw it saw. */
  readonly #seen = new Map<string, readonly Told[]>();
  /** By character, specimen and age: what the answers say. */
  readonly #answered = new Map<string, Told>();

  constructor(readonly chain: Chain) {}

  take(noted: NotedTrait): void {
    const observation = this.#read(noted);
    if (observation === undefined) return;
    const told = { observation, from: noted };
    if (noted.answer === undefined) this.#see(told);
    else this.#answer(told);
  }

  /** A trait as the key understands it; undefined, and said, where it does not. */
  #read({ trait, key, answer }: NotedTrait): Observation | undefined {
    const { chain } = this;
    const { character: id, shows } = trait;
    const lose = (why: string): undefined => {
      const text = `${id} (${shows}${answer === undefined ? '' : `, answer ${answer} of ${key.id}`}): ${why}`;
      if (!this.lost.includes(text)) this.lost.push(text);
    };
    const character = chain.characters.get(id);
    if (character === undefined) {
      this.unknown.add(id);
      return undefined;
    }
    const own = key.id === chain.main.id;
    const read = readTrait(trait, character, chain, key.contents !== undefined);
    if (!read.ok) return lose(read.problem);
    if (own) for (const change of read.changes) this.otherwise.add(`${id} (${shows}) ${change}`);
    else if (character.kind === 'choice' && !sameState(trait.means, read.words.means, character.name))
      return lose(`means "${read.words.means}" there; noted was "${trait.means}"`);
    return read.observation;
  }

  #see(told: Told): void {
    const { character, specimen } = told.observation;
    const slot = JSON.stringify([character, specimen]);
    const before = this.#seen.get(slot) ?? [];
    const { determination } = told.from;
    if (before.every((b) => b.from.determination === determination)) {
      this.#seen.set(slot, [...before, told]);
      return;
    }
    const differs = before.find((b) => !sameObservation(b.observation, told.observation));
    if (differs !== undefined) this.#replace(differs, told);
    this.#seen.set(slot, [told]);
  }

  #answer(told: Told): void {
    const { character, specimen, stage, value, doubted } = told.observation;
    const slot = JSON.stringify([character, specimen, stage]);
    const before = this.#answered.get(slot);
    const known = before?.observation.value;
    if (before === undefined || known === undefined || value === undefined) {
      this.#answered.set(slot, told);
      return;
    }
    const both = narrowValue(known, value);
    if (both === undefined) {
      this.#replace(before, told);
      this.#answered.set(slot, told);
    } else if (doubted === before.observation.doubted)
      this.#answered.set(slot, { ...told, observation: { ...told.observation, value: both } });
    // What was said without doubt is not narrowed by a doubt.
    else if (doubted !== true) this.#answered.set(slot, told);
  }

  /** Everything together: an answer narrows what was seen, and never counts against it. */
  observations(): Observation[] {
    const seen = [...this.#seen.values()].flat();
    const observations = new Map(seen.map((told) => [told, told.observation]));
    for (const told of this.#answered.values()) {
      const { character, specimen, stage, value, doubted } = told.observation;
      const shows = this.chain.characters.get(character)?.stages ?? [];
      // From an age that cannot show it, an answer is left to stand alone, and the engine says that it does not count.
      const counts = stage === undefined || shows.length === 0 || shows.includes(stage);
      const same = seen.filter(
        ({ observation: o }) =>
          counts &&
          o.character === character &&
          o.value !== undefined &&
          (specimen === undefined || o.specimen === specimen),
      );
      if (same.length === 0 || value === undefined) {
        observations.set(told, told.observation);
        continue;
      }
      let agrees = false;
      for (const one of same) {
        const now = observations.get(one) as Observation;
        const both = now.value === undefined ? undefined : narrowValue(now.value, value);
        if (both === undefined) continue;
        agrees = true;
        if (now.doubted === true && doubted !== true && same.length === 1)
          observations.set(one, told.observation);
        else if (now.doubted === doubted) observations.set(one, { ...now, value: both });
      }
      if (!agrees) this.#replace(told, same[0] as Told);
    }
    return [...observations.values()];
  }

  #replace(out: Told, by: Told): void {
    this.replaced.add(`${out.observation.character}: ${this.#words(by)} counts, not ${this.#words(out)}`);
  }

  /** `rust (answer 3b in determination 2)`. */
  #words({ observation, from }: Told): string {
    const character = this.chain.characters.get(observation.character);
    const value = character === undefined ? '' : writeValue(character, observation.value);
    const how = from.answer === undefined ? 'seen' : `answer ${from.answer}`;
    return `${value} (${how}, determination ${from.determination})`;
  }
}

function sameObservation(a: Observation, b: Observation): boolean {
  return JSON.stringify([a.value, a.stage, a.doubted]) === JSON.stringify([b.value, b.stage, b.doubted]);
}

/** Whether states mean the same in words, whatever each key calls the character. */
function sameState(noted: string | undefined, now: string | undefined, name: string): boolean {
  if (noted === undefined || now === undefined || noted === now) return true;
  return noted.endsWith(now.slice(name.length));
}
