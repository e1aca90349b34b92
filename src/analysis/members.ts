import type { CompiledKey } from '../engine/compile.js';
import { lineage } from '../engine/verdict.js';
import type { Taxon } from '../key/key.js';
import { isHarmful } from '../key/severity.js';

const MEMBERS_BY_ID = new WeakMap<CompiledKey, ReadonlyMap<string, readonly Taxon[]>>();

/** The taxa of the chain that lie within a taxon, at any depth: what a find that keys out as the group may be. */
export function membersOf(key: CompiledKey, group: Taxon): readonly Taxon[] {
  let all = MEMBERS_BY_ID.get(key);
  if (all === undefined) {
    const found = new Map<string, Taxon[]>();
    for (const taxon of key.taxa)
      for (const above of lineage(taxon, key.chain.taxa).slice(1))
        found.set(above.id, [...(found.get(above.id) ?? []), taxon]);
    all = found;
    MEMBERS_BY_ID.set(key, all);
  }
  return all.get(group.id) ?? [];
}

const ENDS = new WeakMap<CompiledKey, { readonly taxa: ReadonlySet<Taxon>; readonly harmful: number }>();

function endsOf(key: CompiledKey): { readonly taxa: ReadonlySet<Taxon>; readonly harmful: number } {
  let ends = ENDS.get(key);
  if (ends === undefined) {
    const numbers = new Set(key.couplets.flatMap((c) => c.leads.flatMap((l) => l.taxa)));
    const taxa = new Set(key.taxa.filter((_, i) => numbers.has(i)));
    ends = { taxa, harmful: [...taxa].filter((t) => isHarmful(t.concern.level)).length };
    ENDS.set(key, ends);
  }
  return ends;
}

/** Whether some lead ends at the taxon. */
export function keyedOut(key: CompiledKey, taxon: Taxon): boolean {
  return endsOf(key).taxa.has(taxon);
}

/** How many harmful taxa leads end at. */
export function harmfulEnds(key: CompiledKey): number {
  return endsOf(key).harmful;
}
