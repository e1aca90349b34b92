/** Two versions of a key brought onto the same characters, so that their finds can be compared. */

import type { CharacterPair, Correspondences } from '../correspondences/check.js';
import { type CompiledKey, compile } from '../engine/compile.js';
import type { Chain } from '../key/chain.js';
import type { Lead } from '../key/key.js';
import { defined } from '../text/optional.js';
import { listed } from '../text/words.js';
import type { Character, State } from '../traits/character.js';
import { type Condition, charactersIn } from '../traits/condition.js';
import { writeNumbers } from '../traits/notation.js';
import { meetNumbers, noNumbers } from '../traits/number-set.js';
import { ONE } from '../traits/units.js';
import { type CoupletPair, pairCouplets, said } from './pairs.js';
import { MatchedTaxa } from './taxa.js';

/** What is different about a character. */
export interface CharacterChange {
  readonly id: string;
  readonly name: string;
  /** In sentences. */
  readonly what: readonly string[];
}

/** A question that only a person can answer: the leads of a couplet that have no condition. */
interface UnconditionedCouplet {
  /** By state of its character: the couplet and letter in each of the two keys. */
  readonly answers: readonly { readonly old?: LeadTaken; readonly now?: LeadTaken; readonly text: string }[];
}

/** A state of a joint character: the find shows the one in the terms of the old key, and the other in those of the new. */
export interface StateOfBoth {
  readonly old: string;
  readonly now: string;
}

/** A lead that a person takes. */
export interface LeadTaken {
  readonly couplet: string;
  readonly letter: string;
}

/** Two versions over the same characters. */
export interface JoinedVersions {
  /** The versions as they are. */
  readonly oldChain: Chain;
  readonly newChain: Chain;
  /** The versions with the characters of both. */
  readonly old: CompiledKey;
  readonly now: CompiledKey;
  readonly same: MatchedTaxa;
  readonly pairs: readonly CoupletPair[];
  readonly changes: readonly CharacterChange[];
  /** Characters with another id and otherwise the same: old id to new id. */
  readonly renamed: ReadonlyMap<string, string>;
  /** By joint id: the id in the old and in the new key. */
  readonly ids: ReadonlyMap<string, { readonly old?: string; readonly now?: string }>;
  /** By joint id, where a file says which states are which: the state of either key that each joint state is. */
  readonly stateIds: ReadonlyMap<string, readonly StateOfBoth[]>;
  readonly questions: ReadonlyMap<string, UnconditionedCouplet>;
  /** By side, the couplets that have conditions here which stand in the other version only. */
  readonly borrowed: { readonly old: ReadonlySet<number>; readonly now: ReadonlySet<number> };
  /** Leads with a condition now that had none, and the other way round. */
  readonly coded: { readonly gained: readonly string[]; readonly lost: readonly string[] };
}

/** Brings two versions of a key onto the same characters; with a file, two keys of different authors. */
export function joinVersions(oldChain: Chain, newChain: Chain, file?: Correspondences): JoinedVersions {
  const plain = [compile(oldChain), compile(newChain)] as const;
  const same = (old: CompiledKey, now: CompiledKey) => new MatchedTaxa(old, now, sameTaxa(file, oldChain));
  const pairs = pairCouplets(plain[0], plain[1], same(plain[0], plain[1]));
  const merged = new MergedCharacters(oldChain, newChain, file);
  const questions = new Questions(plain[0], plain[1], pairs);
  const characters = new Map([...merged.characters, ...questions.characters]);
  const rewritten = (chain: Chain, side: 'old' | 'now'): Chain => ({
    ...chain,
    characters,
    nodes: chain.nodes.map((node, i) => ({
      ...node,
      couplet: {
        ...node.couplet,
        leads: node.couplet.leads.map((lead, l) =>
          questions.rewrite(merged.rewrite(lead, side), side, i, l, merged),
        ),
      },
    })),
  });
  const old = compile(rewritten(oldChain, 'old'));
  const now = compile(rewritten(newChain, 'now'));
  return {
    oldChain,
    newChain,
    old,
    now,
    same: same(old, now),
    pairs,
    changes: merged.changes,
    renamed: merged.renamed,
    ids: merged.ids,
    stateIds: merged.stateIds,
    questions: questions.all,
    borrowed: questions.borrowed,
    coded: questions.coded,
  };
}

/** By id of a taxon in the old key, the one of the new key that a person has confirmed to be it. */
function sameTaxa(file: Correspondences | undefined, old: Chain): ReadonlyMap<string, string> {
  const same = file?.taxa.filter((t) => t.confirmed && t.how === 'same') ?? [];
  return new Map(same.map(({ from, to }) => (file?.from === old ? [from.id, to.id] : [to.id, from.id])));
}

type Side = 'old' | 'now';

/** The characters of two versions, each once. */
class MergedCharacters {
  readonly characters = new Map<string, Character>();
  readonly ids = new Map<string, { old?: string; now?: string }>();
  readonly renamed: ReadonlyMap<string, string>;
  readonly changes: CharacterChange[] = [];
  readonly stateIds = new Map<string, readonly StateOfBoth[]>();
  /** By id in the old key: the joint id. */
  readonly #joint = new Map<string, string>();

  constructor(old: Chain, now: Chain, file: Correspondences | undefined) {
    const said = new Map(
      (file?.characters ?? [])
        // With a factor, a number of one key is another number of the other.
        .filter((pair) => pair.confirmed && pair.factor === undefined)
        .map((pair) => [file?.from === old ? pair.from.id : pair.to.id, pair] as const),
    );
    this.renamed =
      file === undefined
        ? renamedCharacters(old.characters, now.characters)
        : new Map([...said].map(([id, { from, to }]) => [id, file.from === old ? to.id : from.id]));
    for (const [id, before] of old.characters) {
      const newId = this.renamed.get(id) ?? id;
      const after = now.characters.get(newId);
      const pair = said.get(id);
      // Two authors may mean different things by one word, but where they take it from one file.
      const one =
        after === undefined ||
        (comparable(before, after, pair) &&
          (file === undefined || pair !== undefined || file.shared.has(id)));
      this.#joint.set(id, one ? newId : `${id} (before)`);
      if (pair !== undefined && one && before.kind === 'choice')
        this.stateIds.set(newId, statesOfBoth(pair, file?.from === old));
    }
    for (const [id, before] of old.characters) {
      const joint = this.#joint.get(id) as string;
      const after = now.characters.get(joint);
      this.ids.set(joint, after === undefined ? { old: id } : { old: id, now: joint });
      this.characters.set(
        joint,
        after === undefined
          ? this.#gated({ ...before, id: joint })
          : this.#gated(joined(before, after, this.stateIds.get(joint)), 'now'),
      );
    }
    for (const [id, after] of now.characters) {
      if (this.ids.has(id)) continue;
      this.ids.set(id, { now: id });
      this.characters.set(id, this.#gated(after, 'now'));
    }
    for (const [id, before] of old.characters) {
      if (said.has(id)) continue;
      const after = now.characters.get(this.renamed.get(id) ?? id);
      const what = after === undefined ? [] : differences(before, after, (c) => this.condition(c, 'old'));
      if (after !== undefined && what.length > 0) this.changes.push({ id: after.id, name: after.name, what });
    }
  }

  rewrite(lead: Lead, side: Side): Lead {
    return lead.when === undefined ? lead : { ...lead, when: this.condition(lead.when, side) };
  }

  condition(condition: Condition, side: Side): Condition {
    if (side === 'now' && this.stateIds.size === 0) return condition;
    if (condition.kind === 'test') {
      const id =
        side === 'now' ? condition.character : (this.#joint.get(condition.character) ?? condition.character);
      const { allowed } = condition;
      const both = this.stateIds.get(id);
      if (both === undefined || allowed.kind !== 'states') return { ...condition, character: id };
      const states = both.flatMap((s, i) =>
        allowed.states.includes(s[side]) ? [(this.characters.get(id) as Character).states[i]?.id ?? ''] : [],
      );
      return { ...condition, character: id, allowed: { ...allowed, states } };
    }
    if (condition.kind === 'not') return { kind: 'not', part: this.condition(condition.part, side) };
    return { ...condition, parts: condition.parts.map((p) => this.condition(p, side)) };
  }

  #gated(character: Character, side: Side = 'old'): Character {
    const gate = character.appliesWhen;
    return gate === undefined ? character : { ...character, appliesWhen: this.condition(gate, side) };
  }
}

/** Characters of one version only that are the same as one of the other but for their id. */
function renamedCharacters(
  old: ReadonlyMap<string, Character>,
  now: ReadonlyMap<string, Character>,
): Map<string, string> {
  const mark = (c: Character) =>
    [c.kind, c.name.toLowerCase(), c.unit.dimension, ...c.states.map((s) => s.id)].join('\0');
  const only = (a: ReadonlyMap<string, Character>, b: ReadonlyMap<string, Character>) => {
    const found = new Map<string, string[]>();
    for (const [id, c] of a) if (!b.has(id)) found.set(mark(c), [...(found.get(mark(c)) ?? []), id]);
    return found;
  };
  const gone = only(old, now);
  const come = only(now, old);
  const renamed = new Map<string, string>();
  for (const [what, [id, ...others]] of gone) {
    const [other, ...more] = come.get(what) ?? [];
    if (id !== undefined && other !== undefined && others.length + more.length === 0) renamed.set(id, other);
  }
  return renamed;
}

/** Whether finds can show both: the same kind of value, and a state in common. */
function comparable(a: Character, b: Character, pair?: CharacterPair): boolean {
  if (a.kind !== b.kind || a.unit.dimension !== b.unit.dimension) return false;
  if (pair !== undefined) return a.kind !== 'choice' || statesOfBoth(pair, true).length > 0;
  return a.kind !== 'choice' || a.states.some((s) => b.stateIndex.has(s.id));
}

/** Every way in which a find may show a state of either key at once; one of which nothing is said may be any of the other. */
function statesOfBoth({ states, from, to }: CharacterPair, forward: boolean): StateOfBoth[] {
  return from.states.flatMap((one, i) =>
    (states[i] ?? to.states.map((_, n) => n)).map((n) => {
      const other = to.states[n]?.id ?? '';
      return forward ? { old: one.id, now: other } : { old: other, now: one.id };
    }),
  );
}

/** Whether two states are one another and nothing else, and of one name. */
function once(both: readonly StateOfBoth[], old: string, now: string): boolean {
  return old === now && both.filter((s) => s.old === old || s.now === now).length === 1;
}

/** The values that both versions of a character know. */
function joined(before: Character, after: Character, both?: readonly StateOfBoth[]): Character {
  if (both !== undefined) {
    const states = both.map(
      ({ old, now }): State => ({
        id: once(both, old, now) ? now : `${old} = ${now}`,
        meaning: after.states[after.stateIndex.get(now) ?? -1]?.meaning ?? now,
      }),
    );
    return { ...after, states, stateIndex: new Map(states.map((s, i) => [s.id, i])) };
  }
  if (after.kind === 'choice') {
    const states = after.states.filter((s) => before.stateIndex.has(s.id));
    return { ...after, states, stateIndex: new Map(states.map((s, i) => [s.id, i])) };
  }
  if (before.limits === undefined || after.limits === undefined)
    return before.limits === undefined ? after : { ...after, limits: before.limits };
  const limits = meetNumbers(before.limits, after.limits);
  return noNumbers(limits) ? after : { ...after, limits };
}

function differences(before: Character, after: Character, now: (c: Condition) => Condition): string[] {
  const what: string[] = [];
  const kind = (c: Character) =>
    c.kind === 'choice' ? 'chosen from states' : c.kind === 'count' ? 'a count' : `a measure in ${c.unit.id}`;
  if (kind(before) !== kind(after)) what.push(`was ${kind(before)} and is ${kind(after)}`);
  const states = (a: Character, b: Character) =>
    a.states.filter((s) => !b.stateIndex.has(s.id)).map((s) => s.id);
  const [gone, come] = [states(before, after), states(after, before)];
  if (gone.length > 0 && before.kind === after.kind) what.push(`${listed(gone)} can no longer be shown`);
  if (come.length > 0 && before.kind === after.kind) what.push(`${listed(come)} can be shown as well`);
  for (const { id, meaning } of after.states) {
    const was = before.states[before.stateIndex.get(id) ?? -1]?.meaning;
    if (was !== undefined && said(was) !== said(meaning))
      what.push(`${id} meant "${was}" and means "${meaning}"`);
  }
  const limits = (c: Character) => (c.limits === undefined ? 'no limits' : writeNumbers(c.limits, c.unit));
  if (limits(before) !== limits(after)) what.push(`limits: ${limits(before)}, now ${limits(after)}`);
  const gates = [
    before.appliesWhen === undefined ? '' : JSON.stringify(now(before.appliesWhen)),
    after.appliesWhen === undefined ? '' : JSON.stringify(after.appliesWhen),
  ];
  if (gates[0] !== gates[1]) {
    const by = after.appliesWhen ?? before.appliesWhen;
    what.push(`applies in other cases (by ${listed(by === undefined ? [] : charactersIn(by))})`);
  }
  const ages = (c: Character) => (c.stages.length === 0 ? 'any age' : listed([...c.stages], 'or'));
  if (ages(before) !== ages(after)) what.push(`read from ${ages(before)}, now from ${ages(after)}`);
  return what;
}

/**
 * Leads without a condition, as characters: what a person answers at that couplet. Words that have a condition in one
 * version only have it in both here, for a person answers them as before.
 */
class Questions {
  readonly all = new Map<string, UnconditionedCouplet>();
  readonly characters = new Map<string, Character>();
  readonly coded: { readonly gained: string[]; readonly lost: string[] } = { gained: [], lost: [] };
  readonly borrowed = { old: new Set<number>(), now: new Set<number>() };
  /** By side, couplet and lead: the condition that stands for it; undefined where it is `otherwise`. */
  readonly #stand: Record<Side, Map<string, LeadForm>> = { old: new Map(), now: new Map() };

  /** By side and couplet: that none of its leads without a condition is taken. */
  readonly #none: Record<Side, Map<number, Condition>> = { old: new Map(), now: new Map() };

  constructor(old: CompiledKey, now: CompiledKey, pairs: readonly CoupletPair[]) {
    const done = { old: new Set<number>(), now: new Set<number>() };
    for (const pair of pairs) {
      done.old.add(pair.old.index);
      done.now.add(pair.now.index);
      this.#pair(pair);
    }
    for (const couplet of old.couplets) if (!done.old.has(couplet.index)) this.#alone(couplet, 'old');
    for (const couplet of now.couplets) if (!done.now.has(couplet.index)) this.#alone(couplet, 'now');
  }

  rewrite(lead: Lead, side: Side, couplet: number, index: number, merged: MergedCharacters): Lead {
    const stand = this.#stand[side].get(`${couplet} ${index}`);
    const none = this.#none[side].get(couplet);
    // A person takes one lead: those with a condition are for where none of the others is taken.
    if (stand === undefined && none !== undefined && lead.when !== undefined)
      return { ...lead, when: { kind: 'all', parts: [lead.when, none] } };
    if (stand === undefined) return lead;
    if (stand.kind === 'otherwise') return { ...lead, otherwise: true };
    const own = stand.kind === 'answer' ? stand.test : merged.condition(stand.when, stand.from);
    if (stand.kind === 'when' && none !== undefined)
      return { ...lead, when: { kind: 'all', parts: [own, none] } };
    return { ...lead, when: own };
  }

  #pair({ old, now, leads }: CoupletPair): void {
    const open: { old?: number; now?: number; text: string }[] = [];
    leads.forEach((other, own) => {
      const a = old.leads[own]?.lead;
      const b = now.leads[other]?.lead;
      if (a === undefined) return;
      const bare = [isBare(a), b !== undefined && isBare(b)];
      const sameWords = b !== undefined && said(a.text) === said(b.text);
      if (bare[0] && b !== undefined && !bare[1] && sameWords) {
        this.#stand.old.set(`${old.index} ${own}`, standingOf(b, 'now'));
        this.borrowed.old.add(old.index);
        this.coded.gained.push(now.leads[other]?.label ?? '');
      } else if (!bare[0] && bare[1] && b !== undefined && sameWords) {
        this.#stand.now.set(`${now.index} ${other}`, standingOf(a, 'old'));
        this.borrowed.now.add(now.index);
        this.coded.lost.push(now.leads[other]?.label ?? '');
      } else if (bare[0] && bare[1] && b !== undefined) open.push({ old: own, now: other, text: b.text });
      else {
        if (bare[0]) open.push({ old: own, text: a.text });
        if (bare[1] && b !== undefined) open.push({ now: other, text: b.text });
      }
    });
    now.leads.forEach((l, i) => {
      if (!leads.includes(i) && isBare(l.lead)) open.push({ now: i, text: l.lead.text });
    });
    if (open.length === 0) return;
    const none = this.#ask(
      open.map(({ old: a, now: b, text }) => ({
        ...defined({
          old: a === undefined ? undefined : { couplet: old.name, letter: old.leads[a]?.lead.letter ?? '' },
          now: b === undefined ? undefined : { couplet: now.name, letter: now.leads[b]?.lead.letter ?? '' },
        }),
        text,
      })),
      (i, test) => {
        const { old: a, now: b } = open[i] as (typeof open)[number];
        if (a !== undefined) this.#stand.old.set(`${old.index} ${a}`, { kind: 'answer', test });
        if (b !== undefined) this.#stand.now.set(`${now.index} ${b}`, { kind: 'answer', test });
      },
    );
    this.#none.old.set(old.index, none('old'));
    this.#none.now.set(now.index, none('now'));
  }

  #alone(couplet: CompiledKey['couplets'][number], side: Side): void {
    const open = couplet.leads.flatMap((l, i) => (isBare(l.lead) ? [i] : []));
    if (open.length === 0) return;
    const none = this.#ask(
      open.map((i) => ({
        [side]: { couplet: couplet.name, letter: couplet.leads[i]?.lead.letter ?? '' },
        text: couplet.leads[i]?.lead.text ?? '',
      })),
      (i, test) => this.#stand[side].set(`${couplet.index} ${open[i]}`, { kind: 'answer', test }),
    );
    this.#none[side].set(couplet.index, none(side));
  }

  #ask(
    answers: UnconditionedCouplet['answers'],
    stand: (answer: number, test: Condition) => void,
  ): (side: Side) => Condition {
    const id = `answer ${this.all.size + 1}`;
    const states: State[] = answers.map((a, i) => ({ id: `${i + 1}`, meaning: a.text }));
    states.push({ id: 'none', meaning: 'none of these' });
    this.all.set(id, { answers });
    this.characters.set(id, {
      id,
      name: id,
      kind: 'choice',
      states,
      stateIndex: new Map(states.map((s, i) => [s.id, i])),
      unit: ONE,
      tools: [],
      effort: 1,
      perishable: false,
      stages: [],
      figures: [],
    });
    answers.forEach((_, i) => {
      const allowed = { kind: 'states', states: [`${i + 1}`], except: false } as const;
      stand(i, { kind: 'test', character: id, allowed });
    });
    // What is an answer in the other version only is none in this one.
    return (side) => {
      const own = states.filter((_, i) => answers[i]?.[side] === undefined).map((s) => s.id);
      return { kind: 'test', character: id, allowed: { kind: 'states', states: own, except: false } };
    };
  }
}

type LeadForm =
  | { readonly kind: 'otherwise' }
  | { readonly kind: 'answer'; readonly test: Condition }
  | { readonly kind: 'when'; readonly when: Condition; readonly from: Side };

function isBare(lead: Lead): boolean {
  return lead.when === undefined && !lead.otherwise;
}

function standingOf(lead: Lead, from: Side): LeadForm {
  return lead.when === undefined ? { kind: 'otherwise' } : { kind: 'when', when: lead.when, from };
}
