import type { Related } from '../diagnostic/finding.js';
import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';
import type { Budget, Region } from '../traits/box.js';

/** A lead and the couplet it stands in. */
export interface LeadAtCouplet {
  readonly couplet: CompiledCouplet;
  readonly lead: CompiledLead;
}

// A couplet with more ways in than this names the culprits of the first ones.
const MOST_WAYS = 4;

/**
 * The earlier leads that shut a region out of a couplet: for each way that leads there, the fewest leads of it (the
 * nearest single one where one is enough) whose conditions leave the region empty.
 */
export function earlierLeads(logic: Logic, couplet: CompiledCouplet, region: Region): LeadAtCouplet[] {
  const found = new Map<CompiledLead, LeadAtCouplet>();
  for (const [from, lead] of (logic.into[couplet.index] ?? []).slice(0, MOST_WAYS)) {
    const way = wayTo(logic, from, lead);
    for (const step of shutting(logic, way, region)) found.set(step.lead, step);
  }
  return [...found.values()];
}

/** A shortest way from the start to a lead, the lead included. */
export function wayTo(logic: Logic, couplet: number, lead: number): LeadAtCouplet[] {
  const way: LeadAtCouplet[] = [];
  let at: readonly [number, number] | undefined = [couplet, lead];
  const depth = logic.depths;
  while (at !== undefined) {
    const [c, l]: readonly [number, number] = at;
    const step = logic.key.couplets[c] as CompiledCouplet;
    way.push({ couplet: step, lead: step.leads[l] as CompiledLead });
    if (c === logic.key.start) break;
    at = [...(logic.into[c] ?? [])]
      .filter(([from]) => depth[from] !== undefined)
      .sort((a, b) => (depth[a[0]] ?? 0) - (depth[b[0]] ?? 0))[0];
  }
  return way.reverse();
}

function shutting(logic: Logic, way: readonly LeadAtCouplet[], region: Region): LeadAtCouplet[] {
  for (const step of [...way].reverse()) {
    const condition = logic.mayFit(step.couplet, step.lead);
    if (condition === undefined) continue;
    if (logic.ask((budget) => logic.space.meet(region, condition, budget).length === 0) === true)
      return [step];
  }
  // No single lead is enough: leave out what can be left out.
  let needed = [...way];
  if (!empties(logic, needed, region)) return [];
  for (const step of way) {
    const fewer = needed.filter((s) => s !== step);
    if (empties(logic, fewer, region)) needed = fewer;
  }
  return needed;
}

function empties(logic: Logic, steps: readonly LeadAtCouplet[], region: Region): boolean {
  const rest = logic.ask((budget: Budget) => {
    let left = region;
    for (const step of steps) {
      const condition = logic.mayFit(step.couplet, step.lead);
      if (condition !== undefined) left = logic.space.meet(left, condition, budget);
    }
    return left.length === 0;
  });
  return rest === true;
}

/** Leads as related places, each with its words. */
export function placesOf(logic: Logic, steps: readonly LeadAtCouplet[], what: string): Related[] {
  return steps.map(({ couplet, lead }) => {
    const node = logic.key.chain.nodes[couplet.index] as (typeof logic.key.chain.nodes)[number];
    return {
      message: `${what} ${lead.label}: ${lead.lead.text}`,
      place: node.key.yaml.place(lead.lead.path),
    };
  });
}
