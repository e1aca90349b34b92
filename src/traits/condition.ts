import type { NumberSet } from './number-set.js';

/** What a test allows: some states (or all but some), or numbers in base units. */
export type Allowed =
  | { readonly kind: 'states'; readonly states: readonly string[]; readonly except: boolean }
  | { readonly kind: 'numbers'; readonly set: NumberSet };

/** What one lead says of one character. */
export interface Test {
  readonly kind: 'test';
  readonly character: string;
  readonly allowed: Allowed;
}

/** The condition of a lead: tests joined by AND, `any` (OR) and `not`. */
export type Condition =
  | Test
  | { readonly kind: 'all'; readonly parts: readonly Condition[] }
  | { readonly kind: 'any'; readonly parts: readonly Condition[] }
  | { readonly kind: 'not'; readonly part: Condition };

/** Every test of a condition, in reading order. */
export function testsIn(condition: Condition): readonly Test[] {
  if (condition.kind === 'test') return [condition];
  return condition.kind === 'not' ? testsIn(condition.part) : condition.parts.flatMap(testsIn);
}

/** The ids of the characters that a condition asks, each once, in reading order. */
export function charactersIn(condition: Condition): string[] {
  return [...new Set(testsIn(condition).map((t) => t.character))];
}

/** The tests of a condition that is nothing but tests joined by AND, or undefined. */
export function conjunction(condition: Condition): readonly Test[] | undefined {
  if (condition.kind === 'test') return [condition];
  if (condition.kind !== 'all') return undefined;
  const tests: Test[] = [];
  for (const part of condition.parts) {
    const inner = conjunction(part);
    if (inner === undefined) return undefined;
    tests.push(...inner);
  }
  return tests;
}
