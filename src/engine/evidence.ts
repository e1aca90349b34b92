import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import { type Check, negated, type TestCheck } from '../traits/check.js';
import type { Collection, Observation } from '../traits/collection.js';
import { meetNumbers, noNumbers } from '../traits/number-set.js';
import { meetStates, noStates } from '../traits/state-set.js';
import { joinValues, narrowValue, type Value, valuesApart, writeValue } from '../traits/value.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { evaluate, FAILS } from './evaluate.js';
import type { Warning } from './outcome.js';

/** The source of evidence that was not seen on specimens: the lead that a person took. */
interface Origin {
  readonly kind: 'answer';
  readonly label: string;
}

/** Everything known of one collection, ready to be followed through a key. */
export interface Evidence {
  /** By character number. */
  readonly known: readonly (Value | undefined)[];
  /** By character, the lead by which it is known, where it was not seen on a specimen. */
  readonly origins: readonly (Origin | undefined)[];
  /** By couplet number: the number of the lead that a person took. */
  readonly chosen: ReadonlyMap<number, number>;
  readonly warnings: readonly Warning[];
  /** Characters on which specimens of the collection contradict each other. */
  readonly disagree: readonly number[];
}

const NO_ORIGINS: readonly (Origin | undefined)[] = [];
const NO_CHARACTERS: readonly number[] = [];
const NO_CHOICES: ReadonlyMap<number, number> = new Map();

/** Evidence that is nothing but what a find shows, by character number. */
export function evidenceOf(known: Evidence['known']): Evidence {
  return { known, origins: NO_ORIGINS, chosen: NO_CHOICES, warnings: [], disagree: NO_CHARACTERS };
}

/**
 * Brings together what was seen on all specimens of a collection and what a person answered. What several specimens
 * show is joined; a character read from an age that cannot show it does not count and is reported; an answer counts as
 * evidence for its lead's condition, but never against what was seen.
 */
export function gatherEvidence(key: CompiledKey, collection: Collection): Evidence {
  const { characterIndex, characters } = key;
  const known = new Array<Value | undefined>(characters.length).fill(undefined);
  const { observations } = collection;
  let again: SeveralSpecimens | undefined;
  for (let i = 0; i < observations.length; i++) {
    const observation = observations[i] as Observation;
    const index = characterIndex.get(observation.character);
    if (index === undefined) continue;
    const { value } = observation;
    if (value === undefined) continue;
    if (observation.stage !== undefined && !showsAtStage(characters[index] as Character, observation.stage)) {
      again ??= new SeveralSpecimens();
      again.wrongAge(observation.character, observation.stage);
      continue;
    }
    const before = known[index];
    if (before === undefined) known[index] = value;
    else if (before !== value) {
      again ??= new SeveralSpecimens();
      again.several.add(index);
      known[index] = joinValues(before, value);
    }
  }
  const warnings: Warning[] = [];
  if (again !== undefined)
    for (const [id, ages] of [...again.ages].sort()) warnings.push(wrongAgeWarning(key, id, ages));
  warnContradictions(key, known, warnings);
  const disagree =
    again === undefined
      ? NO_CHARACTERS
      : [...again.several]
          .filter((index) => specimensConflict(observations, characters[index] as Character))
          .sort((a, b) => a - b);
  for (const index of disagree) {
    const character = characters[index] as Character;
    warnings.push({
      kind: 'specimens-disagree',
      message: `the specimens disagree on the ${character.name}: ${writeValue(character, known[index])}`,
      characters: [character.id],
    });
  }
  if (collection.choices.length === 0)
    return { known, origins: NO_ORIGINS, chosen: NO_CHOICES, warnings, disagree };
  const origins: (Origin | undefined)[] = [];
  const chosen = applyChoices(key, collection, known, origins, warnings);
  return { known, origins, chosen, warnings, disagree };
}

/** What is collected only where there are several specimens, or specimens of several ages. */
class SeveralSpecimens {
  readonly ages = new Map<string, Set<string>>();
  /** Characters of which more than one value was seen. */
  readonly several = new Set<number>();

  wrongAge(character: string, stage: string): void {
    const ages = this.ages.get(character) ?? new Set();
    this.ages.set(character, ages.add(stage));
  }
}

/** Whether specimens of an age show a character at all. */
function showsAtStage(character: Character, stage: string): boolean {
  return character.stages.length === 0 || character.stages.includes(stage);
}

/**
 * Whether two specimens differ in a character so that they cannot be one species. Observations of one
 * specimen are joined first, so that their order does not matter.
 */
function specimensConflict(observations: readonly Observation[], character: Character): boolean {
  const bySpecimen = new Map<string | undefined, Value>();
  for (const { character: id, specimen, stage, value } of observations) {
    if (
      id !== character.id ||
      value === undefined ||
      (stage !== undefined && !showsAtStage(character, stage))
    )
      continue;
    const before = bySpecimen.get(specimen);
    bySpecimen.set(specimen, before === undefined ? value : joinValues(before, value));
  }
  const values = [...bySpecimen.values()];
  // Measurements differ between any two specimens; states, as a rule, do not differ within a species.
  return values.some((a, i) =>
    values.slice(i + 1).some((b) => !(a.kind === 'numbers' && b.kind === 'numbers') && valuesApart(a, b)),
  );
}

function wrongAgeWarning(key: CompiledKey, id: string, ages: ReadonlySet<string>): Warning {
  const character = key.chain.characters.get(id) as Character;
  return {
    kind: 'wrong-age',
    message: `the ${character.name} does not count from ${listed([...ages].sort(), 'or')} specimens: it shows on ${listed(character.stages, 'or')} ones`,
    characters: [id],
  };
}

function warnContradictions(
  key: CompiledKey,
  known: readonly (Value | undefined)[],
  warnings: Warning[],
): void {
  key.gates.forEach((gate, index) => {
    const value = known[index];
    if (
      gate === undefined ||
      value === undefined ||
      value.kind === 'inapplicable' ||
      evaluate(gate, known, key.gates) !== FAILS
    )
      return;
    const character = key.characters[index] as Character;
    warnings.push({
      kind: 'contradiction',
      message: `the ${character.name} is recorded, but by the other characters it cannot exist on this find`,
      characters: [character.id],
    });
  });
}

function applyChoices(
  key: CompiledKey,
  collection: Collection,
  known: (Value | undefined)[],
  origins: (Origin | undefined)[],
  warnings: Warning[],
): ReadonlyMap<number, number> {
  const chosen = new Map<number, number>();
  const taken = new Map<number, number>();
  for (const choice of collection.choices) {
    const couplet = key.coupletIndex.get(choice.couplet);
    const lead =
      couplet === undefined
        ? -1
        : (key.couplets[couplet] as CompiledCouplet).leads.findIndex((l) => l.lead.letter === choice.letter);
    if (couplet === undefined || lead < 0) continue;
    taken.set(couplet, lead);
    if (choice.evidenceOnly === true) chosen.delete(couplet);
    else chosen.set(couplet, lead);
  }
  for (const index of [...taken.keys()].sort((a, b) => a - b)) {
    const couplet = key.couplets[index] as CompiledCouplet;
    const lead = couplet.leads[taken.get(index) as number] as CompiledLead;
    for (const fact of factsOf(couplet, lead, key)) addFact(fact, lead.label, key, known, origins, warnings);
  }
  return chosen;
}

/**
 * What taking a lead says of single characters: the tests of its condition that are joined by AND, the characters these
 * depend on, and for `otherwise` that the other leads' single tests are not so. What stands in `any` says nothing of
 * one character alone.
 */
export function factsOf(couplet: CompiledCouplet, lead: CompiledLead, key: CompiledKey): TestCheck[] {
  if (!lead.otherwise) return lead.check === undefined ? [] : conjuncts(lead.check, key);
  const byCharacter = new Map<number, TestCheck>();
  for (const other of couplet.leads) {
    if (other === lead || other.check === undefined) continue;
    for (const fact of ungated(negated(other.check, key.characters), key)) {
      const before = byCharacter.get(fact.character);
      byCharacter.set(fact.character, before === undefined ? fact : intersection(before, fact));
    }
  }
  return [...byCharacter.values()];
}

/** A test of what both tests of one character allow. */
function intersection(a: TestCheck, b: TestCheck): TestCheck {
  if (a.op === 'states' && b.op === 'states') return { ...a, set: meetStates(a.set, b.set) };
  if (a.op === 'numbers' && b.op === 'numbers') return { ...a, set: meetNumbers(a.set, b.set) };
  return a;
}

function conjuncts(check: Check, key: CompiledKey): TestCheck[] {
  if (check.op === 'all') return check.parts.flatMap((p) => conjuncts(p, key));
  if (check.op === 'not') return ungated(negated(check.part, key.characters), key);
  if (check.op !== 'states' && check.op !== 'numbers') return [];
  const gate = key.gates[check.character];
  return gate === undefined ? [check] : [...conjuncts(gate, key), check];
}

/**
 * "Not membranous" is also true where there is no ring, so a negation says nothing of a character that may not apply.
 */
function ungated(check: TestCheck | undefined, key: CompiledKey): TestCheck[] {
  return check === undefined || key.gates[check.character] !== undefined ? [] : [check];
}

function addFact(
  fact: TestCheck,
  label: string,
  key: CompiledKey,
  known: (Value | undefined)[],
  origins: (Origin | undefined)[],
  warnings: Warning[],
): void {
  // "None of all its states" says that the character is not there, not which state it shows.
  if (fact.op === 'states' ? noStates(fact.set) : noNumbers(fact.set)) return;
  const value: Value =
    fact.op === 'states'
      ? { kind: 'states', set: fact.set, partly: false }
      : { kind: 'numbers', set: fact.set, partly: false };
  const before = known[fact.character];
  const after = before === undefined ? value : narrowValue(before, value);
  if (after === undefined) {
    const character = key.characters[fact.character] as Character;
    const origin = origins[fact.character];
    const against = origin?.kind === 'answer' ? `answer ${origin.label}` : 'what was recorded';
    warnings.push({
      kind: 'contradiction',
      message: `answer ${label} contradicts ${against} on the ${character.name} (${writeValue(character, before)})`,
      characters: [character.id],
    });
    return;
  }
  const denied = contradictedBy(fact.character, after, key, known);
  if (denied !== undefined) {
    const { id, name } = key.characters[denied] as Character;
    const recorded = writeValue(key.characters[denied] as Character, known[denied]);
    warnings.push({
      kind: 'contradiction',
      message: `answer ${label} contradicts what was recorded on the ${name} (${recorded})`,
      characters: [id],
    });
    return;
  }
  known[fact.character] = after;
  if (before === undefined) origins[fact.character] = { kind: 'answer', label };
}

/**
 * A character that was recorded but could not exist if another one had this value: where a texture of the
 * ring was noted, the answer "ring absent" contradicts it just as if a ring itself had been noted.
 */
function contradictedBy(
  character: number,
  value: Value,
  key: CompiledKey,
  known: readonly (Value | undefined)[],
): number | undefined {
  const then = known.with(character, value);
  const denied = key.gates.findIndex((gate, index) => {
    const seen = known[index];
    if (gate === undefined || seen === undefined || seen.kind === 'inapplicable') return false;
    return evaluate(gate, then, key.gates) === FAILS && evaluate(gate, known, key.gates) !== FAILS;
  });
  return denied < 0 ? undefined : denied;
}
