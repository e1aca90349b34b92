/** What only a person can answer in two versions of a key, so that it can be asked of a find in both. */

import type { CompiledKey } from '../engine/compile.js';
import type { Lead } from '../key/key.js';
import { defined } from '../text/optional.js';
import type { Character, State } from '../traits/character.js';
import type { Condition } from '../traits/condition.js';
import { ONE } from '../traits/units.js';
import type { MergedCharacters, Side } from './merged-characters.js';
import { type CoupletPair, said } from './pairs.js';

/** A question that only a person can answer: the leads of a couplet that have no condition. */
export interface UnconditionedCouplet {
  /** By state of its character: the couplet and letter in each of the two keys. */
  readonly answers: readonly { readonly old?: LeadTaken; readonly now?: LeadTaken; readonly text: string }[];
}

/** A lead that a person takes. */
export interface LeadTaken {
  readonly couplet: string;
  readonly letter: string;
}

/**
 * Leads without a condition, as characters: what a person answers at that couplet. Words that have a condition in one
 * version only have it in both here, for a person answers them as before.
 */
export class Questions {
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
