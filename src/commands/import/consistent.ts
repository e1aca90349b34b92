/** Holds proposed conditions against those on the way to their couplet, so that no lead asks what cannot arrive there. */
import { meetNumbers, type NumberSet } from '../../traits/number-set.js';
import type { Contrast } from './contrasts.js';
import type { LinkedCouplet } from './linked.js';

/** What can still be of a character: states, or numbers. */
type Left = { readonly states: ReadonlySet<string> } | { readonly numbers: NumberSet };
type Arriving = ReadonlyMap<string, Left>;

/** One question of a couplet under the id of its character, with what each lead asks. */
export interface Asked {
  readonly contrast: Contrast;
  readonly id: string;
  /** The ids of the states that each lead takes. */
  readonly states: readonly (readonly string[] | undefined)[];
}

/** The questions, without those of which a lead could not be taken by any find that arrives at its couplet. */
export function consistent<A extends Asked>(
  couplets: readonly LinkedCouplet[],
  asked: readonly A[],
): ReadonlySet<A> {
  const kept = new Set<A>();
  const byCouplet = new Map<LinkedCouplet, A[]>();
  for (const one of asked)
    byCouplet.set(one.contrast.couplet, [...(byCouplet.get(one.contrast.couplet) ?? []), one]);
  const arriving = new Map<LinkedCouplet, Arriving>();
  for (const couplet of inForwardOrder(couplets)) {
    const here = arriving.get(couplet) ?? new Map<string, Left>();
    const own = (byCouplet.get(couplet) ?? []).filter((one) =>
      couplet.leads.every((_, i) => {
        const takes = takenBy(one, i);
        return takes === undefined || !isEmpty(meet(here.get(one.id), takes));
      }),
    );
    for (const one of own) kept.add(one);
    couplet.leads.forEach((lead, i) => {
      if (lead.target.kind !== 'couplet') return;
      const after = new Map(here);
      for (const one of own) {
        const takes = takenBy(one, i);
        if (takes !== undefined) after.set(one.id, meet(after.get(one.id), takes));
      }
      const next = lead.target.couplet;
      const before = arriving.get(next);
      arriving.set(next, before === undefined ? after : either(before, after));
    });
  }
  return kept;
}

function takenBy({ contrast, states }: Asked, lead: number): Left | undefined {
  const fact = contrast.facts[lead];
  if (fact === undefined || fact.usually) return undefined;
  return fact.numbers === undefined ? { states: new Set(states[lead]) } : { numbers: fact.numbers };
}

function meet(a: Left | undefined, b: Left): Left {
  if (a === undefined) return b;
  if ('numbers' in a && 'numbers' in b) return { numbers: meetNumbers(a.numbers, b.numbers) };
  if ('states' in a && 'states' in b)
    return { states: new Set([...a.states].filter((s) => b.states.has(s))) };
  return b;
}

function isEmpty(left: Left): boolean {
  return 'numbers' in left ? left.numbers.intervals.length === 0 : left.states.size === 0;
}

/** What may arrive by the one way or the other; numbers of two ways are not told apart. */
function either(a: Arriving, b: Arriving): Arriving {
  const both = new Map<string, Left>();
  for (const [id, left] of a) {
    const right = b.get(id);
    if (right !== undefined && 'states' in left && 'states' in right)
      both.set(id, { states: new Set([...left.states, ...right.states]) });
  }
  return both;
}

/** Every couplet behind those that lead to it; those of a circle come last. */
function inForwardOrder(couplets: readonly LinkedCouplet[]): LinkedCouplet[] {
  const open = new Map(couplets.map((c) => [c, 0]));
  const targets = (c: LinkedCouplet) =>
    c.leads.flatMap(({ target }) =>
      target.kind === 'couplet' && open.has(target.couplet) ? [target.couplet] : [],
    );
  for (const couplet of couplets)
    for (const next of targets(couplet)) open.set(next, (open.get(next) ?? 0) + 1);
  const ready = couplets.filter((c) => open.get(c) === 0);
  const order = new Set<LinkedCouplet>();
  for (const couplet of ready) {
    order.add(couplet);
    for (const next of targets(couplet)) {
      const left = (open.get(next) ?? 0) - 1;
      open.set(next, left);
      if (left === 0) ready.push(next);
    }
  }
  for (const couplet of couplets) order.add(couplet);
  return [...order];
}
