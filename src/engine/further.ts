import type { Taxon } from '../key/key.js';
import { severity } from '../key/severity.js';
import type { Character } from '../traits/character.js';
import type { Collection } from '../traits/collection.js';
import type { CompiledKey } from './compile.js';
import type { Evidence } from './evidence.js';
import type { FurtherTaxon, OpenSpecimen } from './outcome.js';
import { Readings } from './readings.js';
import { Walk } from './walk.js';

/** What a find may be, by numbers of taxa in the order of the key. */
export interface AtWorst {
  /** What all evidence together leaves; of several specimens, what at least one of them may be by itself. */
  readonly possible: readonly number[];
  /** What is possible at worst besides. */
  readonly beyond: readonly number[];
}

/**
 * What a find may be at worst; `reached` is what all evidence together leads to. Where specimens differ, that may be a taxon
 * that none of them can be, made up of what one shows here and another there: it is left out.
 */
export function atWorst(
  key: CompiledKey,
  collection: Collection,
  evidence: Evidence,
  reached: readonly number[],
  walk: Walk,
): AtWorst {
  if (!evidence.several && !evidence.doubted && evidence.contradictions.length === 0)
    return { possible: reached, beyond: NOTHING };
  const readings = new Readings(key, collection, evidence);
  const found = new Set<number>();
  const follow = (reading: Evidence) => {
    walk.follow(reading, 0);
    for (const taxon of walk.reached) found.add(taxon);
  };
  for (const { evidence: own } of readings.bySpecimen()) follow(own);
  const possible = evidence.several ? reached.filter((t) => found.has(t)) : reached;
  for (const reading of readings.forVerdict()) follow(reading);
  return { possible, beyond: [...found].filter((t) => !possible.includes(t)).sort((a, b) => a - b) };
}

const NOTHING: readonly number[] = [];

/** What stands behind each taxon that is possible at worst: doubts, and specimens. The worst first. */
export function furtherTaxa(
  key: CompiledKey,
  collection: Collection,
  evidence: Evidence,
  taxa: readonly number[],
): FurtherTaxon[] {
  if (taxa.length === 0) return [];
  const readings = new Readings(key, collection, evidence);
  const reach = reacher(key);
  const single = [...readings.doubts(), ...readings.contradicted()];
  const all = readings.doubted;
  const alone = single.map((d) => ({ ...d, taxa: reach(readings.together(d.dropped)) }));
  const allTaxa = all === undefined ? undefined : reach(readings.together(all.dropped));
  const byDoubt = (taxon: number): readonly string[] => {
    const names = alone.flatMap((d) => (d.taxa.has(taxon) ? d.names : []));
    return names.length > 0 ? [...new Set(names)] : allTaxa?.has(taxon) ? (all?.names ?? []) : [];
  };
  const own = readings.bySpecimen().map((s) => ({ ...s, taxa: reach(s.evidence) }));
  const without = (d: (typeof single)[number]) =>
    readings.bySpecimen(d.dropped).map((s) => ({ ...s, names: d.names, taxa: reach(s.evidence) }));
  let doubtful: ReturnType<typeof without> | undefined;
  return taxa
    .map((taxon): FurtherTaxon => {
      const named = { taxon: key.taxa[taxon] as Taxon };
      const doubted = byDoubt(taxon);
      const specimens = own.flatMap((s) => (s.taxa.has(taxon) ? [s.specimen] : []));
      if (doubted.length + specimens.length > 0) return { ...named, doubted, specimens };
      // Possible only on a specimen by itself and without a doubt.
      doubtful ??= [...single, ...(all === undefined ? [] : [all])].flatMap(without);
      const these = doubtful.filter((s) => s.taxa.has(taxon));
      return {
        ...named,
        doubted: these.length > 0 ? [...new Set(these.flatMap((s) => s.names))] : (all?.names ?? []),
        specimens: [...new Set(these.map((s) => s.specimen))],
      };
    })
    .sort((a, b) => severity(a.taxon) - severity(b.taxon));
}

/** The specimens that by themselves leave more possible than all evidence together does. */
export function openSpecimens(
  key: CompiledKey,
  collection: Collection,
  evidence: Evidence,
  possible: readonly Taxon[],
): OpenSpecimen[] {
  if (!evidence.several) return [];
  const walk = new Walk(key);
  const among = new Set(possible);
  return new Readings(key, collection, evidence).bySpecimen(undefined, true).flatMap((s): OpenSpecimen[] => {
    walk.follow(s.evidence, 0);
    const taxa = walk.reached.map((t) => key.taxa[t] as Taxon).filter((t) => !among.has(t));
    if (taxa.length === 0) return [];
    const deciding = new Set(walk.undecided().characters);
    const unknown = s.unknown.filter((c) => deciding.has((key.characters[c] as Character).id));
    // What others show is what its own look would have to confirm.
    const lent = unknown.filter((c) => evidence.known[c] !== undefined);
    return [
      {
        specimen: s.specimen,
        taxa: taxa.sort((a, b) => severity(a) - severity(b)),
        unseen: (lent.length > 0 ? lent : unknown).map((c) => (key.characters[c] as Character).id),
      },
    ];
  });
}

function reacher(key: CompiledKey): (evidence: Evidence) => ReadonlySet<number> {
  const walk = new Walk(key);
  return (evidence) => {
    walk.follow(evidence, 0);
    return new Set(walk.reached);
  };
}
