/** Finds that do not have a character at all, arrive where it is asked, and fit no lead there. */
import type { CompiledCouplet } from '../../../engine/compile.js';
import type { Logic } from '../../../engine/logic.js';
import type { Couplet, Lead } from '../../../key/key.js';
import { contrastsOf } from '../../../lint/contrasts.js';
import type { Box } from '../../../traits/box.js';
import type { Character } from '../../../traits/character.js';
import type { Facet } from '../../../traits/facet.js';
import { stateIndices, stateSet } from '../../../traits/state-set.js';

/** A lead to be given what lacks a character: the states under which it does not apply, as one more alternative. */
export interface Alternative {
  readonly lead: Lead;
  /** The character on which the lacking one depends, with states under which it does not apply. */
  readonly on: Character;
  readonly states: readonly string[];
}

/** What lacks a character of a couplet and fits none of its leads. */
type Lacking = Omit<Alternative, 'lead'>;

/**
 * The lead of a couplet to which finds are given that lack a character asked there, fit no lead, and did not before. None of
 * them may fit another lead as well; of several leads the one with the best rank takes them.
 */
export function alternativeFor(
  before: Logic,
  now: Logic,
  couplet: Couplet,
  rank: (lead: Lead) => number,
): Alternative | undefined {
  const compiled = coupletOf(now, couplet);
  if (compiled === undefined) return undefined;
  const lacking = lackingAt(now, compiled);
  if (lacking.length === 0) return undefined;
  const known = lackingAt(before, coupletOf(before, couplet));
  for (const { on, states } of lacking) {
    const fresh = states.filter((s) => !known.some((l) => l.on.id === on.id && l.states.includes(s)));
    if (fresh.length === 0) continue;
    const [best] = compiled.leads
      .filter((lead) => compiled.leads.every((l) => l === lead || !meets(now, compiled, l, on, fresh)))
      .map(({ lead }) => lead)
      .sort((a, b) => rank(b) - rank(a));
    if (best !== undefined) return { lead: best, on, states: fresh };
  }
  return undefined;
}

function coupletOf(logic: Logic, { id }: Couplet): CompiledCouplet | undefined {
  const index = logic.key.coupletIndex.get(id);
  return index === undefined || logic.depths[index] === undefined ? undefined : logic.key.couplets[index];
}

/** Only where a character depends on states of one other. */
function lackingAt(logic: Logic, couplet: CompiledCouplet | undefined): Lacking[] {
  const gap = couplet === undefined ? undefined : contrastsOf(logic, couplet).gap;
  if (couplet === undefined || gap === undefined) return [];
  return [...logic.space.withGates(logic.asked(couplet))].flatMap((c): Lacking[] => {
    const gate = logic.key.characters[c]?.appliesWhen;
    if (gate?.kind !== 'test' || gate.allowed.kind !== 'states') return [];
    const at = logic.space.index.get(gate.character);
    const on = at === undefined ? undefined : logic.key.characters[at];
    if (at === undefined || on === undefined) return [];
    const { states: named, except } = gate.allowed;
    // A find that has the character is limited to what it depends on, so other states stand for lacking it.
    const shown = new Set(gap.region.flatMap((box) => statesOf(box, at)));
    const states = on.states
      .filter((s, i) => shown.has(i) && named.includes(s.id) === except)
      .map((s) => s.id);
    return states.length === 0 ? [] : [{ on, states }];
  });
}

function statesOf(box: Box, character: number): number[] {
  const facet = box[character];
  return facet?.kind === 'states' ? [...stateIndices(facet.set)] : [];
}

/** Whether a find with one of some states can arrive and fit a lead, as far as that can be decided. */
function meets(
  logic: Logic,
  couplet: CompiledCouplet,
  lead: CompiledCouplet['leads'][number],
  on: Character,
  states: readonly string[],
): boolean {
  const taken = logic.taken(couplet, lead);
  const box: (Facet | undefined)[] = [];
  const indices = on.states.flatMap((s, i) => (states.includes(s.id) ? [i] : []));
  box[logic.space.index.get(on.id) as number] = {
    kind: 'states',
    set: stateSet(indices, on.states.length),
    na: false,
  };
  const both =
    taken && logic.ask((budget) => logic.space.meet(taken, logic.space.settle(box, budget), budget));
  return both === undefined || both.length > 0;
}
