/** The characters of two versions of a key, each once, and what is different about them. */

import type { CharacterPair, Correspondences } from '../correspondences/check.js';
import type { Chain } from '../key/chain.js';
import type { Lead } from '../key/key.js';
import { listed } from '../text/words.js';
import type { Character, State } from '../traits/character.js';
import { type Condition, charactersIn } from '../traits/condition.js';
import { writeNumbers } from '../traits/notation.js';
import { meetNumbers, noNumbers } from '../traits/number-set.js';
import { said } from './pairs.js';

/** What is different about a character. */
export interface CharacterChange {
  readonly id: string;
  readonly name: string;
  /** In sentences. */
  readonly what: readonly string[];
}

/** A state of a joint character: the find shows the one in the terms of the old key, and the other in those of the new. */
export interface StateOfBoth {
  readonly old: string;
  readonly now: string;
}

/** One of the two versions. */
export type Side = 'old' | 'now';

/** The characters of two versions, each once. */
export class MergedCharacters {
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
