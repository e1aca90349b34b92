/** Which taxa end at each lead of a key, after a change of what is described. */
import type { CompiledCouplet, CompiledLead } from '../../../engine/compile.js';
import type { Logic } from '../../../engine/logic.js';
import type { EndsAt } from '../../../engine/pruning.js';
import { lineage } from '../../../engine/verdict.js';
import type { Taxon } from '../../../key/key.js';
import { describedRegion } from '../../../lint/descriptions.js';

/** What has become of the ends of a key. */
export interface NewEnds {
  readonly endsAt: EndsAt;
  /** By taxon: leads at which it ends now and did not before, and the other way round. */
  readonly came: ReadonlyMap<string, readonly string[]>;
  readonly left: ReadonlyMap<string, readonly string[]>;
  /** Leads that go on in another key and that taxa take now. */
  readonly elsewhere: readonly { readonly taxon: string; readonly label: string; readonly key: string }[];
  /** Leads of which it would cost too much to say whether a taxon takes them. */
  readonly undecided: ReadonlyMap<string, readonly string[]>;
}

/**
 * Only what has changed is applied: a taxon comes to a lead that its description allows now and did not before, and leaves one
 * that it allowed. So ends that an author has set by hand stay.
 */
export function newEnds(
  before: Logic,
  now: Logic,
  changed: (taxon: string) => boolean,
  gone: ReadonlySet<string>,
): NewEnds {
  const ends = new Map<CompiledLead, readonly number[]>();
  const came = new Map<string, string[]>();
  const left = new Map<string, string[]>();
  const undecided = new Map<string, string[]>();
  const elsewhere: { taxon: string; label: string; key: string }[] = [];
  const put = (map: Map<string, string[]>, taxon: string, label: string) =>
    map.set(taxon, [...(map.get(taxon) ?? []), label]);
  const { main } = now.key.chain;
  const all = [...now.key.taxa.entries()].filter(([, t]) => main.taxa.get(t.id)?.traits.size !== 0);
  const byLabel = new Map(before.key.couplets.flatMap((c) => c.leads.map((l) => [l.label, [c, l] as const])));
  for (const couplet of now.key.couplets) {
    if (now.key.chain.nodes[couplet.index]?.key !== main || now.depths[couplet.index] === undefined) continue;
    for (const lead of couplet.leads) {
      if (lead.next >= 0 && lead.lead.end.kind === 'couplet') continue;
      const kept = lead.taxa.filter((t) => !gone.has(now.key.taxa[t]?.id ?? ''));
      for (const t of lead.taxa) if (!kept.includes(t)) put(left, now.key.taxa[t]?.id ?? '', lead.label);
      const [oldCouplet, oldLead] = byLabel.get(lead.label) ?? [];
      for (const [t, taxon] of all) {
        if (!changed(taxon.id) || gone.has(taxon.id)) continue;
        const is = takes(now, couplet, lead, taxon);
        const old = before.key.taxa.find((o) => o.id === taxon.id);
        const was =
          old === undefined || oldCouplet === undefined || oldLead === undefined
            ? false
            : takes(before, oldCouplet, oldLead, old);
        if (is === undefined || was === undefined) put(undecided, taxon.name, lead.label);
        else if (is && !was) {
          if (lead.lead.end.kind === 'key')
            elsewhere.push({ taxon: taxon.name, label: lead.label, key: lead.lead.end.key });
          else if (!holdsIt(taxon, kept, now)) {
            kept.push(t);
            put(came, taxon.id, lead.label);
          }
        } else if (was && !is && kept.includes(t)) {
          kept.splice(kept.indexOf(t), 1);
          put(left, taxon.id, lead.label);
        }
      }
      ends.set(lead, kept);
    }
  }
  return { endsAt: (lead) => ends.get(lead) ?? lead.taxa, came, left, elsewhere, undecided };
}

/** Whether a taxon, or a group that it lies in, stands among some. */
function holdsIt(taxon: Taxon, among: readonly number[], { key }: Logic): boolean {
  const ids = new Set(among.map((t) => key.taxa[t]?.id));
  return lineage(taxon, key.chain.taxa).some((t) => ids.has(t.id));
}

/** Whether a find of a taxon can take a lead; undefined where that is not decided. */
function takes(
  logic: Logic,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  taxon: Taxon,
): boolean | undefined {
  const taken = logic.taken(couplet, lead);
  if (taken === undefined) return undefined;
  const own = logic.key.chain.taxa.get(taxon.id) ?? taxon;
  if (own.traits.size === 0) return taken.length > 0;
  const described = describedRegion(logic, own);
  if (described === undefined) return undefined;
  const both = logic.ask((budget) => logic.space.meet(taken, described, budget));
  return both === undefined ? undefined : both.length > 0;
}
