import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import { type Check, denied } from '../traits/check.js';
import type { Collection, Observation } from '../traits/collection.js';
import { joinValues, narrowValue, type Value, valuesApart, writeValue } from '../traits/value.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { FAILS, judge } from './judge.js';
import type { Warning } from './outcome.js';

/** Where a piece of evidence comes from: seen on specimens, or the lead that a person took. */
export type Origin = { readonly kind: 'seen' } | { readonly kind: 'answer'; readonly label: string };

/** Everything known of one collection, ready to be followed through a key. */
export interface Evidence {
  /** By character number. */
  readonly known: readonly (Value | undefined)[];
  readonly origins: readonly (Origin | undefined)[];
  /** By couplet number: the number of the lead that a person took. */
  readonly chosen: ReadonlyMap<number, number>;
  /** Characters that were looked at (even in vain), by number. */
  readonly looked: ReadonlySet<number>;
  readonly warnings: readonly Warning[];
  /** Characters on which specimens of the collection contradict each other. */
  readonly disagree: readonly number[];
}

const SEEN: Origin = { kind: 'seen' };
const NONE: ReadonlyMap<number, number> = new Map();

/**
 * Brings together what was seen on all specimens of a collection and what a person answered. What several specimens
 * show is joined; a character read from an age that cannot show it does not count and is reported; an answer counts as
 * evidence for its lead's condition, but never against what was seen.
 */
export function gather(key: CompiledKey, collection: Collection): Evidence {
  const known = new Array<Value | undefined>(key.characters.length).fill(undefined);
  const origins = new Array<Origin | undefined>(key.characters.length).fill(undefined);
  const looked = new Set<number>();
  const warnings: Warning[] = [];
  const disagree = new Set<number>();
  const firstSeen: (Observation | undefined)[] = [];
  let wrongAge: Map<string, Set<string>> | undefined;
  for (const observation of collection.observations) {
    const index = key.characterIndex.get(observation.character);
    if (index === undefined) continue;
    const { stages } = key.characters[index] as Character;
    if (observation.stage !== undefined && stages.length > 0 && !stages.includes(observation.stage)) {
      if (observation.value === undefined) continue;
      wrongAge ??= new Map();
      const ages = wrongAge.get(observation.character) ?? new Set();
      wrongAge.set(observation.character, ages.add(observation.stage));
      continue;
    }
    looked.add(index);
    const { value } = observation;
    if (value === undefined) continue;
    const before = known[index];
    if (before === undefined) {
      known[index] = value;
      origins[index] = SEEN;
      firstSeen[index] = observation;
    } else {
      // Measures differ between any two specimens; states do not within one species, as a rule.
      if (
        value.kind !== 'numbers' &&
        valuesApart(before, value) &&
        firstSeen[index]?.specimen !== observation.specimen
      )
        disagree.add(index);
      known[index] = joinValues(before, value);
    }
  }
  if (wrongAge !== undefined)
    for (const [id, ages] of [...wrongAge].sort()) warnings.push(wrongAgeWarning(key, id, ages));
  warnContradictions(key, known, warnings);
  for (const index of [...disagree].sort((a, b) => a - b)) {
    const character = key.characters[index] as Character;
    warnings.push({
      kind: 'specimens-disagree',
      message: `the specimens disagree on the ${character.name}: ${writeValue(character, known[index])}`,
      characters: [character.id],
    });
  }
  const chosen = applyChoices(key, collection, known, origins, warnings);
  return { known, origins, chosen, looked, warnings, disagree: [...disagree] };
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
      judge(gate, known, key.gates) !== FAILS
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
  if (collection.choices.length === 0) return NONE;
  const chosen = new Map<number, number>();
  for (const choice of collection.choices) {
    const couplet = key.coupletIndex.get(choice.couplet);
    const lead =
      couplet === undefined
        ? -1
        : (key.couplets[couplet] as CompiledCouplet).leads.findIndex((l) => l.lead.letter === choice.letter);
    if (couplet !== undefined && lead >= 0) chosen.set(couplet, lead);
  }
  for (const index of [...chosen.keys()].sort((a, b) => a - b)) {
    const couplet = key.couplets[index] as CompiledCouplet;
    const lead = couplet.leads[chosen.get(index) as number] as CompiledLead;
    for (const fact of factsOf(couplet, lead, key)) assert(fact, lead.label, key, known, origins, warnings);
  }
  return chosen;
}

/**
 * What taking a lead says of single characters: the tests of its condition that are joined by AND, the characters these
 * depend on, and for `otherwise` that the other leads' single tests are not so. What stands in `any` says nothing of
 * one character alone.
 */
function factsOf(couplet: CompiledCouplet, lead: CompiledLead, key: CompiledKey): Check[] {
  if (lead.otherwise)
    return couplet.leads.flatMap((other) =>
      other === lead || other.check === undefined
        ? []
        : (ungated(denied(other.check, key.characters), key) ?? []),
    );
  return lead.check === undefined ? [] : conjuncts(lead.check, key);
}

function conjuncts(check: Check, key: CompiledKey): Check[] {
  if (check.op === 'all') return check.parts.flatMap((p) => conjuncts(p, key));
  if (check.op === 'not') return ungated(denied(check.part, key.characters), key) ?? [];
  if (check.op !== 'states' && check.op !== 'numbers') return [];
  const gate = key.gates[check.character];
  return gate === undefined ? [check] : [...conjuncts(gate, key), check];
}

/** "Not membranous" is also true where there is no ring at all, so it says nothing of a character that may not apply. */
function ungated(check: Check | undefined, key: CompiledKey): Check[] | undefined {
  if (check === undefined || (check.op !== 'states' && check.op !== 'numbers')) return undefined;
  return key.gates[check.character] === undefined ? [check] : undefined;
}

function assert(
  fact: Check,
  label: string,
  key: CompiledKey,
  known: (Value | undefined)[],
  origins: (Origin | undefined)[],
  warnings: Warning[],
): void {
  if (fact.op !== 'states' && fact.op !== 'numbers') return;
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
  known[fact.character] = after;
  origins[fact.character] ??= { kind: 'answer', label };
}
