import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Taxon, Trait } from '../key/key.js';
import type { Box, Facet, Region } from '../traits/box.js';
import { askedBy, toCheck } from '../traits/check.js';
import type { Logic } from './logic.js';

/** The finds that a taxon's description allows; undefined when it describes nothing or the limit was reached. */
export function describedRegion(logic: Logic, taxon: Taxon): Region | undefined {
  return taxon.traits.size === 0 ? undefined : regionOf(logic, taxon, taxon.traits.keys());
}

/** The fewest traits of a description that together no find can show; of one that a find can show, none. */
export function impossibleTraits(logic: Logic, taxon: Taxon): string[] {
  const impossible = (ids: readonly string[]) => regionOf(logic, taxon, ids)?.length === 0;
  let needed = [...taxon.traits.keys()];
  if (!impossible(needed)) return [];
  for (const id of taxon.traits.keys()) {
    const fewer = needed.filter((other) => other !== id);
    if (impossible(fewer)) needed = fewer;
  }
  return needed;
}

function regionOf(logic: Logic, taxon: Taxon, ids: Iterable<string>): Region | undefined {
  const box: (Facet | undefined)[] = [];
  for (const id of ids) {
    const character = logic.space.index.get(id);
    if (character !== undefined)
      box[character] = facetOf(logic, id, character, taxon.traits.get(id) as Trait);
  }
  return logic.ask((budget) => logic.space.settle(box as Box, budget));
}

function facetOf(logic: Logic, id: string, character: number, trait: Trait): Facet {
  const full = logic.space.full(character);
  if (trait.kind === 'inapplicable') {
    return full.kind === 'states'
      ? { kind: 'states', set: full.set.map(() => 0), na: true }
      : { kind: 'numbers', set: { whole: full.set.whole, intervals: [] }, na: true };
  }
  const check = toCheck(
    { kind: 'test', character: id, allowed: trait.allowed },
    logic.space.characters,
    logic.space.index,
  );
  if (check.op === 'states') return { kind: 'states', set: check.set, na: trait.partly };
  if (check.op === 'numbers') return { kind: 'numbers', set: check.set, na: trait.partly };
  return full;
}

/** The leads that end at each taxon, by taxon id, of the couplets that the start leads to. */
export function endsByTaxon(
  logic: Logic,
): ReadonlyMap<string, readonly { couplet: CompiledCouplet; lead: CompiledLead }[]> {
  const ends = new Map<string, { couplet: CompiledCouplet; lead: CompiledLead }[]>();
  for (const couplet of logic.key.couplets) {
    if (logic.depths[couplet.index] === undefined) continue;
    for (const lead of couplet.leads) {
      for (const t of lead.taxa) {
        const id = (logic.key.taxa[t] as Taxon).id;
        ends.set(id, [...(ends.get(id) ?? []), { couplet, lead }]);
      }
    }
  }
  return ends;
}

/** Where a description runs to. */
export interface Run {
  readonly couplet: CompiledCouplet;
  readonly lead: CompiledLead;
  /** The described finds that take the lead. */
  readonly region: Region;
}

/**
 * The ends that a description runs to by what it says: only leads are taken all of whose characters it describes, so
 * that an end is named because the description allows it, not because it is silent.
 */
export function describedEnds(logic: Logic, taxon: Taxon, described: Region): Run[] | undefined {
  const says = new Set([...taxon.traits.keys()].flatMap((id) => logic.space.index.get(id) ?? []));
  const arrived = new Map<number, Region[]>([[logic.key.start, [described]]]);
  const ends: Run[] = [];
  let furthest = logic.key.start;
  for (let c = logic.key.start; c <= furthest; c++) {
    const parts = arrived.get(c);
    if (parts === undefined) continue;
    const couplet = logic.key.couplets[c] as CompiledCouplet;
    for (const lead of couplet.leads) {
      if (!judgedBy(couplet, lead, says)) continue;
      const condition = logic.condition(couplet, lead);
      if (condition === undefined) return undefined;
      const region = logic.ask((budget) =>
        logic.space.meet(logic.space.join(parts, budget), condition, budget),
      );
      if (region === undefined) return undefined;
      if (region.length === 0) continue;
      if (lead.next < 0) ends.push({ couplet, lead, region });
      else {
        arrived.set(lead.next, [...(arrived.get(lead.next) ?? []), region]);
        furthest = Math.max(furthest, lead.next);
      }
    }
  }
  return ends;
}

function judgedBy(couplet: CompiledCouplet, lead: CompiledLead, says: ReadonlySet<number>): boolean {
  const leads = lead.otherwise ? couplet.leads.filter((l) => l !== lead) : [lead];
  return leads.every((l) => l.check !== undefined && askedBy(l.check).every((c) => says.has(c)));
}
