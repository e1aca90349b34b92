import type { ConcernLevel, Taxon } from '../key/key.js';
import { isHarmful, severity, worstConcern } from '../key/severity.js';
import { quotedIfClearing } from '../text/clearing.js';
import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { Check } from '../traits/check.js';
import type { Choice, Collection } from '../traits/collection.js';
import { stateIndices } from '../traits/state-set.js';
import { type Value, writeValue } from '../traits/value.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { type Determination, determine } from './determine.js';
import { evaluate, FAILS, FITS, OPEN, type Truth } from './evaluate.js';
import { type Evidence, gatherEvidence } from './evidence.js';
import { atWorst, furtherTaxa } from './further.js';
import type { FurtherTaxon, Warning } from './outcome.js';
import { type Visit, Walk } from './walk.js';

/** What a person said at a couplet: the letter of a lead, or that they cannot tell. */
export interface Answer {
  readonly couplet: string;
  /** undefined = can't tell. */
  readonly letter: string | undefined;
  /** Only what the lead's condition says of the find counts: the couplet itself is not decided by it. */
  readonly evidenceOnly?: boolean;
  /** The person was not sure of it. */
  readonly doubted?: boolean;
  /** The specimen that it was read from, and its age; absent where it was told of the whole find. */
  readonly specimen?: string;
  readonly stage?: string;
}

/** A couplet that the evidence decided, with the reason in words. */
export interface DecidedCouplet {
  readonly couplet: CompiledCouplet;
  /** The leads that are not ruled out: one, or none when nothing in the couplet fits. */
  readonly letters: readonly string[];
  readonly reason: string;
}

/** A couplet on the path at which more than one lead is still possible. */
export interface OpenCouplet {
  readonly couplet: CompiledCouplet;
  readonly letters: readonly string[];
  /** Whether the person was asked and could not tell. */
  readonly unsure: boolean;
}

/** The state of a keying after some answers. */
export interface SessionState {
  /** The couplet to be asked now; undefined when nothing is left to ask. */
  readonly ask: Question | undefined;
  /** Couplets on the path that need no question, in the order of the key. */
  readonly decided: readonly DecidedCouplet[];
  /** Couplets on the path that nothing decides, including the one asked now. */
  readonly open: readonly OpenCouplet[];
  readonly possible: readonly Taxon[];
  /** What else is possible at worst: if an answer or observation that was doubted is wrong, or on one specimen by itself. */
  readonly further: readonly FurtherTaxon[];
  /** The worst concern among all of them. */
  readonly worst: ConcernLevel | undefined;
  /** Whether every taxon still possible, also at worst, is one to leave. */
  readonly settled: boolean;
  /** What is odd about the evidence so far, such as an answer that contradicts an earlier one. */
  readonly warnings: readonly Warning[];
}

export interface Question {
  readonly couplet: CompiledCouplet;
  /** The leads that lead here: `3b`; empty at the start. */
  readonly from: readonly string[];
  readonly truths: readonly Truth[];
  /** By lead: why it is ruled out, where it is. */
  readonly ruledOut: readonly (string | undefined)[];
  /** By lead: the worst concern that lies behind it and is not ruled out; undefined where nothing does. */
  readonly behind: readonly (ConcernLevel | undefined)[];
}

/** The collection with a person's answers added. */
export function withAnswers(collection: Collection, answers: readonly Answer[]): Collection {
  const choices: Choice[] = answers.flatMap((a) =>
    a.letter === undefined
      ? []
      : [
          {
            couplet: a.couplet,
            letter: a.letter,
            ...(a.evidenceOnly === true ? { evidenceOnly: true } : {}),
            ...(a.doubted === true ? { doubted: true } : {}),
            ...(a.specimen === undefined ? {} : { specimen: a.specimen }),
            ...(a.stage === undefined ? {} : { stage: a.stage }),
          },
        ],
  );
  return { ...collection, choices: [...collection.choices, ...choices] };
}

/**
 * The state of a keying: which couplet to ask next (the first in the order of the key that is reached by a lead not
 * ruled out and that neither the evidence nor an answer decides), what was decided on the path and why, and what is
 * still possible.
 */
export function sessionState(
  key: CompiledKey,
  collection: Collection,
  answers: readonly Answer[],
): SessionState {
  const find = withAnswers(collection, answers);
  const evidence = gatherEvidence(key, find);
  const walk = new Walk(key, evidence, 0);
  const answered = new Set(
    answers.filter((a) => a.letter !== undefined && a.evidenceOnly !== true).map((a) => a.couplet),
  );
  const unsureNames = new Set(answers.filter((a) => a.letter === undefined).map((a) => a.couplet));
  const decided: DecidedCouplet[] = [];
  const open: OpenCouplet[] = [];
  const arrivedBy = new Map<number, string[]>();
  let ask: Omit<Question, 'behind'> | undefined;
  const { visits } = walk;
  for (const { couplet, truths } of visits) {
    const possible = couplet.leads.filter((_, i) => truths[i] !== FAILS);
    for (const lead of possible)
      if (lead.next >= 0) arrivedBy.set(lead.next, [...(arrivedBy.get(lead.next) ?? []), lead.label]);
    if (answered.has(couplet.name)) continue;
    const letters = possible.map((l) => l.lead.letter);
    if (evidence.chosen.has(couplet.index))
      decided.push({ couplet, letters, reason: 'the find came with it' });
    else if (possible.length <= 1 || truths.every((t) => t !== OPEN))
      decided.push({
        couplet,
        letters,
        reason: reasonFor(key, evidence, couplet, truths),
      });
    else {
      const unsure = unsureNames.has(couplet.name);
      open.push({ couplet, letters, unsure });
      if (!unsure)
        ask ??= {
          couplet,
          from: arrivedBy.get(couplet.index) ?? [],
          truths,
          ruledOut: couplet.leads.map((lead, i) =>
            truths[i] === FAILS ? reasonAgainst(key, evidence, couplet, lead, truths) : undefined,
          ),
        };
    }
  }
  const worst = atWorst(key, find, evidence, walk.reached, walk);
  const possible = worst.possible.map((t) => key.taxa[t] as Taxon);
  const further = furtherTaxa(key, find, evidence, worst.beyond);
  const all = [...possible, ...further.map((f) => f.taxon)];
  return {
    ask: ask === undefined ? undefined : { ...ask, behind: worstBehind(key, visits, ask.couplet) },
    decided,
    open,
    possible,
    further,
    worst: worstConcern(all),
    settled: all.length > 0 && all.every((t) => isHarmful(t.concern.level)),
    warnings: evidence.warnings,
  };
}

/** By lead of a couplet: the worst concern among the taxa that it may still lead to. */
function worstBehind(
  key: CompiledKey,
  visits: readonly Visit[],
  asked: CompiledCouplet,
): (ConcernLevel | undefined)[] {
  const behind = new Map<number, readonly (Taxon | undefined)[]>();
  // Leads go forward, so that what lies behind a couplet is known before it.
  for (const { couplet, truths } of [...visits].reverse())
    behind.set(
      couplet.index,
      couplet.leads.map((lead, i) =>
        truths[i] === FAILS
          ? undefined
          : worstOf([...lead.taxa.map((t) => key.taxa[t]), ...(behind.get(lead.next) ?? [])]),
      ),
    );
  return (behind.get(asked.index) ?? []).map((taxon) => taxon?.concern.level);
}

function worstOf(taxa: readonly (Taxon | undefined)[]): Taxon | undefined {
  return taxa.reduce(
    (worst, taxon) =>
      taxon === undefined || (worst !== undefined && severity(worst) <= severity(taxon)) ? worst : taxon,
    undefined,
  );
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
  if (fitting?.check !== undefined)
    return evidenceInWords(key, evidence, decidingCharacters(fitting.check, key, evidence));
  const failing = couplet.leads.filter((_, i) => truths[i] === FAILS);
  return evidenceInWords(
    key,
    evidence,
    failing.flatMap((l) => (l.check === undefined ? [] : decidingCharacters(l.check, key, evidence))),
  );
}

/** Why a lead that fails is ruled out, in words: what the find shows, or which other lead fits. */
export function reasonAgainst(
  key: CompiledKey,
  evidence: Evidence,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  truths: readonly Truth[],
): string {
  if (lead.check !== undefined)
    return evidenceInWords(key, evidence, decidingCharacters(lead.check, key, evidence));
  const fitting = couplet.leads.filter((l, i) => l !== lead && truths[i] === FITS);
  return listed(fitting.map((l) => `${l.label} fits`));
}

/** `2b says colour of the spore print: rusty brown; the find shows ring on the stem: present`. */
function evidenceInWords(key: CompiledKey, evidence: Evidence, characters: readonly number[]): string {
  const parts = [...new Set(characters)].flatMap((index) => {
    const value = evidence.known[index];
    const character = key.characters[index];
    if (character === undefined || value === undefined) return [];
    const origin = evidence.origins[index];
    const what = `${character.name}: ${valueInWords(character, value)}`;
    if (origin?.kind === 'answer') return [`${origin.label} says ${what}`];
    if (origin?.kind === 'implied') return [`${shownInWords(key, evidence, origin.by)} says that ${what}`];
    return [`the find shows ${what}`];
  });
  return parts.join('; ');
}

/** `texture of the ring: fibrous`. */
function shownInWords(key: CompiledKey, evidence: Evidence, characters: readonly number[]): string {
  return listed(
    characters.map((c) => {
      const character = key.characters[c] as Character;
      return `${character.name}: ${valueInWords(character, evidence.known[c] as Value)}`;
    }),
  );
}

/** A value as a person reads it. Of many states the short names are given: their meanings would fill the screen. */
function valueInWords(character: Character, value: Value): string {
  if (value.kind === 'inapplicable') return 'does not apply';
  if (value.kind === 'numbers') return writeValue(character, value);
  const states = stateIndices(value.set).flatMap((i) => character.states[i] ?? []);
  const words = listed(
    states.map((s) => (states.length > 2 ? quotedIfClearing('key', s.id) : s.meaning)),
    'or',
  );
  return value.partly ? `${words}, or wanting on some specimens` : words;
}

/**
 * The characters that make a condition fit or fail: those of the parts that do. For a character that cannot
 * exist on the find, the characters it depends on.
 */
function decidingCharacters(check: Check, key: CompiledKey, evidence: Evidence): number[] {
  const judged = (part: Check) => evaluate(part, evidence.known, key.gates);
  if (check.op === 'states' || check.op === 'numbers') {
    const gate = key.gates[check.character];
    return gate !== undefined && judged(gate) === FAILS
      ? decidingCharacters(gate, key, evidence)
      : [check.character];
  }
  if (check.op === 'not') return decidingCharacters(check.part, key, evidence);
  const truth = judged(check);
  return check.parts.filter((p) => judged(p) === truth).flatMap((p) => decidingCharacters(p, key, evidence));
}
