/** Proposes characters and `when` for couplets whose leads contrast plainly. */

import { slug } from '../../text/slug.js';
import { meetNumbers } from '../../traits/number-set.js';
import { type Fact, factsIn, organName, type Statement, statements } from './facts.js';
import type { LinkedCouplet, LinkedLead } from './linked.js';

/** A character that the words of one or more couplets describe. */
export interface ProposedCharacter {
  id: string;
  readonly name: string;
  readonly kind: 'choice' | 'measure' | 'count';
  readonly unit?: string;
  /** State ids with their meanings, in the order met. */
  readonly states: Map<string, string>;
}

/** What one lead would ask of one character. */
interface ProposedTest {
  readonly character: ProposedCharacter;
  /** State ids, or one number notation. */
  readonly values: readonly string[];
  readonly said: string;
}

export interface Proposals {
  readonly characters: readonly ProposedCharacter[];
  readonly tests: ReadonlyMap<LinkedLead, readonly ProposedTest[]>;
}

/** One character in one couplet: what each of its leads says. */
interface Contrast {
  readonly couplet: LinkedCouplet;
  readonly organ: string;
  readonly kind: Fact['kind'] | 'form';
  readonly property: string;
  readonly facts: readonly Fact[];
}

/** Proposes conditions for the couplets of a key. */
export function propose(couplets: readonly LinkedCouplet[]): Proposals {
  const contrasts = couplets.flatMap(contrastsOf);
  const found = gatherCharacters(contrasts);
  const tests = new Map<LinkedLead, ProposedTest[]>();
  contrasts.forEach((contrast, n) => {
    const character = found.of[n] as ProposedCharacter;
    contrast.couplet.leads.forEach((lead, i) => {
      const fact = contrast.facts[i] as Fact;
      const values = fact.notation === undefined ? fact.states : [fact.notation];
      tests.set(lead, [...(tests.get(lead) ?? []), { character, values, said: fact.said }]);
    });
  });
  return { characters: found.all, tests };
}

/** The plain contrasts of a couplet, when they separate all of its leads. */
function contrastsOf(couplet: LinkedCouplet): Contrast[] {
  const { leads } = couplet;
  if (leads.length < 2 || leads.length > 6) return [];
  const said = leads.map((lead) => statements(lead.words));
  const facts = said.map((list) => byName(list.flatMap(factsIn)));
  const found: Contrast[] = [];
  for (const [name, first] of facts[0] ?? []) {
    const others = facts.map((f) => f.get(name));
    if (others.some((f) => f === undefined || f === 'twice') || first === 'twice') continue;
    const all = others as Fact[];
    if (usable(all))
      found.push({
        couplet,
        organ: all[0]?.organ ?? '',
        kind: all[0]?.kind ?? 'colour',
        property: all[0]?.property ?? '',
        facts: all,
      });
  }
  if (found.length === 0 || !separatesAll(found, leads.length)) {
    const form = formContrast(couplet, said);
    if (form !== undefined) found.push(form);
  }
  return separatesAll(found, leads.length) ? found : [];
}

/** The facts of a lead by part and property; one that is said twice is unclear. */
function byName(facts: readonly Fact[]): Map<string, Fact | 'twice'> {
  const map = new Map<string, Fact | 'twice'>();
  for (const fact of facts) {
    const name = `${singular(fact.organ)}|${fact.kind}|${fact.property}`;
    map.set(name, map.has(name) ? 'twice' : fact);
  }
  return map;
}

function singular(organ: string): string {
  return organ.replace(/ves$/, 'f').replace(/(?:es|s|en|e|n)$/, '');
}

/** Facts of one character can be used when any two of them are the same or exclude each other, and not all are the same. */
function usable(facts: readonly Fact[]): boolean {
  let differ = false;
  for (let i = 0; i < facts.length; i++) {
    for (let j = i + 1; j < facts.length; j++) {
      const [a, b] = [facts[i] as Fact, facts[j] as Fact];
      if (excludes(a, b)) differ = true;
      else if (!same(a, b)) return false;
    }
  }
  return differ;
}

function same(a: Fact, b: Fact): boolean {
  return a.notation === b.notation && a.states.join() === b.states.join();
}

/** Whether no find can show both; numbers may share the end of a range, as printed keys often let them. */
function excludes(a: Fact, b: Fact): boolean {
  if (a.numbers !== undefined && b.numbers !== undefined) {
    const both = meetNumbers(a.numbers, b.numbers);
    return a.notation !== b.notation && both.intervals.every((i) => i.low === i.high);
  }
  if (a.kind === 'presence') return a.states[0] !== b.states[0];
  const words = (f: Fact) => new Set(f.states.flatMap((s) => [s, ...s.split('-')]));
  const of = words(b);
  return ![...words(a)].some((w) => of.has(w) && w !== 'to' && w !== 'not');
}

/** Whether every two leads are separated by at least one of the contrasts. */
function separatesAll(contrasts: readonly Contrast[], leads: number): boolean {
  if (contrasts.length === 0) return false;
  for (let i = 0; i < leads; i++)
    for (let j = i + 1; j < leads; j++)
      if (
        !contrasts.some(({ facts, kind }) =>
          kind === 'form' ? true : excludes(facts[i] as Fact, facts[j] as Fact),
        )
      )
        return false;
  return true;
}

const UNPLAIN =
  /\b(?:with|without|of|than|as|like|usually|mostly|often|sometimes|rarely|more|less|very|somewhat|nearly|almost|at|in|on|to|when|or|and|mit|ohne|von|als|wie|meist|oft|selten|mehr|weniger|sehr|fast|im|am|auf|bis|oder|und|so|thus|above|other|otherwise|both|all)\b|\d/i;

/** `Leaves opposite` against `Leaves alternate`: the same part, and one or two other words. */
function formContrast(couplet: LinkedCouplet, said: readonly (readonly Statement[])[]): Contrast | undefined {
  const starts = said.map((list) => {
    const map = new Map<string, string | 'twice'>();
    for (const { text } of list) {
      const word = firstWord(text);
      map.set(word, map.has(word) ? 'twice' : text);
    }
    return map;
  });
  for (const [word] of starts[0] ?? []) {
    const texts = starts.map((s) => s.get(word));
    if (word === '' || texts.some((t) => t === undefined || t === 'twice')) continue;
    const all = texts as string[];
    const common = commonWords(all);
    const rests = all.map((t) =>
      t
        .split(/\s+/)
        .slice(common)
        .join(' ')
        .replace(/^(?:is|are|ist|sind)\s+/, ''),
    );
    const plain = rests.every(
      (r) => r !== '' && r.split(' ').length <= 2 && !UNPLAIN.test(r) && r.length < 40,
    );
    if (overlap(rests)) continue;
    if (!plain || common > 4 || new Set(rests.map((r) => slug(r))).size < rests.length) continue;
    const organ = organName((all[0] as string).split(/\s+/).slice(0, common).join(' '));
    if (organ === '' || UNPLAIN.test(organ.split(' ').pop() ?? '')) continue;
    const facts = rests.map((rest, i): Fact => {
      const state = slug(rest.replace(/^nicht\s/, 'not '));
      return {
        organ,
        kind: 'colour',
        property: '',
        states: [state],
        meanings: [rest],
        said: all[i] as string,
      };
    });
    if (facts.some((f) => f.states[0] === '')) continue;
    return { couplet, organ, kind: 'form', property: '', facts };
  }
  return undefined;
}

/**
 * Whether states share a word, other than that one denies the other; or one denies what none of the others says:
 * "yellow" and "not turning blue" can both be so.
 */
function overlap(rests: readonly string[]): boolean {
  for (const a of rests) {
    const denied = /^(?:not|nicht)\s+(.+)$/.exec(a)?.[1];
    if (denied !== undefined && !rests.includes(denied)) return true;
    for (const b of rests) {
      if (a === b || a === `not ${b}` || b === `not ${a}` || a === `nicht ${b}` || b === `nicht ${a}`)
        continue;
      const words = new Set(a.split(' '));
      if (b.split(' ').some((w) => words.has(w))) return true;
    }
  }
  return false;
}

function firstWord(text: string): string {
  return /^[\p{L}-]+/u.exec(text)?.[0].toLowerCase() ?? '';
}

/** How many first words all texts share. */
function commonWords(texts: readonly string[]): number {
  const words = texts.map((t) => t.toLowerCase().split(/\s+/));
  const first = words[0] ?? [];
  let n = 0;
  while (n < first.length && words.every((w) => w[n] === first[n])) n++;
  return n;
}

/**
 * Joins the contrasts of several couplets into characters. Numbers of one part join when they measure the same; states
 * join only when they share one, since two couplets may speak of different things of the same part.
 */
function gatherCharacters(contrasts: readonly Contrast[]): {
  all: ProposedCharacter[];
  of: ProposedCharacter[];
} {
  const all: ProposedCharacter[] = [];
  const of: ProposedCharacter[] = [];
  const byBase = new Map<string, ProposedCharacter>();
  const byState = new Map<string, ProposedCharacter>();
  const used = new Map<string, number>();
  for (const contrast of contrasts) {
    const first = contrast.facts[0] as Fact;
    const base = `${singular(contrast.organ)}|${contrast.kind}|${contrast.property}`;
    const numeric = first.notation !== undefined;
    let character: ProposedCharacter | undefined;
    if (numeric || contrast.kind === 'presence') character = byBase.get(base);
    else {
      const states = contrast.facts.flatMap((f) => f.states);
      character = states
        .map((s) => byState.get(`${base}|${s}`))
        .find((c) => c !== undefined && !refines(c, states));
    }
    if (character === undefined) {
      character = {
        id: uniqueId(idOf(contrast), used),
        name: nameOf(contrast),
        kind: numeric ? (first.kind as 'measure' | 'count') : 'choice',
        ...(first.unit === undefined ? {} : { unit: first.unit }),
        states: new Map(),
      };
      all.push(character);
      if (!byBase.has(base)) byBase.set(base, character);
    }
    for (const fact of contrast.facts) {
      fact.states.forEach((state, i) => {
        if (!character.states.has(state)) character.states.set(state, fact.meanings[i] ?? state);
        byState.set(`${base}|${state}`, character);
      });
    }
    if (contrast.kind === 'presence')
      for (const state of ['present', 'absent'])
        if (!character.states.has(state)) character.states.set(state, state);
    of.push(character);
  }
  return { all, of };
}

/** Whether states subdivide what a character already has: `pale yellow` beside `yellow`. */
function refines(character: ProposedCharacter, states: readonly string[]): boolean {
  const has = [...character.states.keys()];
  return states.some((s) =>
    has.some((h) => h !== s && (h.split('-').includes(s) || s.split('-').includes(h))),
  );
}

function idOf({ organ, kind, property }: Contrast): string {
  const part = slug(organ, 40) || 'character';
  if (kind === 'colour') return `${part}-colour`;
  return property === '' ? part : `${part}-${property}`;
}

function nameOf({ organ, kind, property }: Contrast): string {
  if (kind === 'colour') return `${organ}: colour`;
  if (kind === 'presence') return `${organ}: present or absent`;
  return property === '' ? organ : `${organ}: ${property}`;
}

/** The id, with a number after it when it is already in use. */
function uniqueId(base: string, used: Map<string, number>): string {
  const wanted = ['any', 'all', 'not'].includes(base) ? `${base}-of-it` : base;
  let n = (used.get(wanted) ?? 0) + 1;
  const form = () => (n === 1 ? wanted : `${wanted}-${n}`);
  while (n > 1 && used.has(form())) n++;
  used.set(wanted, n);
  const id = form();
  if (id !== wanted) used.set(id, 1);
  return id;
}
