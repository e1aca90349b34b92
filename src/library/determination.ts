import { agreementOf, SameTaxa } from '../analysis/agreement.js';
import { analyse as analyseFound } from '../analysis/analysis.js';
import type { AnalysisOptions } from '../analysis/next-characters.js';
import type { Determination as Determined } from '../engine/determine.js';
import type { EndPoint, Undecided, Verdict, Warning } from '../engine/outcome.js';
import { defined } from '../text/optional.js';
import { type AnalysisData, analysisData } from '../words/analysis-data.js';
import { type Result, resultOf } from '../words/results.js';
import { type Key, keyOf, type Taxon } from './key.js';

/** A taxon that the evidence allows (`slips` 0), or would allow if some characters had been read otherwise. */
export interface Candidate {
  /** What it is. */
  readonly taxon: Taxon;
  /** Where the taxon is keyed out, the end with the fewest slips first. */
  readonly ends: readonly EndPoint[];
  /** The labels of the leads to the first end: `1a`, `2b`; in a chained key `key-id/1a`. */
  readonly path: readonly string[];
  /** How many wrong observations it would take to be this taxon. */
  readonly slips: number;
  /** How many leads of the path the evidence does not decide. */
  readonly open: number;
  /** The ids of the characters that speak against it, to be looked at again; empty for what is possible. */
  readonly recheck: readonly string[];
  /** The labels of leads taken by a person that speak against it; empty for what is possible. */
  readonly reconsider: readonly string[];
}

/** A taxon that the find as a whole rules out, and that is possible all the same. */
export interface FurtherTaxon {
  /** What it is. */
  readonly taxon: Taxon;
  /** The labels of the answers and the ids of the characters without which it is possible; empty where no doubt is behind it. */
  readonly doubted: readonly string[];
  /** The specimens that may be it; empty where it is possible only by a doubt on the whole find. */
  readonly specimens: readonly string[];
}

/** A specimen that leaves more possible than the find as a whole does. */
export interface OpenSpecimen {
  /** What it is called. */
  readonly specimen: string;
  /** What it may be besides what the whole find may be, the worst first. */
  readonly taxa: readonly Taxon[];
  /** The ids of the characters that it could show at its age, that are not known of it, and that would decide more. */
  readonly unseen: readonly string[];
}

/** What a find was determined as with a key. It only comes from this library. */
export interface Determination {
  /** With which it was made. */
  readonly key: Key;
  /** The id of the find. */
  readonly id: string;
  /** The lowest name that holds for all that is possible; undefined when there is none. */
  readonly name: string | undefined;
  /** `cf.`, `sp.`, `spp.` or `indet.`, never part of the name; undefined where the name needs none. */
  readonly qualifier: string | undefined;
  /** The taxa that the find may be, in the order of the key; empty when it fits nothing. */
  readonly possible: readonly Taxon[];
  /** The same with the ways to them; worked out when first asked for. */
  readonly candidates: readonly Candidate[];
  /** Taxa some slips away, harmful ones first. */
  readonly near: readonly Candidate[];
  /** What else is possible at worst, by what was doubted and specimen by specimen; worked out when first asked for. */
  readonly further: readonly FurtherTaxon[];
  /** The specimens that by themselves leave more possible than the find as a whole. */
  readonly openSpecimens: readonly OpenSpecimen[];
  /** By the worst of all that is possible, also at worst; it never says that a find is harmless. */
  readonly verdict: Verdict;
  /** What would separate the candidates; empty when nothing is left open. */
  readonly undecided: Undecided;
  /** To be shown with the result; empty when there are none. */
  readonly warnings: readonly Warning[];
}

/** A determination as users see it. */
class OpaqueDetermination implements Determination {
  readonly #found: Determined;

  constructor(found: Determined) {
    this.#found = found;
  }

  static innards(found: Determination): Determined {
    if (!(found instanceof OpaqueDetermination))
      throw new TypeError('a determination only comes from identify, identifyTable or identifyArchive');
    return found.#found;
  }

  get key(): Key {
    return keyOf(this.#found.key);
  }

  get id(): string {
    return this.#found.collection.id;
  }

  get name(): string | undefined {
    return this.#found.name;
  }

  get qualifier(): string | undefined {
    return this.#found.qualifier;
  }

  get possible(): readonly Taxon[] {
    return this.#found.possible;
  }

  get candidates(): readonly Candidate[] {
    return this.#found.candidates;
  }

  get near(): readonly Candidate[] {
    return this.#found.near;
  }

  get further(): readonly FurtherTaxon[] {
    return this.#found.further;
  }

  get openSpecimens(): readonly OpenSpecimen[] {
    return this.#found.openSpecimens;
  }

  get verdict(): Verdict {
    return this.#found.verdict;
  }

  get undecided(): Undecided {
    return this.#found.undecided;
  }

  get warnings(): readonly Warning[] {
    return this.#found.warnings;
  }
}

/** A determination of the engine for users. */
export function determinationOf(found: Determined): Determination {
  return new OpaqueDetermination(found);
}

/** What the engine knows of a determination. Throws a TypeError for what is none of this library. */
export const determinedOf: (found: Determination) => Determined = OpaqueDetermination.innards;

/**
 * What to make of a determination: how sure it is, what if something was misread, what to look at next. Plain data, with
 * the ids of taxa and characters. Nothing of it changes the determination.
 */
export function analyse(found: Determination, options: AnalysisOptions = {}): AnalysisData {
  return analysisData(analyseFound(determinedOf(found), options));
}

/** How a determination is written. */
export interface ResultOptions {
  /** With its analysis, as `identify --full` has it. Default false. */
  readonly full?: boolean;
}

/** A determination as the plain object that `keywright identify --format ndjson` writes, a line each. */
export function asResult(found: Determination, options: ResultOptions = {}): Result {
  const own = determinedOf(found);
  const analysis = options.full === true ? analyseFound(own) : undefined;
  return resultOf({ kind: 'found', found: own, ...defined({ analysis }) }, own.key);
}

/** Where the way in one key leaves the way to a taxon that another key names. */
export interface KeyParting {
  /** In which the way is left. */
  readonly key: Key;
  /** The name of the couplet. */
  readonly couplet: string;
  /** The letter of the lead that fails, and of those that do not. */
  readonly lead: string;
  /** The letters of the leads that do not fail; empty when all do. */
  readonly taken: readonly string[];
  /** The taxon of this key beyond the failing lead, and the key that named it. */
  readonly taxon: Taxon;
  /** The key that names the taxon. */
  readonly namedBy: Key;
  /** The ids of the characters that speak against the lead; an answer of a person as `answer 7b`. */
  readonly characters: readonly string[];
}

/** What a key does not hold of what other keys name. */
export interface KeyLacks {
  /** The key that lacks them. */
  readonly key: Key;
  /** The candidates of other keys that it does not hold at all. */
  readonly taxa: readonly Taxon[];
}

/** A taxon that a key calls by another name than the first key that has it. */
export interface OtherName {
  /** The key with the other name. */
  readonly key: Key;
  /** The name in this key. */
  readonly name: string;
  /** The name in the first key that has the taxon. */
  readonly as: string;
}

/** What several keys make of one find. */
export interface Agreement {
  /**
   * `agree`: the same candidates; `overlap`: some in common, or one key is more exact than another; `disagree`: none in
   * common; `nothing fits`: in none of the keys; `not comparable`: a key has no taxon in common with the others, none
   * holds what the others name, or one knows nothing that was seen of the find.
   */
  readonly word: 'agree' | 'overlap' | 'disagree' | 'nothing fits' | 'not comparable';
  /** The taxa that every key leaves, by their names in the first key that has them; empty when there are none. */
  readonly common: readonly Taxon[];
  /** The taxa that any key leaves. */
  readonly all: readonly Taxon[];
  /** The lowest taxon that holds all of them; undefined when there is none. */
  readonly lowest: Taxon | undefined;
  /** By key, the first couplet that leads away from what the others name; empty where they agree. */
  readonly partings: readonly KeyParting[];
  /** By key, what it lacks; empty where every key holds all candidates. */
  readonly lacking: readonly KeyLacks[];
  /** Taxa that a key calls by another name than the first key that has them. */
  readonly otherNames: readonly OtherName[];
  /** By the worst that any of the keys leaves. */
  readonly verdict: Verdict;
}

/**
 * Compares what several keys make of one find: its determinations, one of each key. Taxa of different keys are one by id,
 * name or synonym.
 */
export function compare(determinations: readonly Determination[]): Agreement {
  const found = determinations.map(determinedOf);
  const { word, common, all, lowest, partings, lacking, otherNames, verdict } = agreementOf(
    found,
    new SameTaxa(found.map((d) => d.key)),
  );
  return {
    word,
    common,
    all,
    lowest,
    partings: partings.map((p) => ({ ...p, key: keyOf(p.key), namedBy: keyOf(p.namedBy) })),
    lacking: lacking.map((l) => ({ ...l, key: keyOf(l.key) })),
    otherNames: otherNames.map((o) => ({ ...o, key: keyOf(o.key) })),
    verdict,
  };
}
