import type { Related } from '../diagnostic/finding.js';
import type { CompiledCouplet, CompiledLead } from '../engine/compile.js';
import type { Logic } from '../engine/logic.js';
import type { Budget, Region } from '../traits/box.js';
import { keyOf } from './places.js';

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
    for (const step of fewestEmptying(logic, way, region) ?? []) found.set(step.lead, step);
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

/**
 * The fewest leads of a way whose conditions together leave nothing of a region: the last single one where one is enough.
 * undefined when all of them leave something, or when that cannot be decided.
 */
export function fewestEmptying(
  logic: Logic,
  way: readonly LeadAtCouplet[],
  region: Region,
): LeadAtCouplet[] | undefined {
  const single = [...way].reverse().find((step) => empties(logic, [step], region));
  if (single !== undefined) return [single];
  if (!empties(logic, way, region)) return undefined;
  let needed = [...way];
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

/** Leads with their words, for a message: `1a (Ring present) and 2b (Cap red)`. */
export function withWords(steps: readonly LeadAtCouplet[]): string {
  return steps.map(({ lead }) => `${lead.label} (${lead.lead.text})`).join(' and ');
}

/** Leads as related places, each with its words. */
export function placesOf(logic: Logic, steps: readonly LeadAtCouplet[], what: string): Related[] {
  return steps.map(({ couplet, lead }) => ({
    message: `${what} ${lead.label}: ${lead.lead.text}`,
    place: keyOf(logic, couplet).yaml.place(lead.lead.path),
  }));
}
