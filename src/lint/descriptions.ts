import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';
import { SmallestFirst } from '../key/graph.js';
import type { Taxon, Trait } from '../key/key.js';
import type { Box, Region } from '../traits/box.js';
import { toCheck } from '../traits/check.js';
import type { Facet } from '../traits/facet.js';

/** The finds that a taxon's description allows; undefined when it describes nothing or the limit was reached. */
export function describedRegion(logic: Logic, taxon: Taxon): Region | undefined {
  const known = regions.get(logic) ?? new Map<Taxon, Region | undefined>();
  regions.set(logic, known);
  if (!known.has(taxon))
    known.set(taxon, taxon.traits.size === 0 ? undefined : regionOf(logic, taxon, taxon.traits.keys()));
  return known.get(taxon);
}

const regions = new WeakMap<Logic, Map<Taxon, Region | undefined>>();

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

/** A lead that ends at a taxon. */
interface EndOf {
  readonly couplet: CompiledCouplet;
  readonly lead: CompiledLead;
}

const ends = new WeakMap<Logic, ReadonlyMap<string, readonly EndOf[]>>();

/** The leads that end at each taxon, by taxon id, of the couplets that the start leads to. */
export function endsByTaxon(logic: Logic): ReadonlyMap<string, readonly EndOf[]> {
  const known = ends.get(logic);
  if (known !== undefined) return known;
  const found = new Map<string, EndOf[]>();
  for (const couplet of logic.key.couplets) {
    if (logic.depths[couplet.index] === undefined) continue;
    for (const lead of couplet.leads) {
      for (const t of lead.taxa) {
        const { id } = logic.key.taxa[t] as Taxon;
        const own = found.get(id);
        if (own === undefined) found.set(id, [{ couplet, lead }]);
        else own.push({ couplet, lead });
      }
    }
  }
  ends.set(logic, found);
  return found;
}

/** Where a description runs to. */
export interface DescriptionRun {
  readonly couplet: CompiledCouplet;
  readonly lead: CompiledLead;
  /** The described finds that take the lead. */
  readonly region: Region;
}

/**
 * The ends that a description runs to by what it says: only leads are taken all of whose characters it describes, so
 * that an end is named because the description allows it, not because it is silent.
 */
export function describedEnds(logic: Logic, taxon: Taxon, described: Region): DescriptionRun[] | undefined {
  if (logic.key.chain.main.unknown?.start) return undefined;
  const says = new Set([...taxon.traits.keys()].flatMap((id) => logic.space.index.get(id) ?? []));
  const arrived = new Map<number, Region[]>([[logic.key.start, [described]]]);
  const runs: DescriptionRun[] = [];
  // Leads go forward, so the smallest number waiting has met all that arrives there.
  const waiting = new SmallestFirst();
  waiting.add(logic.key.start);
  for (let c = waiting.take(); c !== undefined; c = waiting.take()) {
    const couplet = logic.key.couplets[c] as CompiledCouplet;
    const parts = arrived.get(c) as Region[];
    const arrival = logic.ask((budget) => logic.space.join(parts, budget));
    if (arrival === undefined) return undefined;
    for (const lead of couplet.leads) {
      if (!judgedBy(logic, couplet, lead, says)) continue;
      const condition = logic.condition(couplet, lead);
      if (condition === undefined) return undefined;
      const region = logic.ask((budget) => logic.space.meet(arrival, condition, budget));
      if (region === undefined) return undefined;
      if (region.length === 0) continue;
      const before = arrived.get(lead.next);
      if (lead.next < 0) runs.push({ couplet, lead, region });
      else if (before !== undefined) before.push(region);
      else {
        arrived.set(lead.next, [region]);
        waiting.add(lead.next);
      }
    }
  }
  return runs;
}

function judgedBy(
  logic: Logic,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  says: ReadonlySet<number>,
): boolean {
  const judged = (l: CompiledLead) => l.check !== undefined && logic.askedIn(l).every((c) => says.has(c));
  return lead.otherwise ? couplet.leads.every((l) => l === lead || judged(l)) : judged(lead);
}
