import { createHash } from 'node:crypto';
import { type Chain, nodeName } from '../key/chain.js';
import type { Couplet, Lead } from '../key/key.js';
import { byCodeUnit } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { Condition } from '../traits/condition.js';
import { writeNumbers } from '../traits/notation.js';

/** What a lead says, apart from its number and from where it leads: enough to know it again in another version of the key. */
export interface LeadWords {
  readonly lead: string;
  readonly says: string;
  /** Its condition; left out when only a person can judge it. */
  readonly when?: string;
}

/** Stands for the condition of a lead that fits when no other does. */
const OTHERWISE = 'no other lead fits';

/** What each lead of a couplet says. */
export function wordsOf(couplet: Couplet, characters: ReadonlyMap<string, Character>): LeadWords[] {
  return couplet.leads.map((lead) => {
    const when = conditionOf(lead, characters);
    return { lead: lead.letter, says: oneSpaced(lead.text), ...(when === undefined ? {} : { when }) };
  });
}

/** Words without the breaks of the lines that they were written in. */
function oneSpaced(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

function conditionOf(lead: Lead, characters: ReadonlyMap<string, Character>): string | undefined {
  if (lead.otherwise) return OTHERWISE;
  return lead.when === undefined ? undefined : conditionText(lead.when, characters);
}

/** Whether a lead means what it means only beside the other leads of its couplet. */
export function leansOnOthers({ when }: { readonly when?: string }): boolean {
  return when === undefined || when === OTHERWISE;
}

/** A condition in one line, the same for the same condition however its author wrote it. */
export function conditionText(condition: Condition, characters: ReadonlyMap<string, Character>): string {
  if (condition.kind === 'not') return `not (${conditionText(condition.part, characters)})`;
  if (condition.kind !== 'test') {
    const parts = condition.parts.map((p) =>
      p.kind === 'all' || p.kind === 'any'
        ? `(${conditionText(p, characters)})`
        : conditionText(p, characters),
    );
    return [...new Set(parts)].sort(byCodeUnit).join(condition.kind === 'all' ? ' and ' : ' or ');
  }
  const { character: id, allowed } = condition;
  const character = characters.get(id);
  if (allowed.kind === 'states') {
    const states = [...allowed.states].sort(byCodeUnit).join(' | ');
    return `${id}: ${allowed.except ? 'not ' : ''}${states}`;
  }
  return `${id}: ${character === undefined ? '' : writeNumbers(allowed.set, character.unit)}`;
}

/** A short mark of what the leads of a couplet say: the same for the same leads, in whatever order and number. */
export function coupletMark(words: readonly LeadWords[]): string {
  const leads = words.map((w) => JSON.stringify([w.says, w.when ?? null])).sort(byCodeUnit);
  return createHash('sha256').update(leads.join('\n')).digest('hex').slice(0, 12);
}

/** A couplet of a chain with what its leads say. */
export interface KnownCouplet {
  /** `7`, or `key-id/7` outside the main key. */
  readonly name: string;
  readonly words: readonly LeadWords[];
  readonly mark: string;
}

const KNOWN = new WeakMap<Chain, readonly KnownCouplet[]>();

/** Every couplet of a chain with its words, in the order of the chain; worked out once for a chain. */
export function knownCouplets(chain: Chain): readonly KnownCouplet[] {
  let known = KNOWN.get(chain);
  if (known === undefined) {
    known = chain.nodes.map(({ couplet }, i) => {
      const words = wordsOf(couplet, chain.characters);
      return { name: nodeName(chain, i), words, mark: coupletMark(words) };
    });
    KNOWN.set(chain, known);
  }
  return known;
}

/** The couplet of that name. */
export function knownCouplet(chain: Chain, name: string): KnownCouplet | undefined {
  return knownCouplets(chain).find((c) => c.name === name);
}
