import type { CompiledKey, CompiledLead } from '../../engine/compile.js';
import { descriptionOf } from '../../engine/described.js';
import { Walk } from '../../engine/follow.js';
import { isHarmful, severity } from '../../engine/verdict.js';
import type { Taxon } from '../../key/key.js';

/** Why a taxon may be taken for one that is kept. */
export type Likeness =
  /** One names the other as alike. */
  | { readonly kind: 'alike' }
  /** Leads of one couplet end at both. */
  | { readonly kind: 'couplet'; readonly couplet: string }
  /** A find as the kept one is described comes to it by one wrong observation; or by none. */
  | { readonly kind: 'slip'; readonly characters: readonly string[] };

/** A taxon that is not on the list, and what it may be taken for. */
export interface LookAlike {
  readonly taxon: Taxon;
  /** The kept taxa, the plainest likeness first. */
  readonly of: readonly { readonly kept: Taxon; readonly likeness: Likeness }[];
  /** The leads at which the ways to it and to the first of them part: `4a` and `4b`. */
  readonly parted: readonly [own: string, kept: string] | undefined;
}

const RANKS: Record<Likeness['kind'], number> = { alike: 0, couplet: 1, slip: 2 };

/**
 * For every taxon that the key ends at and that is not kept: the kept taxa that it may be taken for. Only the plainest
 * likeness of each pair counts; harmful taxa come first.
 */
export function lookAlikes(key: CompiledKey, kept: ReadonlySet<number>): readonly LookAlike[] {
  const ends = new Set(key.couplets.flatMap((c) => c.leads.flatMap((l) => [...l.taxa])));
  const found = new Map<number, Map<number, Likeness>>();
  const add = (taxon: number, other: number, likeness: Likeness): void => {
    if (kept.has(taxon) || !kept.has(other) || !ends.has(taxon)) return;
    const own = found.get(taxon) ?? new Map<number, Likeness>();
    found.set(taxon, own);
    const before = own.get(other);
    if (before === undefined || RANKS[likeness.kind] < RANKS[before.kind]) own.set(other, likeness);
  };
  const numbers = new Map(key.taxa.map((t, i) => [t.id, i]));
  key.taxa.forEach((taxon, i) => {
    for (const id of taxon.alike) {
      const other = numbers.get(id);
      if (other === undefined) continue;
      add(i, other, { kind: 'alike' });
      add(other, i, { kind: 'alike' });
    }
  });
  for (const couplet of key.couplets)
    for (const one of couplet.leads)
      for (const two of couplet.leads)
        if (one !== two)
          for (const a of one.taxa)
            for (const b of two.taxa) add(a, b, { kind: 'couplet', couplet: couplet.name });
  for (const other of kept) addSlips(key, other, add);
  const parting = new Parting(key);
  return [...found]
    .map(([taxon, own]): LookAlike => {
      const of = [...own].sort(([, a], [, b]) => RANKS[a.kind] - RANKS[b.kind]);
      return {
        taxon: key.taxa[taxon] as Taxon,
        of: of.map(([other, likeness]) => ({ kept: key.taxa[other] as Taxon, likeness })),
        parted: parting.of(taxon, of[0]?.[0] ?? -1),
      };
    })
    .sort(
      (a, b) =>
        severity(a.taxon) - severity(b.taxon) ||
        RANKS[a.of[0]?.likeness.kind ?? 'slip'] - RANKS[b.of[0]?.likeness.kind ?? 'slip'],
    );
}

/** What a find as a taxon is described comes to by one wrong observation, or by none. */
function addSlips(
  key: CompiledKey,
  other: number,
  add: (taxon: number, other: number, likeness: Likeness) => void,
): void {
  const { values, characters } = descriptionOf(key, other);
  if (characters.length === 0) return;
  const walk = new Walk(key, evidenceOf(values), 1);
  for (const taxon of walk.reached) {
    if (taxon === other) continue;
    const { slips, recheck, open, path } = walk.candidate(taxon);
    // Of a description that is silent on half of the way, nothing follows.
    if (2 * open >= path.length) continue;
    add(taxon, other, { kind: 'slip', characters: slips === 0 ? [] : recheck });
  }
}

/** The harmful among them, by number: those that stay unless they are asked to go. */
export function harmfulLookAlikes(key: CompiledKey, found: readonly LookAlike[]): Set<number> {
  const harmful = new Set(found.flatMap((l) => (isHarmful(l.taxon.concern.level) ? [l.taxon] : [])));
  return new Set([...key.taxa.keys()].filter((i) => harmful.has(key.taxa[i] as Taxon)));
}

/** Evidence that is nothing but what a find shows. */
export function evidenceOf(known: ReturnType<typeof descriptionOf>['values']) {
  return { known, origins: [], chosen: new Map<number, number>(), warnings: [], disagree: [] };
}

/** Finds where the ways to taxa part. */
class Parting {
  readonly #ways = new Map<number, ReadonlySet<CompiledLead>>();

  constructor(readonly key: CompiledKey) {}

  /** The last couplet at which a lead leads to the one and not to the other, and another the other way round. */
  of(a: number, b: number): readonly [string, string] | undefined {
    const [toA, toB] = [this.#leadsTo(a), this.#leadsTo(b)];
    for (const couplet of [...this.key.couplets].reverse()) {
      const one = couplet.leads.find((l) => toA.has(l) && !toB.has(l));
      const two = couplet.leads.find((l) => toB.has(l) && !toA.has(l));
      if (one !== undefined && two !== undefined) return [one.label, two.label];
    }
    return undefined;
  }

  #leadsTo(taxon: number): ReadonlySet<CompiledLead> {
    let leads = this.#ways.get(taxon);
    if (leads === undefined) {
      const found = new Set<CompiledLead>();
      const beyond = new Set<number>();
      for (const couplet of [...this.key.couplets].reverse())
        for (const lead of couplet.leads)
          if (lead.taxa.includes(taxon) || beyond.has(lead.next)) {
            found.add(lead);
            beyond.add(couplet.index);
          }
      leads = found;
      this.#ways.set(taxon, leads);
    }
    return leads;
  }
}
