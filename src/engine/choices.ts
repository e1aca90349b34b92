import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import { askedBy, type TestCheck } from '../traits/check.js';
import type { Choice } from '../traits/collection.js';
import { narrowValue, type Value, writeValue } from '../traits/value.js';
import { counts, wrongAgeWarning } from './ages.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import type { Contradiction, Origin, Side } from './contradiction.js';
import { evaluate, evaluateLeads, FAILS } from './evaluate.js';
import { factsOf, valueByFact } from './facts.js';
import type { Warning } from './outcome.js';

/** What is known so far; choices add to it. */
interface Gathered {
  readonly known: (Value | undefined)[];
  readonly origins: (Origin | undefined)[];
  readonly warnings: Warning[];
  readonly contradictions: Contradiction[];
}

/** The characters that a lead asks: for `otherwise`, those of the leads beside it. */
export function askedByLead(couplet: CompiledCouplet, lead: CompiledLead): number[] {
  const leads = lead.otherwise ? couplet.leads : [lead];
  return [...new Set(leads.flatMap((l) => (l.check === undefined ? [] : askedBy(l.check))))];
}

/**
 * Adds what the leads say that a person took. The last choice at a couplet counts; a choice from an age that cannot show
 * all that its lead asks is evidence for the rest of it, and decides no couplet.
 */
export function applyChoices(
  key: CompiledKey,
  choices: readonly Choice[],
  specimen: string | undefined,
  gathered: Gathered,
): {
  readonly chosen: ReadonlyMap<number, number>;
  readonly taken: ReadonlyMap<number, Choice>;
} {
  const chosen = new Map<number, number>();
  const taken = new Map<number, Choice>();
  const leads = new Map<number, number>();
  for (const choice of choices) {
    const couplet = key.coupletIndex.get(choice.couplet);
    const lead =
      couplet === undefined
        ? -1
        : (key.couplets[couplet] as CompiledCouplet).leads.findIndex((l) => l.lead.letter === choice.letter);
    if (couplet === undefined || lead < 0) continue;
    taken.set(couplet, choice);
    leads.set(couplet, lead);
    if (choice.evidenceOnly === true) chosen.delete(couplet);
    else chosen.set(couplet, lead);
  }
  const order = [...taken.keys()].sort((a, b) => a - b);
  const contradicting = new Set<Choice>();
  const conflict = (choice: Choice, other: Side) => {
    contradicting.add(choice);
    gathered.contradictions.push({
      specimen,
      sides: [{ characters: [], choices: [choice] }, other],
    });
  };
  for (const index of order) {
    const couplet = key.couplets[index] as CompiledCouplet;
    const choice = taken.get(index) as Choice;
    const lead = couplet.leads[leads.get(index) as number] as CompiledLead;
    const wrong = askedByLead(couplet, lead).filter(
      (c) => !counts(key.characters[c] as Character, choice.stage),
    );
    for (const c of wrong)
      gathered.warnings.push(
        wrongAgeWarning(key, (key.characters[c] as Character).id, new Set([choice.stage as string])),
      );
    if (wrong.length > 0) chosen.delete(index);
    for (const fact of factsOf(couplet, lead, key)) {
      if (!counts(key.characters[fact.character] as Character, choice.stage)) continue;
      const against = addFact(fact, lead.label, key, gathered);
      if (against === undefined) continue;
      const origin = gathered.origins[against];
      const answer = origin?.kind === 'answer' ? labelled(key, taken, leads, origin.label) : undefined;
      if (answer !== undefined) conflict(choice, { characters: [], choices: [answer] });
      else
        conflict(choice, {
          characters: origin?.kind === 'implied' ? origin.by : [against],
          choices: [],
        });
    }
  }
  // What stands in `any`, or in several leads beside `otherwise`, can be against an answer without a single fact being so.
  for (const [index, lead] of chosen) {
    const couplet = key.couplets[index] as CompiledCouplet;
    const choice = taken.get(index) as Choice;
    const taking = couplet.leads[lead] as CompiledLead;
    if (
      contradicting.has(choice) ||
      evaluateLeads(couplet, gathered.known, key.gates, undefined)[lead] !== FAILS
    )
      continue;
    const characters = askedByLead(couplet, taking).filter((c) => gathered.known[c] !== undefined);
    const names = characters.map((c) => `the ${(key.characters[c] as Character).name}`);
    gathered.warnings.push({
      kind: 'contradiction',
      message: `answer ${taking.label} contradicts what is known of ${names.length === 0 ? 'the find' : listed(names)}`,
      characters: characters.map((c) => (key.characters[c] as Character).id),
    });
    conflict(choice, { characters, choices: [] });
  }
  return { chosen, taken };
}

function labelled(
  key: CompiledKey,
  taken: ReadonlyMap<number, Choice>,
  leads: ReadonlyMap<number, number>,
  label: string,
): Choice | undefined {
  for (const [index, choice] of taken)
    if (key.couplets[index]?.leads[leads.get(index) as number]?.label === label) return choice;
  return undefined;
}

/** Adds a fact; gives the character that it contradicts, and then adds nothing. */
function addFact(
  fact: TestCheck,
  label: string,
  key: CompiledKey,
  { known, origins, warnings }: Gathered,
): number | undefined {
  const value = valueByFact(fact);
  if (value === undefined) return undefined;
  const before = known[fact.character];
  const after = before === undefined ? value : narrowValue(before, value);
  const recorded = (c: number) => {
    const { id, name } = key.characters[c] as Character;
    warnings.push({
      kind: 'contradiction',
      message: `answer ${label} contradicts what was recorded on the ${name} (${writeValue(key.characters[c] as Character, known[c])})`,
      characters: [id],
    });
  };
  if (after === undefined) {
    const character = key.characters[fact.character] as Character;
    const origin = origins[fact.character];
    if (origin?.kind === 'implied') for (const c of origin.by) recorded(c);
    else if (origin?.kind === 'answer')
      warnings.push({
        kind: 'contradiction',
        message: `answer ${label} contradicts answer ${origin.label} on the ${character.name} (${writeValue(character, before)})`,
        characters: [character.id],
      });
    else recorded(fact.character);
    return fact.character;
  }
  const denied = contradictedBy(fact.character, after, key, known);
  if (denied !== undefined) {
    recorded(denied);
    return denied;
  }
  known[fact.character] = after;
  if (before === undefined) origins[fact.character] = { kind: 'answer', label };
  return undefined;
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
  const then = [...known];
  then[character] = value;
  const denied = key.gates.findIndex((gate, index) => {
    const seen = known[index];
    if (gate === undefined || seen === undefined || seen.kind === 'inapplicable') return false;
    return evaluate(gate, then, key.gates) === FAILS && evaluate(gate, known, key.gates) !== FAILS;
  });
  return denied < 0 ? undefined : denied;
}
