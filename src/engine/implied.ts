import type { Check, TestCheck } from '../traits/check.js';
import { narrowValue, type Value } from '../traits/value.js';
import type { CompiledKey } from './compile.js';
import { evaluate, OPEN } from './evaluate.js';
import { conjuncts, intersection, valueByFact } from './facts.js';

/** A character that is known since others were seen that could not be there without it. */
export interface Implied {
  readonly character: number;
  /** The characters that were seen. */
  readonly by: readonly number[];
}

interface Dependent {
  readonly character: number;
  readonly gate: Check;
  /** What its `applies-when` says of single characters. */
  readonly facts: readonly TestCheck[];
}

const DEPENDENTS = new WeakMap<CompiledKey['gates'], readonly Dependent[]>();

/** The characters that depend on others, with what their being there says of these. */
export function dependentsOf(key: CompiledKey): readonly Dependent[] {
  let dependents = DEPENDENTS.get(key.gates);
  if (dependents === undefined) {
    dependents = key.gates.flatMap((gate, character) =>
      gate === undefined ? [] : [{ character, gate, facts: conjuncts(gate, key) }],
    );
    DEPENDENTS.set(key.gates, dependents);
  }
  return dependents;
}

/**
 * Adds to what is known of one specimen (or of a find as a whole) that what a seen character depends on is there: who saw the texture
 * of a ring saw a ring. Nothing follows from a character that is there on some specimens only, nor against what was seen.
 * `withheld` are characters of which nothing is to follow. Gives what was added, and characters seen together that cannot
 * be there together.
 */
export function addImplied(
  key: CompiledKey,
  known: (Value | undefined)[],
  withheld?: ReadonlySet<number>,
): {
  readonly implied: readonly Implied[];
  readonly apart: readonly (readonly number[])[];
} {
  let told: Map<number, { fact: TestCheck; by: number[] }> | undefined;
  for (const { character, gate, facts } of dependentsOf(key)) {
    const value = known[character];
    if (value === undefined || value.kind === 'inapplicable' || value.partly) continue;
    if (evaluate(gate, known, key.gates) !== OPEN) continue;
    for (const fact of facts) {
      const before = known[fact.character];
      // What was seen to vary between specimens goes on varying.
      if (
        (before !== undefined && before.kind !== 'inapplicable' && before.partly) ||
        withheld?.has(fact.character)
      )
        continue;
      told ??= new Map();
      const other = told.get(fact.character);
      if (other === undefined) told.set(fact.character, { fact, by: [character] });
      else {
        other.fact = intersection(other.fact, fact);
        if (!other.by.includes(character)) other.by.push(character);
      }
    }
  }
  if (told === undefined) return NOTHING;
  const implied: Implied[] = [];
  const apart: number[][] = [];
  for (const [character, { fact, by }] of told) {
    const value = valueByFact(fact);
    const before = known[character];
    const after = value === undefined || before === undefined ? value : narrowValue(before, value);
    if (after === undefined) apart.push(by);
    else if (before === undefined || !sameValue(before, after)) {
      known[character] = after;
      implied.push({ character, by });
    }
  }
  return { implied: implied.sort((a, b) => a.character - b.character), apart };
}

const NOTHING = { implied: [], apart: [] };

function sameValue(a: Value, b: Value): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
