import type { CompiledKey } from '../engine/compile.js';
import { type Determination, determine } from '../engine/determine.js';
import { onSpecimen } from '../engine/evidence.js';
import { Walk } from '../engine/walk.js';
import type { Taxon } from '../key/key.js';
import { byCodeUnit } from '../text/words.js';
import type { Character } from '../traits/character.js';
import type { Collection } from '../traits/collection.js';
import { type Value, valuesApart, writeValue } from '../traits/value.js';
import { characterFits, DIFFERS } from './fit.js';

/** One specimen of a collection, determined by itself together with what was noted of the whole collection. */
interface SpecimenResult {
  readonly specimen: string;
  readonly stages: readonly string[];
  readonly found: Determination;
}

/** A character on which specimens of one collection contradict each other. */
interface Conflict {
  readonly character: Character;
  readonly shown: readonly { readonly specimen: string; readonly value: string }[];
  /** Whether some taxon that all specimens may be is described to vary in it. */
  readonly varies: boolean;
}

/** The specimens of a collection, compared. */
export interface SpecimenComparison {
  readonly specimens: readonly SpecimenResult[];
  readonly conflicts: readonly Conflict[];
  /**
   * The specimens in sets, each of which may be one taxon that the others are not; a single set when all may
   * be one. Specimens that fit nothing are in none.
   */
  readonly sets: readonly SpecimenSet[];
  /** Specimens that would suit several of the sets. */
  readonly either: readonly string[];
  /** Specimens that fit nothing in the key by themselves. */
  readonly nothing: readonly string[];
  /**
   * Groups of specimens with no character seen in both: nothing shows that they are one species. Empty when all are
   * connected.
   */
  readonly unconnected: readonly (readonly string[])[];
}

interface SpecimenSet {
  readonly specimens: readonly string[];
  readonly taxa: readonly Taxon[];
}

/** Determines the specimens of a collection one by one and compares them; undefined when there are fewer than two. */
export function compareSpecimens(key: CompiledKey, collection: Collection): SpecimenComparison | undefined {
  const names = [...new Set(collection.observations.flatMap((o) => o.specimen ?? []))];
  if (names.length < 2) return undefined;
  const walk = new Walk(key);
  const specimens = names.map((specimen): SpecimenResult => {
    const own = onSpecimen(collection, specimen);
    const stages = [
      ...new Set(own.observations.flatMap((o) => (o.specimen === specimen ? (o.stage ?? []) : []))),
    ];
    const one = { ...own, id: `${collection.id}, ${specimen}`, stages };
    const found = determine(key, one, {}, walk);
    return { specimen, stages, found };
  });
  const numbers = new Map(key.taxa.map((t, i) => [t, i]));
  const inConflict = conflicting(key, specimens);
  const possible = specimens.map(({ found }) => {
    // Where specimens differ, a candidate whose description excludes what this specimen shows suggests another species.
    const fitting = found.possible.filter((t) => {
      const words = characterFits(key, numbers.get(t) ?? -1, found.evidence.known);
      return inConflict.every((c) => words[c] !== DIFFERS);
    });
    return fitting.length > 0 ? fitting : found.possible;
  });
  const { sets, either } = groupedByTaxon(names, possible);
  return {
    specimens,
    conflicts: inConflict.map((c) => conflictIn(key, c, specimens)),
    sets,
    either,
    nothing: names.filter((_, i) => possible[i]?.length === 0),
    unconnected: unconnected(key, specimens),
  };
}

/** The characters in which two specimens contradict each other. Measurements differ between any two specimens. */
function conflicting(key: CompiledKey, specimens: readonly SpecimenResult[]): number[] {
  const valuesOf = (c: number) =>
    specimens.flatMap(({ found, specimen }) =>
      isOwn(found, specimen, key, c) ? (found.evidence.known[c] ?? []) : [],
    );
  return key.characters.flatMap((_, c) => {
    const values = valuesOf(c).filter((v) => v.kind !== 'numbers');
    return values.some((a, i) => values.slice(i + 1).some((b) => valuesApart(a, b))) ? [c] : [];
  });
}

/** Whether a character was seen on the specimen itself. */
function isOwn(found: Determination, specimen: string, key: CompiledKey, c: number): boolean {
  const id = key.characters[c]?.id;
  return found.collection.observations.some(
    (o) => o.specimen === specimen && o.character === id && o.value !== undefined,
  );
}

function conflictIn(key: CompiledKey, c: number, specimens: readonly SpecimenResult[]): Conflict {
  const character = key.characters[c] as Character;
  const all = specimens.map((s) => new Set(s.found.possible));
  const common = specimens[0]?.found.possible.filter((t) => all.every((set) => set.has(t))) ?? [];
  const shown = specimens.flatMap(({ specimen, found }) => {
    const value = isOwn(found, specimen, key, c) ? found.evidence.known[c] : undefined;
    return value === undefined ? [] : [{ specimen, value }];
  });
  return {
    character,
    shown: shown.map(({ specimen, value }) => ({ specimen, value: writeValue(character, value) })),
    varies: common.some((taxon) =>
      describedToVary(
        key,
        taxon,
        c,
        shown.map((s) => s.value),
      ),
    ),
  };
}

function describedToVary(key: CompiledKey, taxon: Taxon, c: number, values: readonly Value[]): boolean {
  const number = key.taxa.indexOf(taxon);
  if (taxon.traits.get(key.characters[c]?.id ?? '') === undefined) return false;
  return values.every((value) => {
    const known = new Array<Value | undefined>(key.characters.length).fill(undefined);
    known[c] = value;
    return characterFits(key, number, known)[c] !== DIFFERS;
  });
}

/** The fewest-candidate specimens first, each goes to the sets that it has a taxon in common with, or opens one. */
function groupedByTaxon(
  names: readonly string[],
  possible: readonly (readonly Taxon[])[],
): Pick<SpecimenComparison, 'sets' | 'either'> {
  const order = names
    .map((name, i) => ({ name, taxa: possible[i] ?? [] }))
    .filter((s) => s.taxa.length > 0)
    .sort((a, b) => a.taxa.length - b.taxa.length);
  const sets: { specimens: string[]; taxa: readonly Taxon[] }[] = [];
  const later: typeof order = [];
  for (const specimen of order) {
    const suiting = sets.filter((s) => s.taxa.some((t) => specimen.taxa.includes(t)));
    const [only] = suiting;
    if (only === undefined) sets.push({ specimens: [specimen.name], taxa: specimen.taxa });
    else if (suiting.length > 1) later.push(specimen);
    else {
      only.specimens.push(specimen.name);
      only.taxa = only.taxa.filter((t) => specimen.taxa.includes(t));
    }
  }
  for (const set of sets) set.specimens.sort(byCodeUnit);
  sets.sort((a, b) => byCodeUnit(a.specimens[0] ?? '', b.specimens[0] ?? ''));
  return { sets, either: later.map((s) => s.name).sort(byCodeUnit) };
}

function unconnected(key: CompiledKey, specimens: readonly SpecimenResult[]): string[][] {
  const groups: { names: string[]; seen: Set<number> }[] = [];
  for (const { specimen, found } of specimens) {
    const seen = new Set(key.characters.flatMap((_, c) => (isOwn(found, specimen, key, c) ? [c] : [])));
    const joined = groups.filter((g) => [...seen].some((c) => g.seen.has(c)));
    const group = {
      names: [...joined.flatMap((g) => g.names), specimen],
      seen: new Set([...joined.flatMap((g) => [...g.seen]), ...seen]),
    };
    for (const g of joined) groups.splice(groups.indexOf(g), 1);
    groups.push(group);
  }
  return groups.length < 2 ? [] : groups.map((g) => g.names);
}

/** Two collections compared: a second gathering checked against the first. */
export interface GatheringComparison {
  readonly first: Determination;
  readonly second: Determination;
  /**
   * Characters known of both, by whether they contradict each other; measurements that differ are kept apart from
   * contradictions.
   */
  readonly agrees: readonly Character[];
  readonly conflicts: readonly Conflict[];
  readonly measuresApart: readonly Character[];
  readonly onlyFirst: readonly Character[];
  readonly onlySecond: readonly Character[];
  /** The taxa that both may be. */
  readonly common: readonly Taxon[];
  readonly sameTaxon: 'possible' | 'ruled out' | 'not known';
}

/** Compares two finds that were determined with one key. */
export function compareGatherings(first: Determination, second: Determination): GatheringComparison {
  const { key } = first;
  const agrees: Character[] = [];
  const conflicts: Conflict[] = [];
  const measuresApart: Character[] = [];
  const onlyFirst: Character[] = [];
  const onlySecond: Character[] = [];
  const common = first.possible.filter((t) => second.possible.includes(t));
  key.characters.forEach((character, c) => {
    const [a, b] = [first.evidence.known[c], second.evidence.known[c]];
    if (a !== undefined && b !== undefined) {
      if (!valuesApart(a, b)) agrees.push(character);
      else if (a.kind === 'numbers' && b.kind === 'numbers') measuresApart.push(character);
      else
        conflicts.push({
          character,
          shown: [
            { specimen: first.collection.id, value: writeValue(character, a) },
            { specimen: second.collection.id, value: writeValue(character, b) },
          ],
          varies: common.some((t) => describedToVary(key, t, c, [a, b])),
        });
    } else if (a !== undefined) onlyFirst.push(character);
    else if (b !== undefined) onlySecond.push(character);
  });
  const sameTaxon =
    first.possible.length === 0 || second.possible.length === 0
      ? 'not known'
      : common.length > 0
        ? 'possible'
        : 'ruled out';
  return { first, second, agrees, conflicts, measuresApart, onlyFirst, onlySecond, common, sameTaxon };
}
