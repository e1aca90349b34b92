/** States that no lead of a couplet takes any longer, or does not take yet, and the lead that is to take them. */

import type { Path } from '../../../diagnostic/finding.js';
import type { Logic } from '../../../engine/logic.js';
import type { Couplet, Lead } from '../../../key/key.js';
import type { KeyText } from '../../../key/keytext.js';
import { flowList, flowMap, oneOrList } from '../../../key/scalars.js';
import type { Condition } from '../../../traits/condition.js';
import { stateIndices } from '../../../traits/state-set.js';
import { maskOf } from '../gates.js';
import type { LeadTests } from '../splits.js';
import { Wording } from '../words.js';
import { type Alternative, alternativeFor } from './lacking.js';
import { draftedWords, leadTests } from './places.js';

/** A test of states in the text of a key. */
interface StateTest {
  readonly lead: Lead;
  readonly path: Path;
  readonly states: readonly string[];
  /** Whether it alone decides about its lead, or as one of several of which any is enough. */
  readonly decides: 'alone' | 'any' | 'with others';
}

/** A lead that takes more states now than before, though its words were made by hand. */
interface WordsBehind {
  readonly label: string;
  readonly states: readonly string[];
}

/** What was done about gaps. */
export interface Filled {
  readonly count: number;
  readonly wordsBehind: readonly WordsBehind[];
  /** Couplets with states that no lead could be given. */
  readonly open: readonly string[];
}

/**
 * Gives states that no lead takes to one, where they can arrive and all could be taken before: first to a lead of which any
 * test is enough, else to one whose words a draft has made, and of these to the one with the most states. So are finds that
 * lack a character which is asked.
 */
export function fillGaps(text: KeyText, before: Logic, now: Logic): Filled {
  const wordsBehind: WordsBehind[] = [];
  const open: string[] = [];
  let count = 0;
  const { main } = now.key.chain;
  const characters = [...main.characters.values()];
  for (const couplet of main.couplets.values()) {
    const words = draftedWords(couplet, main);
    const asDrafted = (l: Lead) => words?.[couplet.leads.indexOf(l)] === l.text;
    const extended = new Map<Lead, LeadTests>();
    const filled = count;
    for (const character of characters) {
      if (character.kind !== 'choice') continue;
      const missing = missingStates(now, couplet, character.id).filter(
        (s) => !wasMissing(before, couplet, character.id, s),
      );
      if (missing.length === 0) continue;
      const found = bestTest(testsOf(couplet, character.id), asDrafted);
      if (found === undefined) {
        open.push(couplet.id);
        continue;
      }
      const { lead, path, states } = found;
      const ids = character.states.map((s) => s.id).filter((s) => states.includes(s) || missing.includes(s));
      text.replaceValue(path, oneOrList(ids.map((s) => text.word(s))));
      count++;
      const made = asDrafted(lead);
      if (!made) wordsBehind.push({ label: lead.label, states: missing });
      const tests = extended.get(lead) ?? leadTests(lead, characters);
      if (made && tests !== undefined) {
        const c = characters.indexOf(character);
        const bits = maskOf({ kind: 'states', states: missing, except: false }, character);
        extended.set(lead, {
          ...tests,
          tests: tests.tests.map((t) =>
            t.character === c && 'mask' in t ? { ...t, mask: t.mask | bits } : t,
          ),
        });
      }
    }
    // A lead is changed once a round.
    const other =
      count > filled ? undefined : alternativeFor(before, now, couplet, (l) => rankOf(l, asDrafted));
    if (other !== undefined) {
      const { lead, on, states } = other;
      giveAlternative(text, other);
      count++;
      const tests = withAlternative(
        leadTests(lead, characters),
        characters.indexOf(on),
        maskOf({ kind: 'states', states, except: false }, on),
      );
      if (asDrafted(lead) && tests !== undefined) extended.set(lead, tests);
      else wordsBehind.push({ label: lead.label, states: states.map((s) => `${on.name} ${s}`) });
    }
    if (extended.size === 0) continue;
    const all = couplet.leads.map((l) => extended.get(l) ?? leadTests(l, characters));
    if (all.includes(undefined)) continue;
    const texts = new Wording(main.language).leads(all as LeadTests[], characters);
    for (const lead of extended.keys()) {
      const words = texts[couplet.leads.indexOf(lead)] as string;
      text.replaceValue([...lead.path, 'lead'], text.data(words));
    }
  }
  return { count, wordsBehind, open };
}

/** Writes one more alternative into the condition of a lead, or more states into the one that asks the same character. */
function giveAlternative(text: KeyText, { lead, on, states }: Alternative): void {
  const path = [...lead.path, 'when'];
  const { when } = lead;
  const parts = when?.kind === 'any' ? when.parts : [];
  const same = parts.findIndex(
    (p) => p.kind === 'test' && p.character === on.id && p.allowed.kind === 'states' && !p.allowed.except,
  );
  const part = parts[same];
  const named = part?.kind === 'test' && part.allowed.kind === 'states' ? part.allowed.states : [];
  const all = on.states.map((s) => s.id).filter((s) => states.includes(s) || named.includes(s));
  const value = oneOrList(all.map((s) => text.word(s)));
  if (part !== undefined) {
    text.replaceValue([...path, 'any', same, on.id], value);
    return;
  }
  const alternative = flowMap([[text.word(on.id), value]]);
  if (when?.kind === 'any') text.addItem([...path, 'any'], alternative);
  else text.replaceValue(path, flowMap([[text.word('any'), flowList([alternative, text.flow(path)])]]));
}

/** The tests of a lead with one more alternative, where a draft has words for them. */
function withAlternative(own: LeadTests | undefined, character: number, mask: number): LeadTests | undefined {
  if (own === undefined) return undefined;
  const { join, tests } = own;
  if (join === 'all')
    return tests.length > 1 ? undefined : { join: 'any', tests: [{ character, mask }, ...tests] };
  const same = tests.findIndex((t) => t.character === character && 'mask' in t);
  return same < 0
    ? { join, tests: [...tests, { character, mask }] }
    : { join, tests: tests.map((t, i) => (i === same && 'mask' in t ? { ...t, mask: t.mask | mask } : t)) };
}

/** Which lead is given more: one of which any test is enough, then one whose words a draft has made. */
function rankOf(lead: Lead, asDrafted: (lead: Lead) => boolean): number {
  const form = lead.when?.kind === 'any' ? 1000 : lead.when?.kind === 'test' ? 0 : -1000;
  return form + (asDrafted(lead) ? 500 : 0);
}

function bestTest(
  tests: readonly StateTest[] | undefined,
  asDrafted: (lead: Lead) => boolean,
): StateTest | undefined {
  const rank = (t: StateTest) => rankOf(t.lead, asDrafted) + t.states.length;
  return (tests ?? [])
    .filter((t) => t.decides !== 'with others')
    .reduce<StateTest | undefined>(
      (best, t) => (best === undefined || rank(t) > rank(best) ? t : best),
      undefined,
    );
}

/** Every test of a character in a couplet; undefined where some lead may take it in a way that names no states. */
function testsOf(couplet: Couplet, character: string): StateTest[] | undefined {
  const out: StateTest[] = [];
  for (const lead of couplet.leads) {
    const { when } = lead;
    if (when === undefined) return undefined;
    const add = (condition: Condition, path: Path, decides: StateTest['decides']): boolean => {
      if (condition.kind !== 'test') return !mentions(condition, character);
      const { allowed } = condition;
      if (condition.character !== character) return true;
      if (allowed.kind !== 'states' || allowed.except) return false;
      out.push({ lead, path: [...path, character], states: allowed.states, decides });
      return true;
    };
    const path = [...lead.path, 'when'];
    const parts = when.kind === 'all' || when.kind === 'any' ? when.parts : [when];
    const decides = parts.length === 1 ? 'alone' : when.kind === 'any' ? 'any' : 'with others';
    const fine = parts.every((part, i) =>
      add(part, when.kind === 'any' ? [...path, 'any', i] : path, decides),
    );
    if (!fine) return undefined;
  }
  return out;
}

function mentions(condition: Condition, character: string): boolean {
  if (condition.kind === 'test') return condition.character === character;
  return condition.kind === 'not'
    ? mentions(condition.part, character)
    : condition.parts.some((p) => mentions(p, character));
}

/** The states of a character that can arrive at a couplet and that none of its leads names. */
function missingStates(logic: Logic, couplet: Couplet, character: string): string[] {
  const tests = testsOf(couplet, character);
  if (tests === undefined || tests.length === 0) return [];
  // A character of one lead alone is an addition there and parts nothing.
  if (new Set(tests.map((t) => t.lead)).size < 2) return [];
  const named = new Set(tests.flatMap((t) => t.states));
  return arriving(logic, couplet, character).filter((s) => !named.has(s));
}

function wasMissing(before: Logic, couplet: Couplet, character: string, state: string): boolean {
  const { main } = before.key.chain;
  const old = main.couplets.get(couplet.id);
  return (
    old !== undefined &&
    main.characters.get(character)?.stateIndex.has(state) === true &&
    missingStates(before, old, character).includes(state)
  );
}

function arriving(logic: Logic, couplet: Couplet, character: string): string[] {
  const index = logic.key.coupletIndex.get(couplet.id);
  const c = logic.space.index.get(character);
  if (index === undefined || c === undefined || logic.depths[index] === undefined) return [];
  const states = logic.space.characters[c]?.states ?? [];
  const region = logic.arrival(index);
  const left = new Set<number>();
  for (const box of region ?? [[]]) {
    const facet = box[c];
    for (const s of facet?.kind === 'states' ? stateIndices(facet.set) : states.keys()) left.add(s);
  }
  return states.filter((_, i) => left.has(i)).map((s) => s.id);
}
