import type { Taxon } from '../key/key.js';
import { endangers } from '../key/severity.js';
import type { TestCheck } from '../traits/check.js';
import type { Value } from '../traits/value.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { evaluateValue, OPEN, type Truth } from './evaluate.js';
import type { Against } from './outcome.js';

/** How a lead is evaluated. Plain: tests of characters, joined by AND. */
export const PLAIN = 0;
/** No condition: open, until a person takes it. */
export const FREE = 1;
export const OTHERWISE = 2;
/** A condition that has to be evaluated part by part. */
export const JOINED = 3;

/**
 * A compiled key in flat arrays, so that following a find takes only sums and look-ups: leads are numbered
 * through the whole key, and a value is held against all tests of its character once.
 */
export interface Plan {
  /** By couplet, the number of its first lead; one entry more at the end. */
  readonly firstLead: Int32Array;
  /** By lead. */
  readonly couplet: Int32Array;
  readonly next: Int32Array;
  readonly kind: Uint8Array;
  readonly leads: readonly CompiledLead[];
  /** By lead, the number of its first test where it is plain; one entry more at the end. */
  readonly firstTest: Int32Array;
  /** By test: the character, and the number of the test among those of that character. */
  readonly testCharacter: Int32Array;
  readonly testSlot: Int32Array;
  /** By couplet, 1 when none of its leads is joined. */
  readonly quick: Uint8Array;
  /**
   * By couplet, the character that all its leads ask in one test each, as in most couplets, or -1; then by lead the
   * number of the test among those of the character, -1 for `otherwise`.
   */
  readonly only: Int32Array;
  readonly onlySlot: Int32Array;
  /** By lead, 1 when a taxon that could do grave harm lies beyond it. */
  readonly leadDanger: Uint8Array;
  /** By character, the `Against` for the case that this character alone speaks against a taxon. */
  readonly againstOne: readonly Against[];
  /** What a value says of each test of a character, by the number of the test. */
  truthsOf(character: number, value: Value | undefined): Uint8Array;
}

const PLANS = new WeakMap<CompiledKey, Plan>();

/** The plan of a key; made when first asked for. */
export function planOf(key: CompiledKey): Plan {
  let plan = PLANS.get(key);
  if (plan === undefined) {
    plan = makePlan(key);
    PLANS.set(key, plan);
  }
  return plan;
}

function makePlan(key: CompiledKey): Plan {
  const leads: CompiledLead[] = [];
  const firstLead: number[] = [];
  const couplet: number[] = [];
  const firstTest: number[] = [];
  const testCharacter: number[] = [];
  const testSlot: number[] = [];
  const tests: TestCheck[][] = key.characters.map(() => []);
  for (const each of key.couplets) {
    firstLead.push(leads.length);
    for (const lead of each.leads) {
      leads.push(lead);
      couplet.push(each.index);
      firstTest.push(testCharacter.length);
      if (kindOf(lead) !== PLAIN) continue;
      for (const test of lead.tests ?? []) {
        testCharacter.push(test.character);
        testSlot.push((tests[test.character] as TestCheck[]).push(test) - 1);
      }
    }
  }
  firstLead.push(leads.length);
  firstTest.push(testCharacter.length);
  const kind = Uint8Array.from(leads, kindOf);
  return {
    leads,
    firstLead: Int32Array.from(firstLead),
    couplet: Int32Array.from(couplet),
    next: Int32Array.from(leads, (l) => l.next),
    kind,
    firstTest: Int32Array.from(firstTest),
    testCharacter: Int32Array.from(testCharacter),
    testSlot: Int32Array.from(testSlot),
    quick: Uint8Array.from(key.couplets, (c: CompiledCouplet) =>
      c.leads.some((l) => kindOf(l) === JOINED) ? 0 : 1,
    ),
    only: Int32Array.from(key.couplets, onlyCharacter),
    onlySlot: Int32Array.from(leads, (_, i) =>
      kind[i] === PLAIN ? (testSlot[firstTest[i] as number] as number) : -1,
    ),
    leadDanger: dangers(key, leads, firstLead),
    againstOne: key.characters.map(({ id }) => ({ characters: [id], answers: [] })),
    truthsOf: truthTable(tests),
  };
}

/** Leads go forward, so one pass from the last couplet to the first sees everything beyond each. */
function dangers(key: CompiledKey, leads: readonly CompiledLead[], firstLead: readonly number[]): Uint8Array {
  const danger = new Uint8Array(key.couplets.length);
  const leadDanger = new Uint8Array(leads.length);
  for (let i = key.couplets.length - 1; i >= 0; i--) {
    for (let n = firstLead[i] as number; n < (firstLead[i + 1] as number); n++) {
      const { next, taxa } = leads[n] as CompiledLead;
      const beyond = next >= 0 ? danger[next] === 1 : taxa.some((t) => endangers(key.taxa[t] as Taxon));
      if (!beyond) continue;
      leadDanger[n] = 1;
      danger[i] = 1;
    }
  }
  return leadDanger;
}

/** The one character that a couplet asks, where each lead asks it once; -1 for any other couplet. */
function onlyCharacter({ leads }: CompiledCouplet): number {
  let character = -1;
  for (const lead of leads) {
    const kind = kindOf(lead);
    if (kind === OTHERWISE) continue;
    const [test, another] = lead.tests ?? [];
    if (kind !== PLAIN || test === undefined || another !== undefined) return -1;
    if (character >= 0 && character !== test.character) return -1;
    character = test.character;
  }
  return character;
}

function kindOf(lead: CompiledLead): number {
  if (lead.otherwise) return OTHERWISE;
  if (lead.check === undefined) return FREE;
  return lead.tests === undefined ? JOINED : PLAIN;
}

function truthTable(tests: readonly (readonly TestCheck[])[]): Plan['truthsOf'] {
  const unknown = tests.map((own) => new Uint8Array(own.length).fill(OPEN));
  // A table gives the same value for the same text, so most values are met again.
  const known = tests.map(() => new WeakMap<Value, Uint8Array>());
  return (character, value) => {
    if (value === undefined) return unknown[character] as Uint8Array;
    const before = (known[character] as WeakMap<Value, Uint8Array>).get(value);
    if (before !== undefined) return before;
    const truths = Uint8Array.from(
      tests[character] as TestCheck[],
      (test): Truth => evaluateValue(test, value),
    );
    (known[character] as WeakMap<Value, Uint8Array>).set(value, truths);
    return truths;
  };
}
