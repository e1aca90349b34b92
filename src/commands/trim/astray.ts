import { descriptionOf } from '../../analysis/description.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from '../../engine/compile.js';
import { evidenceOf } from '../../engine/evidence.js';
import { Logic } from '../../engine/logic.js';
import { Walk } from '../../engine/walk.js';
import type { Taxon } from '../../key/key.js';
import { isHarmful, severity } from '../../key/severity.js';
import type { Box } from '../../traits/box.js';
import type { Value } from '../../traits/value.js';

/** Where the finds of a taxon that the trimmed key does not hold end. */
export interface AstrayTaxon {
  readonly taxon: Taxon;
  /** Whether its description says so, or only the way by which it was keyed out. */
  readonly by: 'description' | 'way';
  /** The taxa that such a find keys out as, without anything speaking against them. */
  readonly as: readonly Taxon[];
  /** Those that it may key out as, since what it shows of some characters is not stated. */
  readonly maybe: readonly Taxon[];
}

/** Ways that are drawn on for a taxon without a description. */
const MOST_WAYS = 20;

/**
 * Follows what is known of each removed taxon (its description, or else the finds that were keyed out as it) through
 * the trimmed key. Those that fit nothing there are left out, as they should be. Harmful ones come first.
 */
export function goneAstray(
  before: CompiledKey,
  after: CompiledKey,
  gone: readonly number[],
): { readonly astray: readonly AstrayTaxon[]; readonly fitNothing: number } {
  const walk = new Walk(after);
  let ways: Ways | undefined;
  const astray: AstrayTaxon[] = [];
  let fitNothing = 0;
  for (const number of gone) {
    const taxon = before.taxa[number] as Taxon;
    const { values, characters } = descriptionOf(before, number);
    const described = characters.length > 0;
    if (!described) ways ??= new Ways(before);
    const finds = described ? [values] : (ways?.to(number) ?? []);
    const as = new Set<Taxon>();
    const maybe = new Set<Taxon>();
    for (const find of finds) {
      walk.follow(evidenceOf(carried(before, after, find)), 0);
      for (const t of walk.reached) (walk.openTo(t) === 0 ? as : maybe).add(after.taxa[t] as Taxon);
    }
    for (const t of as) maybe.delete(t);
    if (as.size + maybe.size === 0) fitNothing++;
    else astray.push({ taxon, by: described ? 'description' : 'way', as: [...as], maybe: [...maybe] });
  }
  const certain = (a: AstrayTaxon) => (a.as.length > 0 ? 0 : 1);
  const rank = (a: AstrayTaxon) => (isHarmful(a.taxon.concern.level) ? severity(a.taxon) : 9);
  astray.sort((a, b) => rank(a) - rank(b) || certain(a) - certain(b));
  return { astray, fitNothing };
}

/** What the finds that were keyed out as a taxon show, way by way. */
class Ways {
  readonly #logic: Logic;
  readonly #endingAt = new Map<number, (readonly [CompiledCouplet, CompiledLead])[]>();

  constructor(key: CompiledKey) {
    this.#logic = new Logic(key.chain);
    for (const couplet of this.#logic.key.couplets)
      for (const lead of couplet.leads)
        for (const taxon of lead.taxa) {
          const known = this.#endingAt.get(taxon);
          if (known === undefined) this.#endingAt.set(taxon, [[couplet, lead]]);
          else known.push([couplet, lead]);
        }
  }

  to(taxon: number): (Value | undefined)[][] {
    return (this.#endingAt.get(taxon) ?? [])
      .flatMap(([couplet, lead]) => this.#logic.taken(couplet, lead) ?? [])
      .slice(0, MOST_WAYS)
      .map(shownIn);
  }
}

function shownIn(box: Box): (Value | undefined)[] {
  return Array.from(box, (facet): Value | undefined => {
    if (facet === undefined) return undefined;
    if (facet.kind === 'states')
      return facet.set.every((word) => word === 0)
        ? { kind: 'inapplicable' }
        : { kind: 'states', set: facet.set, partly: facet.na };
    return facet.set.intervals.length === 0
      ? { kind: 'inapplicable' }
      : { kind: 'numbers', set: facet.set, partly: facet.na };
  });
}

/** What is known in the characters of one key, in those of another that holds the same. */
function carried(
  before: CompiledKey,
  after: CompiledKey,
  known: readonly (Value | undefined)[],
): (Value | undefined)[] {
  const out = new Array<Value | undefined>(after.characters.length).fill(undefined);
  known.forEach((value, i) => {
    const at = after.characterIndex.get(before.characters[i]?.id ?? '');
    if (at !== undefined) out[at] = value;
  });
  return out;
}

/** A harmful taxon that has come nearer to another because something is no longer asked. */
export interface Nearer {
  readonly taxon: Taxon;
  readonly to: Taxon;
  /** The wrong observations that separated them before, and those that separate them now. */
  readonly before: number;
  readonly after: number;
  /** The characters that no longer speak against it. */
  readonly lost: readonly string[];
}

/** More wrong observations than this keep two taxa well apart. */
const FAR = 3;

/** The harmful kept taxa that fewer wrong observations than before separate from another kept one. */
export function comeNearer(before: CompiledKey, after: CompiledKey): readonly Nearer[] {
  const found: Nearer[] = [];
  const numbers = new Map(before.taxa.map((t, i) => [t.id, i]));
  const [old, now] = [before, after].map((key) => new Walk(key)) as [Walk, Walk];
  after.taxa.forEach((taxon, i) => {
    const was = numbers.get(taxon.id);
    if (!isHarmful(taxon.concern.level) || was === undefined) return;
    const { values, characters } = descriptionOf(before, was);
    if (characters.length === 0) return;
    old.follow(evidenceOf(values), FAR);
    now.follow(evidenceOf(carried(before, after, values)), FAR);
    for (const t of now.reached) {
      const to = after.taxa[t] as Taxon;
      const other = numbers.get(to.id);
      if (other === undefined) continue;
      const slips = now.slipsTo(t);
      const earlier = old.slipsTo(other);
      if (t === i || slips >= earlier || isHarmful(to.concern.level)) continue;
      const against = new Set(now.candidate(t).recheck);
      const had = earlier === Number.POSITIVE_INFINITY ? [] : old.candidate(other).recheck;
      found.push({ taxon, to, before: earlier, after: slips, lost: had.filter((c) => !against.has(c)) });
    }
  });
  return found.sort((a, b) => severity(a.taxon) - severity(b.taxon) || a.after - b.after);
}
