import type { Correspondences } from '../correspondences/check.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from '../engine/compile.js';
import type { Determination } from '../engine/determine.js';
import { FAILS } from '../engine/evaluate.js';
import type { Verdict } from '../engine/outcome.js';
import { blameLead } from '../engine/slips.js';
import { lineage, verdictOn } from '../engine/verdict.js';
import { Walk } from '../engine/walk.js';
import type { Taxon } from '../key/key.js';
import { plainName } from '../key/taxon-names.js';
import { keyedOut } from './members.js';
import { leadPlaces } from './what-if.js';

/**
 * Numbers the taxa of several keys, the same taxon alike: one with the same id, the same name, or a name among the
 * other's synonyms; and one that a person has confirmed to be the same.
 */
export class SameTaxa {
  readonly #numbers = new Map<Taxon, number>();
  readonly #first: Taxon[] = [];
  /** By key and number, the numbers of its taxa. */
  readonly #own = new Map<CompiledKey, Map<number, number[]>>();
  readonly #above = new Map<number, ReadonlySet<number>>();
  /** By number, those in which a person has placed it. */
  readonly #within = new Map<number, number[]>();
  readonly #ends = new Map<CompiledKey, { readonly own: Set<number>; readonly lines: Set<number> }>();

  constructor(keys: readonly CompiledKey[], files: readonly Correspondences[] = []) {
    const all = keys.flatMap((key) => key.taxa);
    const joined = all.map((_, i) => i);
    const root = (i: number): number => {
      let at = i;
      while (joined[at] !== at) at = joined[at] as number;
      return at;
    };
    const words = new Map<string, number>();
    all.forEach((taxon, i) => {
      for (const word of [
        `id ${taxon.id}`,
        ...[taxon.name, ...taxon.synonyms].map((n) => `name ${plainName(n)}`),
      ]) {
        const before = words.get(word);
        if (before === undefined) words.set(word, i);
        else {
          const [a, b] = [root(before), root(i)];
          joined[Math.max(a, b)] = Math.min(a, b);
        }
      }
    });
    const index = new Map(all.map((taxon, i) => [taxon, i]));
    const pairs = files.flatMap((file) => {
      const [from, to] = [file.from, file.to].map((chain) => keys.find((k) => k.chain === chain));
      return file.taxa.flatMap(({ from: one, to: other, how, confirmed }) => {
        const a = confirmed && from !== undefined ? taxaById(from).get(one.id) : undefined;
        const b = to === undefined ? undefined : taxaById(to).get(other.id);
        return a === undefined || b === undefined ? [] : [{ a, b, how }];
      });
    });
    for (const { a, b, how } of pairs) {
      if (how !== 'same') continue;
      const [x, y] = [root(index.get(a) ?? 0), root(index.get(b) ?? 0)];
      joined[Math.max(x, y)] = Math.min(x, y);
    }
    const places = new Map<number, number>();
    all.forEach((taxon, i) => {
      const top = root(i);
      let place = places.get(top);
      if (place === undefined) {
        place = this.#first.push(all[top] as Taxon) - 1;
        places.set(top, place);
      }
      this.#numbers.set(taxon, place);
    });
    for (const key of keys) {
      const own = new Map<number, number[]>();
      key.taxa.forEach((taxon, i) => {
        const number = this.numberOf(taxon);
        own.set(number, [...(own.get(number) ?? []), i]);
      });
      this.#own.set(key, own);
    }
    for (const { a, b, how } of pairs) {
      if (how === 'same') continue;
      const [lower, upper] = (how === 'within' ? [a, b] : [b, a]).map((t) => this.numberOf(t)) as [
        number,
        number,
      ];
      this.#within.set(lower, [...(this.#within.get(lower) ?? []), upper]);
    }
  }

  /** The taxa of a key that have that number. */
  within(key: CompiledKey, number: number): readonly Taxon[] {
    return (this.#own.get(key)?.get(number) ?? []).map((i) => key.taxa[i] as Taxon);
  }

  /** A taxon and all that any of the keys, or a person, places it within; lowest first, by the first key. */
  above(number: number): ReadonlySet<number> {
    const known = this.#above.get(number);
    if (known !== undefined) return known;
    const line = new Set<number>();
    for (const key of this.#own.keys()) {
      const byId = taxaById(key);
      for (const taxon of this.within(key, number))
        for (const up of lineage(taxon, key.chain.taxa)) {
          const own = byId.get(up.id);
          if (own !== undefined) line.add(this.numberOf(own));
        }
    }
    this.#above.set(number, line);
    for (const n of [...line])
      for (const holder of this.#within.get(n) ?? []) for (const up of this.above(holder)) line.add(up);
    this.#above.set(number, line);
    return line;
  }

  /** Whether two taxa can be one: they are the same, or one lies within the other. */
  compatible(a: number, b: number): boolean {
    return a === b || this.above(a).has(b) || this.above(b).has(a);
  }

  /** Whether any end of one key can be one of the other. */
  meet(a: CompiledKey, b: CompiledKey): boolean {
    const [one, other] = [this.#endsOf(a), this.#endsOf(b)];
    return [...one.own].some((n) => other.lines.has(n)) || [...other.own].some((n) => one.lines.has(n));
  }

  /** The ends of a key, and those with all in which they lie. */
  #endsOf(key: CompiledKey): { readonly own: Set<number>; readonly lines: Set<number> } {
    let ends = this.#ends.get(key);
    if (ends === undefined) {
      const own = new Set(key.taxa.filter((t) => keyedOut(key, t)).map((t) => this.numberOf(t)));
      ends = { own, lines: new Set([...own].flatMap((n) => [n, ...this.above(n)])) };
      this.#ends.set(key, ends);
    }
    return ends;
  }

  numberOf(taxon: Taxon): number {
    return this.#numbers.get(taxon) ?? -1;
  }

  /** The taxon of that number as the first of the keys has it. */
  taxon(number: number): Taxon {
    return this.#first[number] as Taxon;
  }
}

/** Where the path in one key leaves the path to a taxon that another key names. */
export interface KeyParting {
  readonly key: CompiledKey;
  readonly couplet: string;
  /** The lead that fails, and the letters of those that do not. */
  readonly lead: string;
  readonly taken: readonly string[];
  /** The taxon of this key that lies behind the failing lead, and the key that named it. */
  readonly taxon: Taxon;
  readonly namedBy: CompiledKey;
  /** The characters that speak against the lead. */
  readonly characters: readonly string[];
}

/** Candidates of one key that another does not hold at all. */
export interface Lacking {
  readonly key: CompiledKey;
  readonly taxa: readonly Taxon[];
}

/** One taxon under two names. */
export interface OtherName {
  readonly key: CompiledKey;
  readonly name: string;
  readonly as: string;
}

/** The results of several keys for one collection, compared. */
export interface Agreement {
  readonly found: readonly Determination[];
  /**
   * `agree`: the same candidates; `overlap`: some in common, or one key is more exact than another; `disagree`: none in
   * common; `nothing fits`: in none of the keys; `not comparable`: a key has no taxon in common with the others, none
   * holds what the others name, or one knows nothing that was seen of the find.
   */
  readonly word: 'agree' | 'overlap' | 'disagree' | 'nothing fits' | 'not comparable';
  /** The keys by which it is not comparable, and what they do not share with the others. */
  readonly apart: readonly { readonly key: CompiledKey; readonly lacks: 'taxa' | 'characters' }[];
  /** The taxa that every key leaves, and those that any key leaves, by their names in the first key that has them. */
  readonly common: readonly Taxon[];
  readonly all: readonly Taxon[];
  /** The lowest taxon that holds all that any key leaves; undefined when there is none. */
  readonly lowest: Taxon | undefined;
  /** The first couplet in each key that leads away from what the others name. */
  readonly partings: readonly KeyParting[];
  readonly lacking: readonly Lacking[];
  readonly otherNames: readonly OtherName[];
  /** By the worst that any of the keys leaves, also at worst. */
  readonly verdict: Verdict;
}

// More slips than any path of a real key could need.
const MOST_SLIPS = 1000;

/** Compares the results of several keys for one collection. */
export function agreementOf(found: readonly Determination[], same: SameTaxa): Agreement {
  const sets = found.map((f) => new Set(f.possible.map((t) => same.numberOf(t))));
  const all = [...new Set(sets.flatMap((s) => [...s]))];
  // A key that ends at a genus leaves every species of it possible.
  const compatible = all.filter((n) => sets.every((s) => [...s].some((m) => same.compatible(n, m))));
  const common = compatible.filter((n) => !compatible.some((m) => m !== n && same.above(m).has(n)));
  const apart = all.length === 0 ? [] : keysApart(found, same);
  const told = apart.length === 0;
  const lacking = told ? found.flatMap((f) => lackingIn(f.key, found, same)) : [];
  // Where no key holds anything of what the others name, none of them contradicts another, nor does one that fits nothing.
  const foreign =
    found.length > 1 &&
    all.length > 0 &&
    found.every(({ key }, i) => {
      const named = new Set(sets.flatMap((s, other) => (other === i ? [] : [...s])));
      return (lacking.find((l) => l.key === key)?.taxa.length ?? 0) === named.size;
    });
  return {
    found,
    word: told && !foreign ? wordFor(sets, all, common) : 'not comparable',
    apart,
    common: common.map((n) => same.taxon(n)),
    all: all.map((n) => same.taxon(n)),
    lowest: lowestOf(all, same),
    partings: !told ? [] : found.flatMap((f, i) => keyPartingOf(f, found, sets, i, same) ?? []),
    lacking,
    otherNames: otherNames(found, all, same),
    verdict: verdictOn(found.flatMap((f) => [...f.possible, ...f.further.map((t) => t.taxon)])),
  };
}

/** The keys that share no taxon with any other, and those that were told nothing of the find while others were. */
function keysApart(found: readonly Determination[], same: SameTaxa): Agreement['apart'] {
  const heard = found.map((f) => f.evidence.chosen.size > 0 || f.evidence.known.some((v) => v !== undefined));
  return found.flatMap(({ key }, i): Agreement['apart'] => {
    if (found.length > 1 && !found.some((f) => f.key !== key && same.meet(key, f.key)))
      return [{ key, lacks: 'taxa' }];
    return !heard[i] && heard.includes(true) ? [{ key, lacks: 'characters' }] : [];
  });
}

function wordFor(
  sets: readonly ReadonlySet<number>[],
  all: readonly number[],
  common: readonly number[],
): Agreement['word'] {
  if (all.length === 0) return 'nothing fits';
  if (sets.every((s) => s.size === all.length)) return 'agree';
  return common.length > 0 ? 'overlap' : 'disagree';
}

/** The lowest taxon that all lie within (or are), by the classification of any of the keys. */
function lowestOf(all: readonly number[], same: SameTaxa): Taxon | undefined {
  const above = all.map((number) => same.above(number));
  const [first, ...others] = above;
  if (first === undefined) return undefined;
  const shared = [...first].find((n) => others.every((line) => line.has(n)));
  return shared === undefined ? undefined : same.taxon(shared);
}

const TAXA_BY_ID = new WeakMap<CompiledKey, ReadonlyMap<string, Taxon>>();

/** The taxa of a key by id: those of its chain lack the concern of their members. */
function taxaById(key: CompiledKey): ReadonlyMap<string, Taxon> {
  let ids = TAXA_BY_ID.get(key);
  if (ids === undefined) {
    ids = new Map(key.taxa.map((t) => [t.id, t]));
    TAXA_BY_ID.set(key, ids);
  }
  return ids;
}

/** The first couplet of a key that leads away from a taxon that the key holds and another key names. */
function keyPartingOf(
  own: Determination,
  found: readonly Determination[],
  sets: readonly ReadonlySet<number>[],
  index: number,
  same: SameTaxa,
): KeyParting | undefined {
  const { key } = own;
  let first: { readonly couplet: CompiledCouplet; readonly lead: number; readonly taxon: number } | undefined;
  let namedBy: CompiledKey | undefined;
  let walk: Walk | undefined;
  for (const [other, set] of sets.entries()) {
    if (other === index) continue;
    for (const number of set) {
      if ([...(sets[index] ?? [])].some((n) => same.compatible(n, number))) continue;
      const held = same.within(key, number).find((t) => keyedOut(key, t));
      if (held === undefined) continue;
      const taxon = key.taxa.indexOf(held);
      walk ??= new Walk(key, own.evidence, MOST_SLIPS);
      const place = firstFailing(key, walk, taxon);
      if (place === undefined || (first !== undefined && place.couplet.index >= first.couplet.index))
        continue;
      first = { ...place, taxon };
      namedBy = found[other]?.key;
    }
  }
  if (first === undefined || walk === undefined || namedBy === undefined) return undefined;
  const { couplet, lead, taxon } = first;
  const truths = walk.visits.find((v) => v.couplet === couplet)?.truths ?? [];
  const failing = couplet.leads[lead] as CompiledLead;
  const chosen = own.evidence.chosen.get(couplet.index);
  const answer = chosen === undefined ? undefined : couplet.leads[chosen]?.label;
  const against = blameLead(couplet, failing, own.evidence.known, key.gates);
  return {
    key,
    couplet: couplet.name,
    lead: failing.lead.letter,
    taken: couplet.leads.flatMap((l, i) => (truths[i] === FAILS ? [] : [l.lead.letter])),
    taxon: key.taxa[taxon] as Taxon,
    namedBy,
    characters: [
      ...against.map((c) => key.characters[c]?.id ?? ''),
      ...(answer === undefined ? [] : [`answer ${answer}`]),
    ],
  };
}

/** The first lead that fails on the best path to a taxon; undefined where there is no path, or none fails. */
export function firstFailing(
  key: CompiledKey,
  walk: Walk,
  taxon: number,
): { readonly couplet: CompiledCouplet; readonly lead: number } | undefined {
  if (walk.slipsTo(taxon) === Infinity) return undefined;
  const truths = new Map(walk.visits.map((v) => [v.couplet.index, v.truths]));
  for (const label of walk.candidate(taxon).path) {
    const place = leadPlaces(key).get(label);
    if (place !== undefined && truths.get(place.couplet)?.[place.lead] === FAILS)
      return { couplet: key.couplets[place.couplet] as CompiledCouplet, lead: place.lead };
  }
  return undefined;
}

/** What other keys leave possible and no lead of this key ends at, nor at a member or a group of it. */
function lackingIn(key: CompiledKey, found: readonly Determination[], same: SameTaxa): Lacking[] {
  const named = new Set(
    found.filter((f) => f.key !== key).flatMap((f) => f.possible.map((t) => same.numberOf(t))),
  );
  const ends = [...new Set(key.taxa.filter((t) => keyedOut(key, t)).map((t) => same.numberOf(t)))];
  const taxa = [...named]
    .filter((n) => !ends.some((end) => same.compatible(end, n)))
    .map((n) => same.taxon(n));
  return taxa.length === 0 ? [] : [{ key, taxa }];
}

function otherNames(found: readonly Determination[], all: readonly number[], same: SameTaxa): OtherName[] {
  return found.flatMap(({ key }) =>
    all.flatMap((number) => {
      const { name } = same.taxon(number);
      return same
        .within(key, number)
        .filter((t) => t.name !== name)
        .map((t) => ({ key, name: t.name, as: name }));
    }),
  );
}
