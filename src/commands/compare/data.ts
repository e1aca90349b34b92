import type { Agreement } from '../../analysis/agreement.js';
import type { GatheringComparison } from '../../analysis/specimens.js';
import type { Determination } from '../../engine/determine.js';
import type { Taxon } from '../../key/key.js';
import type { Understood } from '../../tables/carried-readings.js';

const taxon = ({ id, name, concern }: Taxon) => ({ taxon: id, name, concern: concern.level });

/** What was made of one collection by several keys, and what of the table each key did not understand. */
export interface Compared {
  readonly agreement: Agreement;
  /** By key, the characters that show a state which only other keys know. */
  readonly unknown: readonly (readonly string[])[];
  /** By key, what was told in the terms of another and could not be carried into its own. */
  readonly left: readonly Understood['left'][];
}

/** The comparison of a collection as it is written for programs: the order of the properties is part of the format. */
export function agreementData({ agreement, unknown, left }: Compared): object {
  const { found, word, apart, common, all, lowest, partings, lacking, otherNames, verdict } = agreement;
  return {
    collection: found[0]?.collection.id ?? '',
    agreement: word,
    keys: found.map((f, i) => opinionData(f, unknown[i] ?? [], left[i] ?? [])),
    common: common.map(taxon),
    all: all.map(taxon),
    lowest: lowest === undefined ? null : { taxon: lowest.id, name: lowest.name },
    partings: partings.map((p) => ({
      key: p.key.chain.main.id,
      couplet: p.couplet,
      taken: p.taken,
      lead: p.lead,
      taxon: p.taxon.id,
      name: p.taxon.name,
      namedBy: p.namedBy.chain.main.id,
      characters: p.characters,
    })),
    lacking: lacking.map((l) => ({ key: l.key.chain.main.id, taxa: l.taxa.map((t) => t.name) })),
    otherNames: otherNames.map((o) => ({ key: o.key.chain.main.id, name: o.name, as: o.as })),
    verdict,
    apart: apart.map((a) => ({ key: a.key.chain.main.id, lacks: a.lacks })),
  };
}

function opinionData(found: Determination, unknown: readonly string[], left: Understood['left']): object {
  const { main } = found.key.chain;
  return {
    key: main.id,
    version: main.version,
    name: found.name ?? null,
    qualifier: found.qualifier ?? null,
    candidates: found.candidates.map((c) => ({ ...taxon(c.taxon), path: c.path })),
    further: found.further.map((f) => ({ ...taxon(f.taxon), doubted: f.doubted, specimens: f.specimens })),
    verdict: found.verdict,
    warnings: found.warnings.map(({ kind, message }) => ({ kind, message })),
    unknownStates: unknown,
    notCarried: left.map(({ what, why, from }) => ({ key: from.main.id, what, why })),
  };
}

/** Two gatherings beside each other, for programs. */
export function gatheringsData(g: GatheringComparison): object {
  const of = (found: Determination) => ({
    collection: found.collection.id,
    name: found.name ?? null,
    qualifier: found.qualifier ?? null,
    candidates: found.possible.map(taxon),
    verdict: found.verdict,
  });
  const ids = (list: readonly { readonly id: string }[]) => list.map((c) => c.id);
  return {
    first: of(g.first),
    second: of(g.second),
    sameTaxon: g.sameTaxon,
    common: g.common.map(taxon),
    conflicts: g.conflicts.map(({ character, shown, varies }) => ({
      character: character.id,
      shown,
      varies,
    })),
    measuresApart: ids(g.measuresApart),
    agrees: ids(g.agrees),
    onlyFirst: ids(g.onlyFirst),
    onlySecond: ids(g.onlySecond),
  };
}
