import type { Taxon } from '../key/key.js';
import { endangers, severity } from '../key/severity.js';
import { listed } from '../text/words.js';
import type { Collection } from '../traits/collection.js';
import type { CompiledKey } from './compile.js';
import { type Evidence, gatherEvidence } from './evidence.js';
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
  readonly further: readonly FurtherTaxon[] = [];
  readonly openSpecimens: readonly OpenSpecimen[] = [];
  readonly #slips: number;
  /** Where undefined, one is made each time: kept in every determination, they would take much room. */
  readonly #walk: Walk | undefined;
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
    const possible: Taxon[] = [];
    const harmful: HarmfulNear[] = [];
    let open = false;
    for (let n = 0; n < walk.taxaReached; n++) {
      const number = walk.taxonReached(n);
      const taxon = key.taxa[number] as Taxon;
      if (walk.slipsTo(number) === 0) {
        possible.push(taxon);
        open = walk.openTo(number) > 0;
      } else if (endangers(taxon)) harmful.push({ taxon, against: walk.against(number) });
    }
    this.possible = possible;
    this.verdict = verdictOn(possible);
    this.undecided = possible.length > 1 || (possible.length === 1 && open) ? walk.undecided() : NOTHING_OPEN;
    // From here on the walk may be used for other finds.
    const warnings: Warning[] = [];
    for (const warning of this.#scopes()) warnings.push(warning);
    for (const warning of this.evidence.warnings) warnings.push(warning);
    const mixed = this.evidence.disagree.length > 0 && shareNoTaxon(key, collection);
    if (mixed)
      warnings.push({
        kind: 'two-species',
        message: 'two species in one basket? the specimens run to different ends; determine them apart',
      });
    if (possible.length === 0)
      warnings.push({
        kind: 'fits-nothing',
        message:
          'fits nothing in this key; look again at what speaks against the nearest ends, or try another key',
      });
    else if (harmful.length > 0) warnHarmfulNear(harmful, warnings);
    warnDuties(possible, warnings);
    this.warnings = warnings;
    const { name, qualifier } = nameFor(possible, key.chain.taxa, open, mixed);
    this.name = name;
    this.qualifier = qualifier;
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
      const { candidates, near } = this.#walked(this.#slips).results();
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

/** Whether the specimens of a collection, each on its own, have no candidate in common. */
function shareNoTaxon(key: CompiledKey, collection: Collection): boolean {
  const specimens = new Set(collection.observations.flatMap((o) => o.specimen ?? []));
  let common: Set<string> | undefined;
  for (const specimen of specimens) {
    const observations = collection.observations.filter(
      (o) => o.specimen === undefined || o.specimen === specimen,
    );
    const walk = new Walk(key, gatherEvidence(key, { ...collection, observations }), 0);
    const taxa = walk.results().candidates.map((c) => c.taxon.id);
    // That a specimen fits nothing does not show that it is another species.
    if (taxa.length === 0) continue;
    const before: Set<string> | undefined = common;
    common = new Set(before === undefined ? taxa : taxa.filter((t) => before.has(t)));
  }
  return common !== undefined && common.size === 0;
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
