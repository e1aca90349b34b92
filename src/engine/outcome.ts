import type { ConcernLevel, Taxon } from '../key/key.js';

/** Something the user should know about a result. */
export interface Warning {
  /** What it is about. */
  readonly kind:
    | 'wrong-age'
    | 'specimens-disagree'
    | 'two-species'
    | 'contradiction'
    | 'out-of-scope'
    | 'fits-nothing'
    | 'harmful-near'
    | 'far-outside'
    | 'duty';
  /** One sentence. */
  readonly message: string;
  /** The ids of the characters to look at again; absent where it is not about any. */
  readonly characters?: readonly string[];
}

/** An end of a key: the lead that names the taxon. */
export interface EndPoint {
  /** The id of the key it stands in. */
  readonly key: string;
  /** The couplet in that key. */
  readonly couplet: string;
  /** The letter of the lead. */
  readonly lead: string;
}

/** A taxon that the evidence allows (`slips` 0), or would allow if some characters had been read differently. */
export interface Candidate {
  readonly taxon: Taxon;
  /** Where the taxon is keyed out, the end with the fewest slips first. */
  readonly ends: readonly EndPoint[];
  /** The leads to the first end: `1a`, `2b`; in a chained key `key-id/1a`. */
  readonly path: readonly string[];
  readonly slips: number;
  /** How many leads of the path the evidence does not decide. */
  readonly open: number;
  /** The characters that speak against it, to be looked at again; empty for candidates. */
  readonly recheck: readonly string[];
  /** The answers (labels of leads taken by a person) that speak against it. */
  readonly reconsider: readonly string[];
}

/** What may be concluded of a find, by the worst that it may be. It never clears one. */
export interface Verdict {
  /** Never more than that a find is to be left, or that it is not cleared. */
  readonly word: 'leave it' | 'not cleared';
  /** The worst recorded concern among the candidates and all that is possible at worst. */
  readonly worst: ConcernLevel;
  /** Whether each of these is to be left, so that more keying cannot change the verdict. */
  readonly settled: boolean;
}

/**
 * A taxon that the find as a whole rules out, and that is possible all the same: if an answer or observation that the
 * person doubted is wrong, or on a specimen that by itself was not looked at well enough.
 */
export interface FurtherTaxon {
  readonly taxon: Taxon;
  /** The doubted answers (labels of leads) and characters (ids) without which it is possible; empty when no doubt is behind it. */
  readonly doubted: readonly string[];
  /** The specimens that may be it; empty when it is possible only by a doubt on the whole find. */
  readonly specimens: readonly string[];
}

/** A specimen on which more is possible than on the find as a whole, and what was not looked at on it. */
export interface OpenSpecimen {
  readonly specimen: string;
  /** What it may be besides the candidates, the worst first. */
  readonly taxa: readonly Taxon[];
  /** The ids of the characters that it could show at its age, that nobody looked at on it, and that would decide more. */
  readonly unseen: readonly string[];
}

/** What speaks against a taxon: characters, and answers that a person gave. */
export interface Against {
  readonly characters: readonly string[];
  readonly answers: readonly string[];
}

/** What would decide more: characters not known well enough, and couplets that only a person can decide. */
export interface Undecided {
  /** Ids. */
  readonly characters: readonly string[];
  /** Names. */
  readonly couplets: readonly string[];
}

/** The result of following a collection through a key. */
export interface Outcome {
  /** The taxa of the candidates, in the order of the key. */
  readonly possible: readonly Taxon[];
  readonly candidates: readonly Candidate[];
  /** What else is possible when the worst is kept: by doubts, and specimen by specimen. It counts for the verdict, not for the name. */
  readonly further: readonly FurtherTaxon[];
  /** The specimens that leave more possible than the find as a whole, in the order of the find. */
  readonly openSpecimens: readonly OpenSpecimen[];
  /** Ends one slip away (or as many as were asked for), harmful ones first. */
  readonly near: readonly Candidate[];
  readonly verdict: Verdict;
  /** What would separate the candidates, or confirm a single one; empty when nothing is left open. */
  readonly undecided: Undecided;
  /** The lowest name that holds for all candidates; undefined when there is none. */
  readonly name: string | undefined;
  /** `cf.`, `sp.`, `spp.` or `indet.`, never part of the name. */
  readonly qualifier: string | undefined;
}
