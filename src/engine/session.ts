import type { ConcernLevel } from '../key/key.js';
import { listed } from '../text/words.js';
import type { Choice, Collection } from '../traits/collection.js';
import { writeValue } from '../traits/value.js';
import type { Check, CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { type Determination, determine } from './determine.js';
import { type Evidence, gather } from './evidence.js';
import { Walk } from './follow.js';
import { FAILS, FITS, judge, type Truth } from './judge.js';
import { isHarmful, worstConcern } from './verdict.js';

/** What a person said at a couplet: the letter of a lead, or that they cannot tell. */
export interface Answer {
  readonly couplet: string;
  /** undefined = can't tell. */
  readonly letter: string | undefined;
}

/** A couplet that the evidence decided, with the reason in words. */
export interface Decided {
  readonly couplet: CompiledCouplet;
  readonly letters: readonly string[];
  readonly reason: string;
}

/** Where a keying stands after some answers. */
export interface Standing {
  /** The couplet to be asked now; undefined when nothing is left to ask. */
  readonly ask: Question | undefined;
  /** Couplets on the way that need no asking, in the order of the key. */
  readonly decided: readonly Decided[];
  /** Couplets that were reached and not decided because the person could not tell. */
  readonly unsure: readonly string[];
  readonly possible: readonly string[];
  readonly worst: ConcernLevel | undefined;
  /** Whether every taxon still possible is one to leave. */
  readonly settled: boolean;
}

export interface Question {
  readonly couplet: CompiledCouplet;
  /** The leads that lead here: `3b`; empty at the start. */
  readonly from: readonly string[];
  readonly truths: readonly Truth[];
  /** By lead: why it is ruled out, where it is. */
  readonly ruledOut: readonly (string | undefined)[];
}

/** The collection with a person's answers added. */
export function withAnswers(collection: Collection, answers: readonly Answer[]): Collection {
  const choices: Choice[] = answers.flatMap((a) =>
    a.letter === undefined ? [] : [{ couplet: a.couplet, letter: a.letter }],
  );
  return { ...collection, choices: [...collection.choices, ...choices] };
}

/**
 * Where a keying stands: which couplet to ask next (the first in the order of the key that is reached by a lead not
 * ruled out and that neither the evidence nor an answer decides), what was decided on the way and why, and what is
 * still possible.
 */
export function standing(key: CompiledKey, collection: Collection, answers: readonly Answer[]): Standing {
  const whole = withAnswers(collection, answers);
  const evidence = gather(key, whole);
  const walk = new Walk(key, evidence, 0);
  const unsureNames = new Set(answers.filter((a) => a.letter === undefined).map((a) => a.couplet));
  const decided: Decided[] = [];
  const unsure: string[] = [];
  const arrivedBy = new Map<number, string[]>();
  let ask: Question | undefined;
  for (const { couplet, truths } of walk.visits) {
    const open = couplet.leads.filter((_, i) => truths[i] !== FAILS);
    for (const lead of open)
      if (lead.next >= 0) arrivedBy.set(lead.next, [...(arrivedBy.get(lead.next) ?? []), lead.label]);
    if (evidence.chosen.has(couplet.index)) continue;
    if (open.length <= 1 || truths.every((t) => t !== 1)) {
      decided.push({
        couplet,
        letters: open.map((l) => l.lead.letter),
        reason: reasonFor(key, evidence, couplet, truths),
      });
    } else if (unsureNames.has(couplet.name)) unsure.push(couplet.name);
    else
      ask ??= {
        couplet,
        from: arrivedBy.get(couplet.index) ?? [],
        truths,
        ruledOut: couplet.leads.map((lead, i) =>
          truths[i] === FAILS ? reasonAgainst(key, evidence, couplet, lead, truths) : undefined,
        ),
      };
  }
  const taxa = walk.results().candidates.map((c) => c.taxon);
  return {
    ask,
    decided,
    unsure,
    possible: taxa.map((t) => t.id),
    worst: worstConcern(taxa),
    settled: taxa.length > 0 && taxa.every((t) => isHarmful(t.concern.level)),
  };
}

/** The result of a keying with the answers given so far. */
export function conclude(
  key: CompiledKey,
  collection: Collection,
  answers: readonly Answer[],
): Determination {
  return determine(key, withAnswers(collection, answers));
}

function reasonFor(
  key: CompiledKey,
  evidence: Evidence,
  couplet: CompiledCouplet,
  truths: readonly Truth[],
): string {
  const fitting = couplet.leads.find((l, i) => truths[i] === FITS && !l.otherwise);
  if (fitting?.check !== undefined) return knownOf(key, evidence, charactersOf(fitting.check));
  const failing = couplet.leads.filter((_, i) => truths[i] === FAILS);
  return knownOf(
    key,
    evidence,
    failing.flatMap((l) => (l.check === undefined ? [] : failingOf(l.check, key, evidence))),
  );
}

function reasonAgainst(
  key: CompiledKey,
  evidence: Evidence,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  truths: readonly Truth[],
): string {
  if (lead.check !== undefined) return knownOf(key, evidence, failingOf(lead.check, key, evidence));
  const fitting = couplet.leads.filter((l, i) => l !== lead && truths[i] === FITS);
  return listed(fitting.map((l) => `${l.label} fits`));
}

/** `2b says: colour of the spore print rust; seen: ring present`. */
function knownOf(key: CompiledKey, evidence: Evidence, characters: readonly number[]): string {
  const parts = [...new Set(characters)].flatMap((index) => {
    const value = evidence.known[index];
    const character = key.characters[index];
    if (character === undefined || value === undefined) return [];
    const origin = evidence.origins[index];
    const what = `${character.name}: ${writeValue(character, value)}`;
    return [origin?.kind === 'answer' ? `${origin.label} says ${what}` : `recorded ${what}`];
  });
  return parts.join('; ');
}

function charactersOf(check: Check): number[] {
  if (check.op === 'states' || check.op === 'numbers') return [check.character];
  return check.op === 'not' ? charactersOf(check.part) : check.parts.flatMap(charactersOf);
}

/** The characters of the failing parts of a condition, with those that a character depends on. */
function failingOf(check: Check, key: CompiledKey, evidence: Evidence): number[] {
  if (check.op === 'states' || check.op === 'numbers') {
    const gate = key.gates[check.character];
    return gate !== undefined && judge(gate, evidence.known, key.gates) === FAILS
      ? charactersOf(gate)
      : [check.character];
  }
  if (check.op === 'not') return charactersOf(check.part);
  return check.parts
    .filter((p) => judge(p, evidence.known, key.gates) === FAILS)
    .flatMap((p) => failingOf(p, key, evidence));
}
