import { descriptionOf } from '../../analysis/description.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from '../../engine/compile.js';
import { evidenceOf } from '../../engine/evidence.js';
import { Walk } from '../../engine/walk.js';
import type { Taxon } from '../../key/key.js';
import { isHarmful, severity } from '../../key/severity.js';

/** Why a taxon may be taken for one that is kept. */
export type Likeness =
  /** One names the other as alike. */
  | { readonly kind: 'alike' }
  /** Leads of one couplet end at both. */
  | { readonly kind: 'couplet'; readonly couplet: string }
  /** A find as the kept one is described comes to it by one wrong observation; or by none. */
  | { readonly kind: 'slip'; readonly characters: readonly string[] };

/** A taxon that is not on the list, and what it may be taken for. */
export interface OffListLookAlike {
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
export function lookAlikes(key: CompiledKey, kept: ReadonlySet<number>): readonly OffListLookAlike[] {
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
  const walk = new Walk(key);
  for (const other of kept) addSlips(walk, other, numbers, add);
  const parting = new PartingFinder(key);
  return [...found]
    .map(([taxon, own]): OffListLookAlike => {
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

/** What a find that is as a taxon is described comes to with one wrong observation, or with none. */
function addSlips(
  walk: Walk,
  other: number,
  numbers: ReadonlyMap<string, number>,
  add: (taxon: number, other: number, likeness: Likeness) => void,
): void {
  const { values, characters } = descriptionOf(walk.key, other);
  if (characters.length === 0) return;
  walk.follow(evidenceOf(values), 1);
  const { candidates, near } = walk.results();
  for (const { taxon, slips, recheck, open, path } of [...candidates, ...near]) {
    // Nothing follows from a description that is silent on half of the way.
    if (2 * open >= path.length) continue;
    const number = numbers.get(taxon.id);
    if (number === undefined) continue;
    add(number, other, { kind: 'slip', characters: slips === 0 ? [] : recheck });
  }
}

/** The harmful among them, by number: those that stay unless the person leaves them out. */
export function harmfulLookAlikes(key: CompiledKey, found: readonly OffListLookAlike[]): Set<number> {
  const harmful = new Set(found.flatMap((l) => (isHarmful(l.taxon.concern.level) ? [l.taxon] : [])));
  return new Set([...key.taxa.keys()].filter((i) => harmful.has(key.taxa[i] as Taxon)));
}

/** A lead, and the couplet that it stands at. */
type Step = readonly [couplet: CompiledCouplet, lead: CompiledLead];

/** The leads to a taxon by the couplets that they stand at, the last couplet first. */
type Ways = ReadonlyMap<CompiledCouplet, ReadonlySet<CompiledLead>>;

/** Finds where the ways to taxa part; only the couplets on these ways are looked at. */
class PartingFinder {
  readonly #ways = new Map<number, Ways>();
  readonly #endingAt = new Map<number, Step[]>();
  readonly #into = new Map<number, Step[]>();

  constructor(key: CompiledKey) {
    for (const couplet of key.couplets)
      for (const lead of couplet.leads) {
        for (const taxon of lead.taxa) addTo(this.#endingAt, taxon, [couplet, lead]);
        if (lead.next >= 0) addTo(this.#into, lead.next, [couplet, lead]);
      }
  }

  /** The last couplet at which a lead leads to the one and not to the other, and another the other way round. */
  of(a: number, b: number): readonly [string, string] | undefined {
    const [waysA, waysB] = [this.#waysTo(a), this.#waysTo(b)];
    for (const [couplet, toA] of waysA) {
      const toB = waysB.get(couplet);
      if (toB === undefined) continue;
      const one = couplet.leads.find((l) => toA.has(l) && !toB.has(l));
      const two = couplet.leads.find((l) => toB.has(l) && !toA.has(l));
      if (one !== undefined && two !== undefined) return [one.label, two.label];
    }
    return undefined;
  }

  #waysTo(taxon: number): Ways {
    const known = this.#ways.get(taxon);
    if (known !== undefined) return known;
    const found = new Map<CompiledCouplet, Set<CompiledLead>>();
    const todo = [...(this.#endingAt.get(taxon) ?? [])];
    for (let step = todo.pop(); step !== undefined; step = todo.pop()) {
      const [couplet, lead] = step;
      const leads = found.get(couplet);
      if (leads !== undefined) leads.add(lead);
      else {
        found.set(couplet, new Set([lead]));
        for (const before of this.#into.get(couplet.index) ?? []) todo.push(before);
      }
    }
    const ways: Ways = new Map([...found].sort(([one], [two]) => two.index - one.index));
    this.#ways.set(taxon, ways);
    return ways;
  }
}

function addTo(steps: Map<number, Step[]>, at: number, step: Step): void {
  const known = steps.get(at);
  if (known === undefined) steps.set(at, [step]);
  else known.push(step);
}
