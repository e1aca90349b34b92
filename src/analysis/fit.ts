import type { CompiledKey } from '../engine/compile.js';
import { evaluate, evaluateValue, FAILS, FITS, type Known, OPEN } from '../engine/evaluate.js';
import type { Taxon } from '../key/key.js';
import type { Character } from '../traits/character.js';
import { askedBy } from '../traits/check.js';
import type { Value } from '../traits/value.js';
import { type Description, descriptionOf } from './description.js';

/** How evidence and description compare in one character. */
const UNDESCRIBED = 0;
/** By the rest of the evidence the character cannot exist on the find. */
const ABSENT = 1;
const UNSEEN = 2;
const AGREES = 3;
/** Some of what was seen agrees and some does not, or it is not known which of several was seen. */
const PARTLY = 4;
export const DIFFERS = 5;
type CharacterFit = 0 | 1 | 2 | 3 | 4 | 5;

/** How a find fits one taxon compared with another. */
export type RelativeFit = 'better' | 'as well' | 'worse' | 'not compared';

/** How a find fits what a taxon is described to show, also in characters that the key never asked. */
export interface Fit {
  readonly taxon: Taxon;
  readonly agrees: readonly Character[];
  readonly differs: readonly Character[];
  readonly partly: readonly Character[];
  /** Described, but not seen on the find. */
  readonly unseen: readonly Character[];
  /** Seen on the find, but not described. */
  readonly undescribed: readonly Character[];
  /** The month of the find, where the months that are stated for the taxon leave it out. */
  readonly outOfSeason: number | undefined;
  /** The taxa it is easily taken for that are no candidates, and how they fit. */
  readonly lookAlikes: readonly LookAlike[];
}

/** A taxon that is no candidate but is easily taken for one, compared with it. */
interface LookAlike {
  readonly taxon: Taxon;
  /** How the look-alike fits, over the characters that were seen and that both are described by. */
  readonly fits: RelativeFit;
  /** Over how many characters. */
  readonly compared: number;
  /** The characters that speak for it and against the candidate. */
  readonly speaks: readonly Character[];
}

/**
 * How evidence and description compare in each character, by its number. A character whose `applies-when` fails on the
 * find is not compared: the one it depends on is, so that a missing ring counts as one difference, not one for each
 * character of the ring.
 */
export function characterFits(key: CompiledKey, taxon: number, known: Known): Uint8Array {
  const description = descriptionOf(key, taxon);
  const { values, tests, characters } = description;
  const words = new Uint8Array(key.characters.length);
  for (let i = 0; i < characters.length; i++) {
    const c = characters[i] as number;
    const value = known[c];
    const test = tests[c];
    if (key.gates[c] !== undefined || test === undefined || value?.kind === 'inapplicable')
      words[c] = characterFit(key, description, c, known);
    else if (value === undefined) words[c] = UNSEEN;
    else {
      // What varies between specimens agrees with a taxon that is described to vary.
      const varies = value.partly && (values[c] as { readonly partly?: boolean }).partly === true;
      const truth = evaluateValue(test, varies ? { ...value, partly: false } : value);
      words[c] = truth === FITS ? AGREES : truth === OPEN ? PARTLY : DIFFERS;
    }
  }
  // A character that is not described still differs when the taxon lacks the structure it belongs to.
  for (const c of dependentCharacters(key))
    if (values[c] === undefined && known[c] !== undefined)
      words[c] = characterFit(key, description, c, known);
  return words;
}

const DEPENDENT = new WeakMap<CompiledKey, readonly number[]>();

/** The characters that depend on others. */
function dependentCharacters(key: CompiledKey): readonly number[] {
  let gated = DEPENDENT.get(key);
  if (gated === undefined) {
    gated = key.gates.flatMap((gate, c) => (gate === undefined ? [] : [c]));
    DEPENDENT.set(key, gated);
  }
  return gated;
}

function characterFit(key: CompiledKey, description: Description, c: number, known: Known): CharacterFit {
  const gate = key.gates[c];
  const value = known[c];
  const described = description.values[c];
  if (gate !== undefined && evaluate(gate, known, key.gates) === FAILS)
    return described === undefined ? UNDESCRIBED : ABSENT;
  if (value === undefined) return described === undefined ? UNDESCRIBED : UNSEEN;
  // What the description says of the structure that the character belongs to.
  const structure = gate === undefined ? FITS : evaluate(gate, description.values, key.gates);
  if (described === undefined) {
    if (structure !== FAILS) return UNDESCRIBED;
    return value.kind === 'inapplicable' ? AGREES : taxonLacks(key, c, value, known);
  }
  if (described.kind === 'inapplicable')
    return value.kind === 'inapplicable' ? AGREES : taxonLacks(key, c, value, known);
  const mayLack = described.partly || structure !== FITS;
  if (value.kind === 'inapplicable') return mayLack ? AGREES : DIFFERS;
  const test = description.tests[c];
  if (test === undefined) return UNDESCRIBED;
  const truth = evaluateValue(test, value.partly && mayLack ? { ...value, partly: false } : value);
  return truth === FITS ? AGREES : truth === OPEN ? PARTLY : DIFFERS;
}

/** The taxon lacks what the find shows. Where the character it depends on was seen, that one differs already. */
function taxonLacks(key: CompiledKey, c: number, value: Value, known: Known): CharacterFit {
  const gate = key.gates[c];
  if (gate !== undefined && askedBy(gate).some((on) => known[on] !== undefined)) return ABSENT;
  return value.kind !== 'inapplicable' && value.partly ? PARTLY : DIFFERS;
}

/**
 * Which of two taxa the find fits better, over the characters that were seen and that both are described by: how many
 * more of them differ in the first than in the second. `without` are characters that are not to count.
 */
export function balance(
  first: Uint8Array,
  second: Uint8Array,
  without: readonly number[] = [],
): { readonly compared: number; readonly balance: number } {
  let compared = 0;
  let more = 0;
  for (let c = 0; c < first.length; c++) {
    const a = first[c] as number;
    const b = second[c] as number;
    if (a < AGREES || b < AGREES || without.includes(c)) continue;
    compared++;
    if (a === DIFFERS) more++;
    if (b === DIFFERS) more--;
  }
  return { compared, balance: more };
}

/**
 * How the find fits each of the taxa, and the look-alikes of each that are not among them. `month` is that of the
 * find.
 */
export function fitsOf(
  key: CompiledKey,
  taxa: readonly number[],
  known: Known,
  month: number | undefined = undefined,
): Fit[] {
  const among = new Set(taxa);
  const words = new Map<number, Uint8Array>();
  const wordsOf = (taxon: number) => {
    const before = words.get(taxon);
    if (before !== undefined) return before;
    const made = characterFits(key, taxon, known);
    words.set(taxon, made);
    return made;
  };
  return taxa.map((taxon) => {
    const own = wordsOf(taxon);
    const named = (word: CharacterFit) => key.characters.filter((_, c) => own[c] === word);
    const { months } = key.taxa[taxon] as Taxon;
    const outOfSeason = month !== undefined && months.length > 0 && !months.includes(month);
    return {
      taxon: key.taxa[taxon] as Taxon,
      outOfSeason: outOfSeason ? month : undefined,
      agrees: named(AGREES),
      differs: named(DIFFERS),
      partly: named(PARTLY),
      unseen: named(UNSEEN),
      undescribed: key.characters.filter((_, c) => own[c] === UNDESCRIBED && known[c] !== undefined),
      lookAlikes: lookAlikesOf(key, taxon)
        .filter((other) => !among.has(other))
        .map((other) => compareLookAlike(key, other, own, wordsOf(other))),
    };
  });
}

function compareLookAlike(key: CompiledKey, other: number, own: Uint8Array, theirs: Uint8Array): LookAlike {
  const { compared: shared, balance: more } = balance(own, theirs);
  const speaks = key.characters.filter((_, c) => own[c] === DIFFERS && theirs[c] === AGREES);
  const fits = shared === 0 ? 'not compared' : more > 0 ? 'better' : more === 0 ? 'as well' : 'worse';
  return { taxon: key.taxa[other] as Taxon, fits, compared: shared, speaks };
}

const ALIKE = new WeakMap<CompiledKey, readonly (readonly number[])[]>();

/**
 * The taxa that a taxon is easily taken for: those that either of the two names under `alike`, and those that
 * lie directly within the same taxon and can be keyed out or are described.
 */
function lookAlikesOf(key: CompiledKey, taxon: number): readonly number[] {
  let all = ALIKE.get(key);
  if (all === undefined) {
    all = allLookAlikes(key);
    ALIKE.set(key, all);
  }
  return all[taxon] ?? [];
}

function allLookAlikes(key: CompiledKey): readonly (readonly number[])[] {
  const numbers = new Map(key.taxa.map((t, i) => [t.id, i]));
  const ends = new Set(key.couplets.flatMap((c) => c.leads.flatMap((l) => l.taxa)));
  const found = key.taxa.map(() => new Set<number>());
  const add = (a: number, b: number) => {
    if (a === b) return;
    found[a]?.add(b);
    found[b]?.add(a);
  };
  const within = new Map<string, number[]>();
  key.taxa.forEach((taxon, i) => {
    for (const id of taxon.alike) {
      const other = numbers.get(id);
      if (other !== undefined) add(i, other);
    }
    if (taxon.within !== undefined && (ends.has(i) || taxon.traits.size > 0))
      within.set(taxon.within, [...(within.get(taxon.within) ?? []), i]);
  });
  for (const siblings of within.values())
    for (const [i, a] of siblings.entries()) for (const b of siblings.slice(i + 1)) add(a, b);
  return found.map((others) => [...others].sort((a, b) => a - b));
}
