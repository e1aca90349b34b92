import { type Check, negated, type TestCheck } from '../traits/check.js';
import { meetNumbers, noNumbers } from '../traits/number-set.js';
import { meetStates, noStates } from '../traits/state-set.js';
import type { Value } from '../traits/value.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';

type Gated = Pick<CompiledKey, 'characters' | 'gates'>;

/**
 * What taking a lead says of single characters: the tests of its condition that are joined by AND, the characters these
 * depend on, and for `otherwise` that no other lead's condition is so. What stands in `any` says nothing of one character
 * alone.
 */
export function factsOf(couplet: CompiledCouplet, lead: CompiledLead, key: Gated): TestCheck[] {
  if (!lead.otherwise) return lead.check === undefined ? [] : conjuncts(lead.check, key);
  const byCharacter = new Map<number, TestCheck>();
  for (const other of couplet.leads) {
    if (other === lead || other.check === undefined) continue;
    for (const fact of conjuncts(other.check, key, true)) {
      const before = byCharacter.get(fact.character);
      byCharacter.set(fact.character, before === undefined ? fact : intersection(before, fact));
    }
  }
  return [...byCharacter.values()];
}

const VALUES = new WeakMap<TestCheck, Value>();

/**
 * What a character shows by a fact, the same object each time; undefined where nothing is left: that says that it is not
 * there, not what it shows.
 */
export function valueByFact(fact: TestCheck): Value | undefined {
  if (fact.op === 'states' ? noStates(fact.set) : noNumbers(fact.set)) return undefined;
  let value = VALUES.get(fact);
  if (value === undefined) {
    value =
      fact.op === 'states'
        ? { kind: 'states', set: fact.set, partly: false }
        : { kind: 'numbers', set: fact.set, partly: false };
    VALUES.set(fact, value);
  }
  return value;
}

/** A test of what both tests of one character allow. */
export function intersection(a: TestCheck, b: TestCheck): TestCheck {
  if (a.op === 'states' && b.op === 'states') return { ...a, set: meetStates(a.set, b.set) };
  if (a.op === 'numbers' && b.op === 'numbers') return { ...a, set: meetNumbers(a.set, b.set) };
  return a;
}

/**
 * What a condition says of single characters when it holds, or when it is `denied`: its tests that are joined by AND, and
 * those they depend on. Denying `any` denies all of it; denying `all` denies one part, and does not say which.
 */
export function conjuncts(check: Check, key: Gated, denied = false): TestCheck[] {
  if (check.op === 'states' || check.op === 'numbers') {
    const gate = key.gates[check.character];
    // "Not so that it is membranous" is also true where there is no ring, so it says nothing of what may not apply.
    if (denied) return gate === undefined ? [negated(check, key.characters)] : [];
    return gate === undefined ? [check] : [...conjuncts(gate, key), check];
  }
  if (check.op === 'not') return conjuncts(check.part, key, !denied);
  const joined = (check.op === 'all') !== denied;
  const parts = joined ? check.parts : onlyPart(check.parts);
  return parts.flatMap((p) => conjuncts(p, key, denied));
}

/** Of alternatives that are all the same, one; else none. */
function onlyPart(parts: readonly Check[]): readonly Check[] {
  const texts = new Set(parts.length > 1 ? parts.map((p) => JSON.stringify(p)) : []);
  return texts.size <= 1 ? parts.slice(0, 1) : [];
}
