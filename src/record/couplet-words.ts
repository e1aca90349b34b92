import { createHash } from 'node:crypto';
import { type Chain, nodeName } from '../key/chain.js';
import type { Couplet, Lead } from '../key/key.js';
import { defined } from '../text/optional.js';
import { byCodeUnit } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { Condition } from '../traits/condition.js';
import { writeNumbers } from '../traits/notation.js';
import type { NumberSet } from '../traits/number-set.js';

/** What a lead says, without its number and its target: enough to recognise it in another version of the key. */
export interface LeadWords {
  /** Its letter. */
  readonly lead: string;
  /** Its words. */
  readonly says: string;
  /** Its condition; left out when only a person can decide it. */
  readonly when?: string;
  /**
   * What that condition means, with the states in words and what its characters depend on; left out when it says just
   * the same.
   */
  readonly means?: string;
}

/** The condition of a lead that fits when no other does. */
export const OTHERWISE = 'no other lead fits';

/** What each lead of a couplet says. */
function coupletWords(couplet: Couplet, characters: ReadonlyMap<string, Character>): LeadWords[] {
  return couplet.leads.map((lead) => {
    const when = conditionOf(lead, characters);
    const means = lead.when === undefined ? undefined : meaningOf(lead.when, characters);
    return {
      lead: lead.letter,
      says: singleSpaced(lead.text),
      ...defined({ when, means: means === when ? undefined : means }),
    };
  });
}

/** Words without line breaks. */
function singleSpaced(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

function conditionOf(lead: Lead, characters: ReadonlyMap<string, Character>): string | undefined {
  if (lead.otherwise) return OTHERWISE;
  return lead.when === undefined ? undefined : conditionText(lead.when, characters);
}

/** Whether the meaning of a lead depends on the other leads of its couplet. */
export function dependsOnOtherLeads({ when }: { readonly when?: string }): boolean {
  return when === undefined || when === OTHERWISE;
}

/** A condition in one line, the same for the same condition however its author wrote it. */
function conditionText(condition: Condition, characters: ReadonlyMap<string, Character>): string {
  return inOneLine(condition, ({ character: id, allowed }) => {
    if (allowed.kind === 'numbers') return numbersText(id, allowed.set, characters);
    const states = [...allowed.states].sort(byCodeUnit).join(' | ');
    return `${id}: ${allowed.except ? 'not ' : ''}${states}`;
  });
}

/**
 * What a condition means, in one line: states in words, all that "not" leaves, and under what condition each character
 * exists at all. It differs where the terms that a key uses have changed, though the words of the condition have not.
 */
export function meaningOf(condition: Condition, characters: ReadonlyMap<string, Character>): string {
  return inOneLine(condition, ({ character: id, allowed }) => {
    const character = characters.get(id);
    const gate = character?.appliesWhen;
    const where = gate === undefined ? '' : ` (where ${meaningOf(gate, characters)})`;
    if (allowed.kind === 'numbers') return `${numbersText(id, allowed.set, characters)}${where}`;
    const states = (character?.states ?? []).filter((s) => allowed.states.includes(s.id) !== allowed.except);
    return `${id}: ${states
      .map((s) => s.meaning)
      .sort(byCodeUnit)
      .join(' | ')}${where}`;
  });
}

function inOneLine(
  condition: Condition,
  testText: (test: Extract<Condition, { kind: 'test' }>) => string,
): string {
  if (condition.kind === 'test') return testText(condition);
  if (condition.kind === 'not') return `not (${inOneLine(condition.part, testText)})`;
  const parts = condition.parts.map((p) =>
    p.kind === 'all' || p.kind === 'any' ? `(${inOneLine(p, testText)})` : inOneLine(p, testText),
  );
  return [...new Set(parts)].sort(byCodeUnit).join(condition.kind === 'all' ? ' and ' : ' or ');
}

function numbersText(id: string, set: NumberSet, characters: ReadonlyMap<string, Character>): string {
  const character = characters.get(id);
  return `${id}: ${character === undefined ? '' : writeNumbers(set, character.unit)}`;
}

/** A hash of what the leads of a couplet say: the same for the same leads, in whatever order and number. */
export function coupletMark(words: readonly LeadWords[]): string {
  const leads = words.map((w) => JSON.stringify([w.says, w.when ?? null])).sort(byCodeUnit);
  return createHash('sha256').update(leads.join('\n')).digest('hex').slice(0, 12);
}

/** A couplet of a chain with what its leads say. */
export interface CoupletInWords {
  /** `7`, or `key-id/7` outside the main key. */
  readonly name: string;
  readonly words: readonly LeadWords[];
  readonly mark: string;
}

/** The couplets of a chain in words, each worked out when it is first asked for. */
class ChainInWords {
  readonly #numbers: ReadonlyMap<string, number>;
  readonly #known = new Map<number, CoupletInWords>();

  constructor(readonly chain: Chain) {
    this.#numbers = new Map(chain.nodes.map((_, i) => [nodeName(chain, i), i]));
  }

  named(name: string): CoupletInWords | undefined {
    const number = this.#numbers.get(name);
    return number === undefined ? undefined : this.#at(number, name);
  }

  all(): readonly CoupletInWords[] {
    return [...this.#numbers].map(([name, number]) => this.#at(number, name));
  }

  #at(number: number, name: string): CoupletInWords {
    let known = this.#known.get(number);
    if (known === undefined) {
      const { couplet } = this.chain.nodes[number] as Chain['nodes'][number];
      const words = coupletWords(couplet, this.chain.characters);
      known = { name, words, mark: coupletMark(words) };
      this.#known.set(number, known);
    }
    return known;
  }
}

const KNOWN = new WeakMap<Chain, ChainInWords>();

function inWords(chain: Chain): ChainInWords {
  const known = KNOWN.get(chain) ?? new ChainInWords(chain);
  KNOWN.set(chain, known);
  return known;
}

/** Every couplet of a chain with its words, in the order of the chain; worked out once for a chain. */
export function coupletsInWords(chain: Chain): readonly CoupletInWords[] {
  return inWords(chain).all();
}

/** The couplet of that name. */
export function coupletInWords(chain: Chain, name: string): CoupletInWords | undefined {
  return inWords(chain).named(name);
}
