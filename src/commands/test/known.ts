/** Known specimens against a key: whether it names them as what they are, and what of the key they exercise. */

import { firstFailing } from '../../analysis/agreement.js';
import { keyedOut, membersOf } from '../../analysis/members.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from '../../engine/compile.js';
import { type Determination, determine } from '../../engine/determine.js';
import { FAILS, FITS } from '../../engine/evaluate.js';
import type { Evidence } from '../../engine/evidence.js';
import { reasonAgainst } from '../../engine/session.js';
import { blameLead } from '../../engine/slips.js';
import { lineage } from '../../engine/verdict.js';
import { Walk } from '../../engine/walk.js';
import type { Taxon } from '../../key/key.js';
import { isHarmful, severity } from '../../key/severity.js';
import type { TaxonNames } from '../../key/taxon-names.js';
import type { Collection } from '../../traits/collection.js';

/**
 * What a key makes of a known specimen. `right`: what is left is what was expected, and nothing else;
 * `among`: it is among several that are left; `wrong`: others are left, and it is not; `nothing`: the
 * specimen fits nothing in the key; `lacking`: the key does not hold what was expected, so it can never be
 * right.
 */
export type KnownWord = 'right' | 'among' | 'wrong' | 'nothing' | 'lacking';

/** Where the evidence leaves the way to what was expected. */
interface LeftPath {
  /** The expected taxon that is the fewest slips away. */
  readonly taxon: Taxon;
  readonly couplet: CompiledCouplet;
  /** The lead that should have been taken, and was ruled out. */
  readonly lead: CompiledLead;
  /** The leads that were followed instead; none when all of them fail. */
  readonly taken: readonly CompiledLead[];
  /** The characters that speak against the lead, by id. */
  readonly characters: readonly string[];
  /** What the find shows of them, or the answer that a person gave, in words. */
  readonly because: string;
  /** How many wrong observations it would take to get there, and all that they concern. */
  readonly slips: number;
  readonly recheck: readonly string[];
  readonly reconsider: readonly string[];
}

/** One known specimen, tested. */
export interface KnownResult {
  readonly word: KnownWord;
  readonly found: Determination;
  /** The taxa of the key that it is known to be (any one of them), the ends of the key or not. */
  readonly expected: readonly Taxon[];
  /** Where it is in the key but no lead ends at it, nor at a member or a group of it. */
  readonly endless: readonly Taxon[];
  /**
   * `missed`: it is known to do harm, and came out as something that does less, or as nothing; `raised`: it is not
   * known to do harm, and came out as something that does.
   */
  readonly harm: 'missed' | 'raised' | undefined;
  /** Set where the expected taxon was ruled out. */
  readonly left: LeftPath | undefined;
}

/** What known specimens have exercised of a key so far. */
export interface Coverage {
  readonly leads: number;
  /** Leads that no known specimen took, by couplet; where none arrived at the couplet, that is said. */
  readonly never: readonly {
    readonly couplet: CompiledCouplet;
    readonly arrived: boolean;
    readonly leads: readonly CompiledLead[];
  }[];
  /** Leads that were only ever followed because nothing ruled them out: no specimen had what they ask. */
  readonly openOnly: readonly CompiledLead[];
  /** How many taxa leads end at, and those of which there was no known specimen. */
  readonly ends: number;
  readonly unknown: readonly Taxon[];
}

// More slips than any path of a real key can need.
const FURTHEST = 1000;

/** Tests known specimens one after another, and remembers what they exercised. */
export class KnownSpecimens {
  readonly #walk: Walk;
  /** By couplet and lead: 0 = never taken, 1 = left open, 2 = fitted. */
  readonly #taken: Uint8Array[];
  readonly #arrived: Uint8Array;
  readonly #seen = new Set<Taxon>();
  readonly #byId: ReadonlyMap<string, Taxon>;
  readonly #numbers: ReadonlyMap<Taxon, number>;

  constructor(
    readonly key: CompiledKey,
    readonly names: TaxonNames,
  ) {
    this.#walk = new Walk(key);
    this.#taken = key.couplets.map((c) => new Uint8Array(c.leads.length));
    this.#arrived = new Uint8Array(key.couplets.length);
    this.#byId = new Map(key.taxa.map((t) => [t.id, t]));
    this.#numbers = new Map(key.taxa.map((t, i) => [t, i]));
  }

  /** Tests a collection by what it is known to be; what the key does not have at all is skipped. */
  test(collection: Collection): KnownResult {
    const { key } = this;
    const found = determine(key, collection, {}, this.#walk);
    this.#cover(found.evidence);
    const expected = this.#expected(collection.expect);
    const endless = expected.filter((t) => this.#standIns(t).length === 0);
    for (const taxon of expected) for (const end of this.#standIns(taxon)) this.#seen.add(end);
    const own = new Set(expected.flatMap((t) => this.#standIns(t)));
    const word = wordFor(found.possible, own);
    return {
      word,
      found,
      expected,
      endless,
      harm: word === 'right' || word === 'among' ? undefined : harmOf(expected, found),
      left: word === 'wrong' || word === 'nothing' ? this.#leftPath(found, own) : undefined,
    };
  }

  /** What all specimens so far have exercised. */
  coverage(): Coverage {
    const { key } = this;
    const never = key.couplets.flatMap((couplet, i) => {
      const leads = couplet.leads.filter((_, n) => this.#taken[i]?.[n] === 0);
      return leads.length === 0 ? [] : [{ couplet, arrived: this.#arrived[i] === 1, leads }];
    });
    const ends = key.taxa.filter((t) => keyedOut(key, t));
    return {
      leads: key.couplets.reduce((n, c) => n + c.leads.length, 0),
      never,
      openOnly: key.couplets.flatMap((c, i) => c.leads.filter((_, n) => this.#taken[i]?.[n] === 1)),
      ends: ends.length,
      unknown: ends.filter((t) => !this.#seen.has(t)),
    };
  }

  #expected(written: readonly string[]): readonly Taxon[] {
    const found = new Set<Taxon>();
    for (const word of written)
      for (const { id } of this.names.called(word)) {
        const taxon = this.#byId.get(id);
        if (taxon !== undefined) found.add(taxon);
      }
    return [...found];
  }

  readonly #standing = new Map<Taxon, readonly Taxon[]>();

  /**
   * The ends of the key that are right for a taxon: itself and what lies within it. Where the key does not go
   * so far, the lowest group that it lies in.
   */
  #standIns(taxon: Taxon): readonly Taxon[] {
    const known = this.#standing.get(taxon);
    if (known !== undefined) return known;
    const { key } = this;
    const within = [taxon, ...membersOf(key, taxon)].filter((t) => keyedOut(key, t));
    const above = lineage(taxon, key.chain.taxa)
      .slice(1)
      .flatMap((t) => this.#byId.get(t.id) ?? []);
    const group = within.length > 0 ? undefined : above.find((t) => keyedOut(key, t));
    const ends = group === undefined ? within : [group];
    this.#standing.set(taxon, ends);
    return ends;
  }

  #cover(evidence: Evidence): void {
    this.#walk.follow(evidence, 0);
    for (const { couplet, truths } of this.#walk.visits) {
      this.#arrived[couplet.index] = 1;
      const taken = this.#taken[couplet.index] as Uint8Array;
      truths.forEach((truth, n) => {
        if (truth === FITS) taken[n] = 2;
        else if (truth !== FAILS && taken[n] === 0) taken[n] = 1;
      });
    }
  }

  #leftPath({ evidence }: Determination, own: ReadonlySet<Taxon>): LeftPath | undefined {
    const { key } = this;
    const walk = this.#walk;
    walk.follow(evidence, FURTHEST);
    let nearest: number | undefined;
    for (const taxon of own) {
      const number = this.#numbers.get(taxon) ?? -1;
      if (walk.slipsTo(number) === Infinity) continue;
      if (nearest === undefined || walk.slipsTo(number) < walk.slipsTo(nearest)) nearest = number;
    }
    const place = nearest === undefined ? undefined : firstFailing(key, walk, nearest);
    if (nearest === undefined || place === undefined) return undefined;
    const { couplet } = place;
    const lead = couplet.leads[place.lead] as CompiledLead;
    const truths = walk.visits.find((v) => v.couplet === couplet)?.truths ?? [];
    const chosen = evidence.chosen.get(couplet.index);
    const against = walk.against(nearest);
    return {
      taxon: key.taxa[nearest] as Taxon,
      couplet,
      lead,
      taken: couplet.leads.filter((_, i) => truths[i] !== FAILS),
      characters: blameLead(couplet, lead, evidence.known, key.gates).map((c) => key.characters[c]?.id ?? ''),
      because:
        chosen === undefined
          ? reasonAgainst(key, evidence, couplet, lead, truths)
          : `${couplet.leads[chosen]?.label} was chosen by a person`,
      slips: walk.slipsTo(nearest),
      recheck: against.characters,
      reconsider: against.answers,
    };
  }
}

function wordFor(possible: readonly Taxon[], own: ReadonlySet<Taxon>): KnownWord {
  if (own.size === 0) return 'lacking';
  if (possible.length === 0) return 'nothing';
  const right = possible.filter((t) => own.has(t)).length;
  return right === possible.length ? 'right' : right > 0 ? 'among' : 'wrong';
}

function harmOf(expected: readonly Taxon[], found: Determination): KnownResult['harm'] {
  const worst = expected.length === 0 ? undefined : Math.min(...expected.map(severity));
  if (worst === undefined) return undefined;
  const harmful = expected.some((t) => isHarmful(t.concern.level));
  const { possible, verdict } = found;
  const got = Math.min(...possible.map(severity));
  if (harmful) return possible.length === 0 || got > worst ? 'missed' : undefined;
  return isHarmful(verdict.worst) && possible.length > 0 ? 'raised' : undefined;
}
