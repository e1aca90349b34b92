import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import { askedBy } from '../traits/check.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import { joinValues, type Value, valuesApart, writeValue } from '../traits/value.js';
import { counts, wrongAgeWarning } from './ages.js';
import { applyChoices } from './choices.js';
import type { CompiledKey } from './compile.js';
import type { Contradiction, Origin } from './contradiction.js';
import { evaluate, FAILS } from './evaluate.js';
import { addImplied, dependentsOf, type Implied } from './implied.js';
import type { Warning } from './outcome.js';
import { withGates } from './slips.js';

/** Everything known of one collection, ready to be followed through a key. */
export interface Evidence {
  /** By character number. */
  readonly known: readonly (Value | undefined)[];
  /** By character, by what it is known, where it was not seen on a specimen. */
  readonly origins: readonly (Origin | undefined)[];
  /** By couplet number: the number of the lead that a person took. */
  readonly chosen: ReadonlyMap<number, number>;
  readonly warnings: readonly Warning[];
  /** Characters on which specimens of the collection contradict each other. */
  readonly disagree: readonly number[];
  /** What follows from what was seen of other characters, also where it narrows what was seen. */
  readonly implied: readonly Implied[];
  readonly contradictions: readonly Contradiction[];
  /** Whether the specimens were looked at one by one, or something was doubted: then more may be possible than all together leave. */
  readonly several: boolean;
  readonly doubted: boolean;
}

/** What is left out of the evidence of a specimen. */
export interface Dropped {
  /** What is told of a character on a specimen (undefined: on the find as a whole), as if nobody had looked. */
  seen(observation: Observation): boolean;
  readonly choices: ReadonlySet<Choice>;
}

/** What is known of one specimen, or of a find of which no specimens are named. */
export interface SpecimenEvidence
  extends Pick<Evidence, 'known' | 'origins' | 'chosen' | 'implied' | 'contradictions'> {
  readonly specimen: string | undefined;
  readonly warnings: readonly Warning[];
  /** The couplets with the choices that count there. */
  readonly taken: ReadonlyMap<number, Choice>;
}

const NO_ORIGINS: readonly (Origin | undefined)[] = [];
const NO_CHARACTERS: readonly number[] = [];
const NO_CHOICES: ReadonlyMap<number, number> = new Map();
const NONE_TAKEN: ReadonlyMap<number, Choice> = new Map();
const NOTHING_IMPLIED: readonly Implied[] = [];
const NO_WARNINGS: readonly Warning[] = [];
const NO_CONTRADICTIONS: readonly Contradiction[] = [];
const INAPPLICABLE: Value = { kind: 'inapplicable' };

/** Evidence that is nothing but what a find shows, by character number, and what leads a person took. */
export function evidenceOf(known: Evidence['known'], chosen = NO_CHOICES): Evidence {
  return plainEvidence(known, chosen, false);
}

function plainEvidence(known: Evidence['known'], chosen: Evidence['chosen'], doubted: boolean): Evidence {
  return {
    known,
    origins: NO_ORIGINS,
    chosen,
    warnings: NO_WARNINGS,
    disagree: NO_CHARACTERS,
    implied: NOTHING_IMPLIED,
    contradictions: NO_CONTRADICTIONS,
    several: false,
    doubted,
  };
}

/**
 * Brings together what was seen on all specimens of a collection and what a person answered. What several specimens
 * show is joined, each after what its own evidence says: what a seen character depends on is there, and what depends on
 * a character that is wanting is not there on that specimen. A character read from an age that cannot show it
 * does not count and is reported; an answer counts as evidence for its lead's condition, but never against what was seen.
 * `withheld` are characters of which nothing is to follow from others.
 */
export function gatherEvidence(
  key: CompiledKey,
  collection: Collection,
  withheld?: ReadonlySet<number>,
): Evidence {
  const { characterIndex, characters } = key;
  const known = new Array<Value | undefined>(characters.length).fill(undefined);
  const { observations, choices } = collection;
  let again: SeveralSpecimens | undefined;
  let name: string | undefined;
  let several = false;
  let doubted = false;
  for (let i = 0; i < observations.length; i++) {
    const observation = observations[i] as Observation;
    const { value, specimen } = observation;
    if (specimen !== undefined && specimen !== name) {
      if (name === undefined) name = specimen;
      else several = true;
    }
    const index = characterIndex.get(observation.character);
    if (index === undefined || value === undefined) continue;
    if (observation.doubted === true) doubted = true;
    if (!counts(characters[index] as Character, observation.stage)) {
      again ??= new SeveralSpecimens();
      again.wrongAge(observation.character, observation.stage as string);
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
  for (const { specimen, doubted: unsure } of choices) {
    if (unsure === true) doubted = true;
    if (specimen === undefined || specimen === name) continue;
    if (name === undefined) name = specimen;
    else several = true;
  }
  // Most finds of a table have nothing of what follows, and are done here.
  const found = several ? undefined : addImplied(key, known, withheld);
  const plain = found?.implied.length === 0 && again === undefined && choices.length === 0;
  if (plain && noteContradictions(key, known, undefined, found) === undefined)
    return plainEvidence(known, NO_CHOICES, doubted);
  const warnings: Warning[] = [];
  if (again !== undefined)
    for (const [id, ages] of [...again.ages].sort()) warnings.push(wrongAgeWarning(key, id, ages));
  let whole: SpecimenEvidence;
  if (found !== undefined) whole = completed(key, known, choices, undefined, found);
  else if (choices.length === 0 && dependentsOf(key).length === 0)
    whole = completed(key, known, choices, undefined, NOTHING_FOLLOWS);
  else {
    const each = specimensOf(collection).map((s) => evidenceOn(key, collection, s, undefined, withheld));
    whole = joined(key, each);
  }
  warnings.push(...whole.warnings);
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
      message: `the specimens disagree on the ${character.name}: ${writeValue(character, whole.known[index])}`,
      characters: [character.id],
    });
  }
  return { ...whole, warnings, disagree, several, doubted };
}

/** The specimens that are named, in the order of the find. */
export function specimensOf({ observations, choices }: Collection): string[] {
  return [...new Set([...observations, ...choices].flatMap((o) => o.specimen ?? []))];
}

/** A collection with nothing but what was seen and told of one specimen and of the find as a whole. */
export function onSpecimen(collection: Collection, specimen: string): Collection {
  const own = <T extends { readonly specimen?: string }>(o: T) =>
    o.specimen === undefined || o.specimen === specimen;
  return {
    ...collection,
    observations: collection.observations.filter(own),
    choices: collection.choices.filter(own),
  };
}

/** What is known of one specimen by what was seen and told of itself and of the find as a whole. */
export function evidenceOn(
  key: CompiledKey,
  { observations, choices }: Collection,
  specimen: string | undefined,
  dropped?: Dropped,
  withheld?: ReadonlySet<number>,
): SpecimenEvidence {
  const own = <T extends { readonly specimen?: string }>(o: T) =>
    o.specimen === undefined || o.specimen === specimen;
  const known = new Array<Value | undefined>(key.characters.length).fill(undefined);
  const silent = new Set<number>();
  for (const observation of observations) {
    if (!own(observation)) continue;
    const { character, value, stage } = observation;
    const index = key.characterIndex.get(character);
    if (index === undefined || value === undefined || !counts(key.characters[index] as Character, stage))
      continue;
    if (dropped?.seen(observation)) silent.add(index);
    const before = known[index];
    known[index] = before === undefined ? value : joinValues(before, value);
  }
  for (const index of silent) known[index] = undefined;
  const heard = choices.filter(own);
  // An answer that a later one at its couplet has replaced does not come back when that one is dropped.
  const last = new Map(heard.map((c) => [c.couplet, c]));
  const said =
    dropped === undefined ? heard : heard.filter((c) => !dropped.choices.has(last.get(c.couplet) as Choice));
  return completed(key, known, said, specimen, addImplied(key, known, withheld));
}

/** The evidence of several specimens together: everything that any of them shows. */
export function joined(key: CompiledKey, each: readonly SpecimenEvidence[]): SpecimenEvidence {
  const known = key.characters.map((_, c): Value | undefined => {
    const shown = each.flatMap((s) => (wanting(key, s, c) ? [] : (s.known[c] ?? [])));
    // A contradiction on every specimen stays what it is.
    const all = shown.length > 0 ? shown : each.flatMap((s) => s.known[c] ?? []);
    if (all.length === 0) return undefined;
    const lacks = shown.length > 0 && each.some((s) => wanting(key, s, c));
    return (lacks ? [...all, INAPPLICABLE] : all).reduce((a, b) => (a === b ? a : joinValues(a, b)));
  });
  const origins = key.characters.map((_, c): Origin | undefined => {
    const tellers = each.filter((s) => s.known[c] !== undefined);
    return tellers.every((s) => s.origins[c] !== undefined) ? tellers[0]?.origins[c] : undefined;
  });
  const chosen = new Map<number, number>();
  const apart = new Set<number>();
  for (const s of each)
    for (const [couplet, lead] of s.chosen) {
      if ((chosen.get(couplet) ?? lead) !== lead) apart.add(couplet);
      chosen.set(couplet, lead);
    }
  for (const couplet of apart) chosen.delete(couplet);
  const implied = new Map<number, Set<number>>();
  for (const { character, by } of each.flatMap((s) => s.implied))
    implied.set(character, new Set([...(implied.get(character) ?? []), ...by]));
  const warnings = new Map(each.flatMap((s) => s.warnings).map((w) => [w.message, w]));
  return {
    specimen: undefined,
    known,
    origins,
    chosen,
    taken: NONE_TAKEN,
    implied: [...implied].map(([character, by]) => ({
      character,
      by: [...by].sort((a, b) => a - b),
    })),
    contradictions: each.flatMap((s) => s.contradictions),
    warnings: [...warnings.values()],
  };
}

/** Whether a character cannot be there on a specimen, by what it depends on. */
export function wanting(key: CompiledKey, { known }: Pick<Evidence, 'known'>, character: number): boolean {
  const gate = key.gates[character];
  return gate !== undefined && evaluate(gate, known, key.gates) === FAILS;
}

const NOTHING_FOLLOWS: ReturnType<typeof addImplied> = { implied: [], apart: [] };

/** What was seen, with what followed from it, and what follows from the answers. Changes the list of what is known. */
function completed(
  key: CompiledKey,
  known: (Value | undefined)[],
  choices: readonly Choice[],
  specimen: string | undefined,
  found: ReturnType<typeof addImplied>,
): SpecimenEvidence {
  const { implied } = found;
  const noted = noteContradictions(key, known, specimen, found);
  const warnings = noted?.warnings ?? [];
  const contradictions = noted?.contradictions ?? [];
  const origins: (Origin | undefined)[] = [];
  for (const { character, by } of implied) origins[character] = { kind: 'implied', by };
  const gathered = { known, origins, warnings, contradictions };
  const { chosen, taken } =
    choices.length === 0
      ? { chosen: NO_CHOICES, taken: NONE_TAKEN }
      : applyChoices(key, choices, specimen, gathered);
  return { specimen, known, origins, chosen, taken, implied, contradictions, warnings };
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

/**
 * Whether two specimens differ in a character so that they cannot be one species. Observations of one
 * specimen are joined first, so that their order does not matter.
 */
export function specimensConflict(observations: readonly Observation[], character: Character): boolean {
  const bySpecimen = new Map<string | undefined, Value>();
  for (const { character: id, specimen, stage, value } of observations) {
    if (id !== character.id || value === undefined || !counts(character, stage)) continue;
    const before = bySpecimen.get(specimen);
    bySpecimen.set(specimen, before === undefined ? value : joinValues(before, value));
  }
  const values = [...bySpecimen.values()];
  // Measurements differ between any two specimens; states, as a rule, do not differ within a species.
  return values.some((a, i) =>
    values.slice(i + 1).some((b) => !(a.kind === 'numbers' && b.kind === 'numbers') && valuesApart(a, b)),
  );
}

/**
 * What is to be said of characters that were seen and cannot be there by the others, and of those that cannot be there
 * together; undefined where there are none.
 */
function noteContradictions(
  key: CompiledKey,
  known: readonly (Value | undefined)[],
  specimen: string | undefined,
  { implied, apart }: ReturnType<typeof addImplied>,
): { readonly warnings: Warning[]; readonly contradictions: Contradiction[] } | undefined {
  const impossible = dependentsOf(key).filter(({ character, gate }) => {
    const value = known[character];
    return value !== undefined && value.kind !== 'inapplicable' && evaluate(gate, known, key.gates) === FAILS;
  });
  if (impossible.length + apart.length === 0) return undefined;
  const warnings: Warning[] = [];
  const contradictions: Contradiction[] = [];
  const on = specimen === undefined ? 'this find' : `specimen ${specimen}`;
  // What only followed from others is laid at their door.
  const seen = (c: number) => implied.find((i) => i.character === c)?.by ?? [c];
  for (const { character: index, gate } of impossible) {
    const character = key.characters[index] as Character;
    warnings.push({
      kind: 'contradiction',
      message: `the ${character.name} is recorded, but by the other characters it cannot exist on ${on}`,
      characters: [character.id],
    });
    const others = withGates(key.gates, askedBy(gate)).filter((c) => known[c] !== undefined);
    contradictions.push({
      specimen,
      sides: [
        { characters: [index], choices: [] },
        { characters: [...new Set(others.flatMap(seen))].filter((c) => c !== index), choices: [] },
      ],
    });
  }
  for (const by of apart) {
    const names = by.map((c) => (key.characters[c] as Character).name);
    warnings.push({
      kind: 'contradiction',
      message: `${listed(names.map((n) => `the ${n}`))} are recorded, but cannot exist together on ${on}`,
      characters: by.map((c) => (key.characters[c] as Character).id),
    });
    contradictions.push({
      specimen,
      sides: [
        { characters: by.slice(0, -1), choices: [] },
        { characters: by.slice(-1), choices: [] },
      ],
    });
  }
  return { warnings, contradictions };
}
