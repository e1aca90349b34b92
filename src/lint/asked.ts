import type { Couplet } from '../key/key.js';
import type { Allowed, Condition } from '../traits/condition.js';
import { type NumberSet, numberSet, otherNumbers } from '../traits/number-set.js';

/** Everything that a condition says of one character, its alternatives taken together. */
export interface Asked {
  readonly character: string;
  /** One for each place where the character is asked. */
  readonly each: readonly Allowed[];
}

/**
 * What a condition asks of each character, in reading order; `not` is carried to the tests below it. Where a character
 * is asked in several alternatives, any of them may hold.
 */
export function askedOf(condition: Condition | undefined): Asked[] {
  const found = new Map<string, Allowed[]>();
  const walk = (c: Condition, holds: boolean): void => {
    if (c.kind === 'not') walk(c.part, !holds);
    else if (c.kind !== 'test') for (const part of c.parts) walk(part, holds);
    else {
      const allowed = holds ? c.allowed : others(c.allowed);
      found.set(c.character, [...(found.get(c.character) ?? []), allowed]);
    }
  };
  if (condition !== undefined) walk(condition, true);
  return [...found].map(([character, each]) => ({ character, each }));
}

function others(allowed: Allowed): Allowed {
  return allowed.kind === 'states'
    ? { ...allowed, except: !allowed.except }
    : { kind: 'numbers', set: otherNumbers(allowed.set) };
}

/** The characters that the leads of a couplet ask, each once, in reading order. */
export function charactersAsked({ leads }: Couplet): string[] {
  return [...new Set(leads.flatMap((lead) => askedOf(lead.when).map(({ character }) => character)))];
}

/** The numbers that are asked of a character anywhere in a condition. */
export function numbersAsked(asked: Asked): NumberSet | undefined {
  const sets = asked.each.flatMap((a) => (a.kind === 'numbers' ? [a.set] : []));
  const [first] = sets;
  return first === undefined
    ? undefined
    : numberSet(
        sets.flatMap((s) => s.intervals),
        first.whole,
      );
}

/** The numbers (from 0) of the states that are asked of a character anywhere in a condition. */
export function statesAsked(asked: Asked, index: ReadonlyMap<string, number>): Set<number> {
  const states = new Set<number>();
  for (const allowed of asked.each) {
    if (allowed.kind !== 'states') continue;
    for (const [id, at] of index) if (allowed.states.includes(id) !== allowed.except) states.add(at);
  }
  return states;
}
