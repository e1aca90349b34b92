import type { Taxon } from '../key/key.js';
import { endangers, isHarmful, severity } from '../key/severity.js';
import { byCodeUnit, listed } from '../text/words.js';
import type { Collection } from '../traits/collection.js';
import type { CompiledKey } from './compile.js';
import { type Evidence, gatherEvidence, onSpecimen, specimensOf } from './evidence.js';
import { warnFarOutside } from './far-outside.js';
import { atWorst, furtherTaxa, openSpecimens } from './further.js';
import type {
  Against,
  Candidate,
  FurtherTaxon,
  OpenSpecimen,
  Outcome,
  Undecided,
  Verdict,
  Warning,
} from './outcome.js';
import { scopeWarnings } from './scope.js';
import { nameFor, verdictOn } from './verdict.js';
import { Walk } from './walk.js';

/** The result of determining a collection with a key. */
export interface Determination extends Outcome {
  readonly collection: Collection;
  readonly key: CompiledKey;
  readonly evidence: Evidence;
  readonly warnings: readonly Warning[];
}

/** How a find is determined. */
export interface DetermineOptions {
  /** How many slips away an end may be to be named as near. Default 1. */
  readonly slips?: number;
}

// When nothing is reached, the nearest ends are looked for this many slips away: more than any path of a real key asks
// characters.
const MOST_SLIPS = 1000;

/**
 * Determines one collection: evidence, candidates, near ends, name, verdict, warnings. Whoever determines many with a key
 * hands a walk of it over, to be used for each of them, also when details are asked for later.
 */
export function determine(
  key: CompiledKey,
  collection: Collection,
  options: DetermineOptions = {},
  walk?: Walk,
): Determination {
  return new LazyDetermination(key, collection, options.slips ?? 1, walk);
}

/** The deadly and severe taxa that are one slip away, where others are possible. */
export function nearHarm({ candidates, near }: Outcome): readonly Candidate[] {
  return candidates.length === 0 ? [] : near.filter((n) => n.slips === 1 && endangers(n.taxon));
}

const NOTHING_OPEN: Undecided = { characters: [], couplets: [] };

/**
 * What every report needs is worked out at once. Paths and ends cost more than all the rest, and a table for
 * people does not show them, so they are worked out when asked for.
 */
class LazyDetermination implements Determination {
  readonly evidence: Evidence;
  readonly possible: readonly Taxon[];
  readonly verdict: Verdict;
  readonly name: string | undefined;
  readonly qualifier: string | undefined;
  readonly undecided: Undecided;
  readonly warnings: readonly Warning[];
  /** The numbers of the taxa that are possible at worst besides. */
  readonly #beyond: readonly number[];
  readonly #slips: number;
  /** Where undefined, one is made each time: kept in every determination, they would take much room. */
  readonly #walk: Walk | undefined;
  #further: readonly FurtherTaxon[] | undefined;
  #openSpecimens: readonly OpenSpecimen[] | undefined;
  #details: { candidates: Candidate[]; near: Candidate[] } | undefined;

  constructor(
    readonly key: CompiledKey,
    readonly collection: Collection,
    slips: number,
    shared: Walk | undefined,
  ) {
    this.#slips = slips;
    this.#walk = shared;
    this.evidence = gatherEvidence(key, collection);
    // Harm that one wrong observation hides is named however few slips were asked for.
    const walk = this.#walked(1, true);
    const numbers: number[] = [];
    let possible: Taxon[] = [];
    const harmful: HarmfulNear[] = [];
    let open = false;
    for (let n = 0; n < walk.taxaReached; n++) {
      const number = walk.taxonReached(n);
      const taxon = key.taxa[number] as Taxon;
      if (walk.slipsTo(number) === 0) {
        numbers.push(number);
        possible.push(taxon);
        open = walk.openTo(number) > 0;
      } else if (endangers(taxon)) harmful.push({ taxon, against: walk.against(number) });
    }
    this.undecided = numbers.length > 1 || (numbers.length === 1 && open) ? walk.undecided() : NOTHING_OPEN;
    // From here on the walk may be used for other finds, and other readings of this one.
    const worst = atWorst(key, collection, this.evidence, numbers, walk);
    if (worst.possible.length < numbers.length) possible = worst.possible.map((t) => key.taxa[t] as Taxon);
    this.possible = possible;
    this.#beyond = worst.beyond;
    this.verdict = verdictOn(
      this.#beyond.length === 0 ? possible : [...possible, ...this.#beyond.map((t) => key.taxa[t] as Taxon)],
    );
    const warnings: Warning[] = [];
    for (const warning of this.#scopes()) warnings.push(warning);
    for (const warning of this.evidence.warnings) warnings.push(warning);
    const kinds = this.evidence.disagree.length > 0 ? kindsApart(key, collection) : undefined;
    const mixed = kinds !== undefined;
    if (kinds !== undefined)
      warnings.push({
        kind: 'two-species',
        message: twoKinds(kinds),
      });
    if (possible.length === 0)
      warnings.push({
        kind: 'fits-nothing',
        message:
          'fits nothing in this key; look again at what speaks against the nearest ends, or try another key',
      });
    else if (harmful.length > 0) warnHarmfulNear(harmful, warnings);
    warnFarOutside(key, this.evidence, possible, warnings);
    warnDuties(possible, warnings);
    this.warnings = warnings;
    const { name, qualifier } = nameFor(possible, key.chain.taxa, open, mixed);
    this.name = name;
    this.qualifier = qualifier;
  }

  get further(): readonly FurtherTaxon[] {
    this.#further ??= furtherTaxa(this.key, this.collection, this.evidence, this.#beyond);
    return this.#further;
  }

  get openSpecimens(): readonly OpenSpecimen[] {
    this.#openSpecimens ??= openSpecimens(this.key, this.collection, this.evidence, this.possible);
    return this.#openSpecimens;
  }

  get candidates(): readonly Candidate[] {
    return this.#inDetail().candidates;
  }

  get near(): readonly Candidate[] {
    return this.#inDetail().near;
  }

  #walked(slips: number, grave = false): Walk {
    const walk = this.#walk ?? new Walk(this.key);
    walk.follow(this.evidence, slips, grave);
    return walk;
  }

  #inDetail(): { candidates: Candidate[]; near: Candidate[] } {
    if (this.#details === undefined) {
      const { candidates: reached, near } = this.#walked(this.#slips).results();
      const candidates = reached.filter((c) => this.possible.includes(c.taxon));
      const nearest =
        candidates.length === 0 && near.length === 0
          ? fewestSlips(this.#walked(MOST_SLIPS).results().near)
          : near;
      nearest.sort((a, b) => a.slips - b.slips || severity(a.taxon) - severity(b.taxon));
      this.#details = { candidates, near: nearest };
    }
    return this.#details;
  }

  /** Scope warnings of the main key and of every other key that an end lies in. */
  #scopes(): readonly Warning[] {
    const { main, keys } = this.key.chain;
    if (keys.length === 1) return scopeWarnings(main, this.collection);
    const own = scopeWarnings(main, this.collection);
    const seen = new Set(own.map((w) => w.message));
    const others = keys
      .filter((k) => k !== main)
      .map((k) => ({
        key: k.id,
        warnings: scopeWarnings(k, this.collection).filter((w) => !seen.has(w.message)),
      }))
      .filter((k) => k.warnings.length > 0);
    if (others.length === 0) return own;
    const { candidates, near } = this.#inDetail();
    const reached = candidates.length > 0 ? candidates : near;
    const used = new Set(reached.flatMap((c) => c.ends.map((e) => e.key)));
    return [...own, ...others.filter((k) => used.has(k.key)).flatMap((k) => k.warnings)];
  }
}

function fewestSlips(near: readonly Candidate[]): Candidate[] {
  const least = Math.min(...near.map((n) => n.slips));
  return near.filter((n) => n.slips === least);
}

/**
 * What the specimens of a collection may be, each on its own, where they have no candidate in common; undefined where they
 * may be one taxon.
 */
function kindsApart(key: CompiledKey, collection: Collection): readonly SpecimenKinds[] | undefined {
  const walk = new Walk(key);
  const kinds = specimensOf(collection)
    .sort(byCodeUnit)
    .flatMap((specimen): SpecimenKinds[] => {
      walk.follow(gatherEvidence(key, onSpecimen(collection, specimen)), 0);
      const taxa = walk.reached.map((t) => key.taxa[t] as Taxon);
      // That a specimen fits nothing does not show that it is another species.
      return taxa.length === 0 ? [] : [{ specimen, taxa: taxa.sort((a, b) => severity(a) - severity(b)) }];
    });
  const [first, ...others] = kinds;
  if (first === undefined) return undefined;
  return first.taxa.some((t) => others.every((o) => o.taxa.includes(t))) ? undefined : kinds;
}

interface SpecimenKinds {
  readonly specimen: string;
  /** The worst first. */
  readonly taxa: readonly Taxon[];
}

/** `two species in one basket? a may be X (deadly) or another, b may be Y; determine them apart`. */
function twoKinds(kinds: readonly SpecimenKinds[]): string {
  const each = kinds.map(({ specimen, taxa }) => {
    const [worst, ...others] = taxa;
    const level = worst === undefined || !isHarmful(worst.concern.level) ? '' : ` (${worst.concern.level})`;
    const more =
      others.length === 0 ? '' : ` or ${others.length === 1 ? 'one other' : `${others.length} others`}`;
    return `${specimen} may be ${worst?.name}${level}${more}`;
  });
  return `two species in one basket? ${each.join(', ')}; determine them apart`;
}

/** A deadly or severe taxon that one wrong observation hides. */
interface HarmfulNear {
  readonly taxon: Taxon;
  readonly against: Against;
}

function warnHarmfulNear(near: HarmfulNear[], warnings: Warning[]): void {
  if (near.length > 1) near.sort((a, b) => severity(a.taxon) - severity(b.taxon));
  for (const { taxon, against } of near) {
    const { characters, answers } = against;
    const again =
      answers.length === 0 ? characters : [...characters, ...answers.map((label) => `answer ${label}`)];
    warnings.push({
      kind: 'harmful-near',
      message: `${taxon.name} (${taxon.concern.level}) is one slip away: look again at ${listed(again)}`,
      characters,
    });
  }
}

function warnDuties(possible: readonly Taxon[], warnings: Warning[]): void {
  for (const taxon of possible)
    for (const d of taxon.duties)
      warnings.push({
        kind: 'duty',
        message: `${taxon.name} is recorded as ${d.kind}${d.note === undefined ? '' : ` (${d.note})`}; check your local rules`,
      });
}
