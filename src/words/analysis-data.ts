import type { Analysis } from '../analysis/analysis.js';
import type { RuledOut, Strength } from '../analysis/decision.js';
import type { Fit, RelativeFit } from '../analysis/fit.js';
import type { Next, NextCharacter } from '../analysis/next-characters.js';
import type { Reliance } from '../analysis/reliance.js';
import type { SpecimenComparison } from '../analysis/specimens.js';
import type { WhatIf } from '../analysis/what-if.js';
import type { Verdict } from '../engine/outcome.js';
import type { ConcernLevel, Taxon } from '../key/key.js';
import { isHarmful } from '../key/severity.js';

type WithIds = readonly { readonly id: string }[];

const ids = (items: WithIds): string[] => items.map((i) => i.id);

/** Four decimals are more than the precision of any of these numbers can bear. */
const round = (n: number): number => Math.round(n * 10_000) / 10_000;

const named = ({ id, name, concern }: Taxon): TaxonData => ({ taxon: id, name, concern: concern.level });

/** A taxon as it is written for programs. */
export interface TaxonData {
  /** Its id. */
  readonly taxon: string;
  /** Without authority. */
  readonly name: string;
  /** The worst recorded effect. */
  readonly concern: ConcernLevel;
}

/** One thing that a character may show. */
export interface LookOutcome {
  /** In words. */
  readonly shows: string;
  /** The ids of the taxa that are left then. */
  readonly left: readonly string[];
}

/** A character to look at next. */
export interface LookData {
  /** Its id. */
  readonly character: string;
  /** Never looked at, looked at in vain, or known only in part. */
  readonly seen: 'no' | 'in vain' | 'in part';
  /** Whether it can be looked at now, only after a wait, or only on another age. */
  readonly when: 'now' | 'tonight' | 'another age';
  /** Must be seen fresh. */
  readonly fresh: boolean;
  /** 1 (a glance) to 10. */
  readonly effort: number;
  /** The minutes before it can be read; 0 where there is no wait. */
  readonly waitMinutes: number;
  /** The ages that can show it; empty for any. */
  readonly stages: readonly string[];
  /** How many pairs of taxa it parts for certain. */
  readonly pairs: number;
  /** How many of these are pairs of a harmful taxon and another. */
  readonly decisivePairs: number;
  /** In bits. */
  readonly information: number;
  /** How many taxa are left after it, on average. */
  readonly expectedLeft: number;
  /** Bits for one unit of effort. */
  readonly perEffort: number;
  /** The effort to a name when it is looked at next. */
  readonly finish: number;
  /** What it may show, and what is left then. */
  readonly outcomes: readonly LookOutcome[];
}

/** What to look at next. */
export interface NextData {
  /** The ids of the taxa to be told apart. */
  readonly among: readonly string[];
  /** How many pairs these make. */
  readonly pairs: number;
  /** How many of these are pairs of a harmful taxon and another. */
  readonly decisivePairs: number;
  /** Best first; empty where no character parts them. */
  readonly looks: readonly LookData[];
  /** The names of couplets that need a person's judgement. */
  readonly couplets: readonly string[];
}

/** A harmful taxon that is a member of a candidate that is a group. */
export interface MemberData extends TaxonData {
  /** The id of the group. */
  readonly group: string;
}

/** A harmful taxon of the key that is not a candidate, and what rules it out. */
export interface RuledOutData extends TaxonData {
  /** How firmly; an observation is weak for the reasons in `weak`. */
  readonly strength: Strength;
  /** The ids of the characters that rule it out; empty where answers alone do. */
  readonly characters: readonly string[];
  /** The labels of the leads taken by a person that rule it out; empty where characters alone do. */
  readonly answers: readonly string[];
  /** The label of the first lead on the way to it that fails; null where more than one observation rules it out. */
  readonly lead: string | null;
  /** Why the one observation is weak, in phrases; empty where nothing says so. */
  readonly weak: readonly string[];
}

/** What can be decided, by the worst of all that is still possible. */
export interface DecisionData {
  /** What the verdict could turn to with more keying. It never clears a find. */
  readonly moreKeying: 'changes nothing' | 'to not cleared' | 'to leave it';
  /** Harmful members of candidates that are groups; empty where there are none. */
  readonly members: readonly MemberData[];
  /** The harmful taxa that one or two observations rule out, the least firmly ruled out first. */
  readonly ruledOut: readonly RuledOutData[];
  /** How many harmful taxa of the key three or more observations rule out. */
  readonly ruledOutByMore: number;
  /** Why the find may not be in this key, in sentences; never empty. */
  readonly notInKey: readonly string[];
}

/** A taxon that is no candidate but is easily taken for one, compared with it. */
export interface LookAlikeData extends TaxonData {
  /** How it fits beside the candidate. */
  readonly fits: RelativeFit;
  /** Over how many characters: those seen on the find by which both are described. */
  readonly compared: number;
  /** The ids of the characters that speak for it and against the candidate. */
  readonly speaks: readonly string[];
}

/** How the find fits the description of one candidate, also in characters that the key did not ask. */
export interface FitData {
  /** The id of the candidate. */
  readonly taxon: string;
  /** The ids of the characters in which find and description agree. */
  readonly agrees: readonly string[];
  /** The ids of those in which they contradict each other. */
  readonly differs: readonly string[];
  /** The ids of those in which some of what was seen agrees and some does not, or it is open which of several was seen. */
  readonly partly: readonly string[];
  /** The ids of those described but not seen on the find. */
  readonly unseen: readonly string[];
  /** The ids of those seen on the find but not described. */
  readonly undescribed: readonly string[];
  /** The month of the find (1-12) where it is not among those stated for the taxon; null where it is, or either is not stated. */
  readonly outOfSeason: number | null;
  /** Empty where the key names none. */
  readonly lookAlikes: readonly LookAlikeData[];
}

/** The observations that one candidate rests on, and how often some of them are read wrong. */
export interface RelianceData {
  /** The id of the candidate. */
  readonly taxon: string;
  /** The ids of the characters that decide the leads on the way to it, each once. */
  readonly characters: readonly string[];
  /** How many leads without a condition a person took. */
  readonly answers: number;
  /** How many of the characters state no reliability; they count with the measured mean. */
  readonly unstated: number;
  /** The chance (0-1) that at least one of all these is wrong. */
  readonly someWrong: number;
  /** The chance (0-1) that at least two are. */
  readonly severalWrong: number;
}

/** A taxon that the find could be if one observation or answer was wrong. */
export interface DoubtEndData extends TaxonData {
  /** The label of the lead that rules it out. */
  readonly lead: string;
  /** How the rest of the evidence fits it beside the candidates; where there are none, beside the other such taxa. */
  readonly fits: RelativeFit;
}

/** One observation or answer, and what the find could be if it was wrong. */
export interface DoubtData {
  /** The id of the character; null for an answer. */
  readonly character: string | null;
  /** The label of the lead that a person took; null for an observation. */
  readonly answer: string | null;
  /** Why it is likelier to be wrong than others, in phrases; empty where nothing says so. */
  readonly likely: readonly string[];
  /** Harmful taxa first; never empty. */
  readonly ends: readonly DoubtEndData[];
}

/** A harmful taxon that the find could be if two observations or answers were wrong. */
export interface TwoSlipsTaxonData extends TaxonData {
  /** The ids of the characters that speak against it. */
  readonly recheck: readonly string[];
  /** The labels of the leads taken by a person that speak against it. */
  readonly answers: readonly string[];
}

/** The taxa that the find could be if two observations or answers were wrong. */
export interface TwoSlipsData {
  /** The worst first. */
  readonly harmful: readonly TwoSlipsTaxonData[];
  /** The ids of all others. */
  readonly others: readonly string[];
}

/** What one specimen is by itself. */
export interface SpecimenData {
  /** Its id. */
  readonly specimen: string;
  /** The ages stated for it; empty where none is. */
  readonly stages: readonly string[];
  /** The lowest name that holds for all that it may be; null where there is none. */
  readonly name: string | null;
  /** `cf.`, `sp.`, `spp.` or `indet.`; null where the name needs none. */
  readonly qualifier: string | null;
  /** The ids of the taxa that it may be; empty where it fits nothing. */
  readonly candidates: readonly string[];
  /** By the worst of these. */
  readonly verdict: Verdict;
}

/** What one specimen shows of a character. */
export interface ShownData {
  /** The id of the specimen. */
  readonly specimen: string;
  /** In the notation of tables. */
  readonly value: string;
}

/** A character in which specimens contradict each other. */
export interface ConflictData {
  /** Its id. */
  readonly character: string;
  /** One for each specimen on which it was seen. */
  readonly shown: readonly ShownData[];
  /** Whether a taxon that all specimens may be is described to vary in it. */
  readonly varies: boolean;
}

/** Specimens that may be one taxon. */
export interface SpecimenSetData {
  /** Their ids. */
  readonly specimens: readonly string[];
  /** The ids of the taxa that all of them may be. */
  readonly candidates: readonly string[];
}

/** The specimens of a find beside each other. */
export interface SpecimensData {
  /** One for each specimen, in the order of the find. */
  readonly each: readonly SpecimenData[];
  /** Empty where they agree. */
  readonly conflicts: readonly ConflictData[];
  /** Sets of specimens, each of which may be one taxon that the others are not; a single set where all may be one. */
  readonly sets: readonly SpecimenSetData[];
  /** The ids of specimens that suit several of the sets. */
  readonly either: readonly string[];
  /** The ids of specimens that by themselves fit nothing in the key; they are in no set. */
  readonly nothing: readonly string[];
  /** Groups of specimens, by their ids, that share no character seen on both; empty where all are connected. */
  readonly unconnected: readonly (readonly string[])[];
}

/** An analysis as it is written for programs: the order of the properties is part of the format. */
export interface AnalysisData {
  /** What can be decided, and what stands between the find and every harmful taxon. */
  readonly decision: DecisionData;
  /** How the description of each candidate fits, in their order; empty where nothing fits the find. */
  readonly fit: readonly FitData[];
  /** What each candidate rests on, in their order; empty where nothing fits the find. */
  readonly reliance: readonly RelianceData[];
  /** Single observations and answers that may be wrong, those that hide the worst taxa first. */
  readonly doubts: readonly DoubtData[];
  /** Taxa that two wrong observations hide. */
  readonly twoSlips: TwoSlipsData;
  /** What would tell more. */
  readonly next: NextData;
  /** The specimens beside each other; null where fewer than two have observations of their own. */
  readonly specimens: SpecimensData | null;
}

/** An analysis as plain data. */
export function analysisData(analysis: Analysis): AnalysisData {
  const { found, fits, reliances, doubts, next, decision, specimens } = analysis;
  return {
    decision: {
      moreKeying: decision.moreKeying,
      members: decision.members.map(({ group, taxon }) => ({ group: group.id, ...named(taxon) })),
      ruledOut: decision.ruledOut.map(ruledOutData),
      ruledOutByMore: decision.ruledOutByMore,
      notInKey: decision.notInKey,
    },
    fit: fits.map(fitData),
    reliance: reliances.map((r, i) => relianceData(found.possible[i]?.id ?? '', r)),
    doubts: doubts.one.map(whatIfData),
    twoSlips: {
      harmful: doubts.two
        .filter(({ taxon }) => isHarmful(taxon.concern.level))
        .map(({ taxon, recheck, reconsider }) => ({ ...named(taxon), recheck, answers: reconsider })),
      others: ids(doubts.two.filter(({ taxon }) => !isHarmful(taxon.concern.level)).map((t) => t.taxon)),
    },
    next: nextData(next),
    specimens: specimens === undefined ? null : specimensData(specimens),
  };
}

function ruledOutData({ taxon, strength, by, answers, at, weak }: RuledOut): RuledOutData {
  return { ...named(taxon), strength, characters: by, answers, lead: at ?? null, weak };
}

function fitData(fit: Fit): FitData {
  return {
    taxon: fit.taxon.id,
    agrees: ids(fit.agrees),
    differs: ids(fit.differs),
    partly: ids(fit.partly),
    unseen: ids(fit.unseen),
    undescribed: ids(fit.undescribed),
    outOfSeason: fit.outOfSeason ?? null,
    lookAlikes: fit.lookAlikes.map(({ taxon, fits, compared, speaks }) => ({
      ...named(taxon),
      fits,
      compared,
      speaks: ids(speaks),
    })),
  };
}

function relianceData(taxon: string, r: Reliance): RelianceData {
  return {
    taxon,
    characters: ids(r.characters),
    answers: r.answers,
    unstated: r.unstated,
    // Given as the chance of an error: a chance of being right would be read as permission to trust it.
    someWrong: round(1 - r.allRight),
    severalWrong: round(Math.max(0, 1 - r.oneWrong)),
  };
}

function whatIfData({ character, answer, likely, ends }: WhatIf): DoubtData {
  return {
    character: character?.id ?? null,
    answer: answer ?? null,
    likely,
    ends: ends.map(({ taxon, at, fits }) => ({ ...named(taxon), lead: at, fits })),
  };
}

function nextData({ among, pairs, decisivePairs, looks, couplets }: Next): NextData {
  return { among: ids(among), pairs, decisivePairs, looks: looks.map(nextCharacterData), couplets };
}

function nextCharacterData(look: NextCharacter): LookData {
  return {
    character: look.character.id,
    seen: look.seen,
    when: look.when,
    fresh: look.fresh,
    effort: look.character.effort,
    waitMinutes: look.waitMinutes,
    stages: look.character.stages,
    pairs: look.pairs,
    decisivePairs: look.decisivePairs,
    information: round(look.information),
    expectedLeft: round(look.expectedLeft),
    perEffort: round(look.perEffort),
    finish: round(look.finish),
    outcomes: look.outcomes.map(({ shows, left }) => ({ shows, left: ids(left) })),
  };
}

function specimensData(study: SpecimenComparison): SpecimensData {
  return {
    each: study.specimens.map(({ specimen, stages, found }) => ({
      specimen,
      stages,
      name: found.name ?? null,
      qualifier: found.qualifier ?? null,
      candidates: ids(found.possible),
      verdict: found.verdict,
    })),
    conflicts: study.conflicts.map(({ character, shown, varies }) => ({
      character: character.id,
      shown,
      varies,
    })),
    sets: study.sets.map(({ specimens, taxa }) => ({ specimens, candidates: ids(taxa) })),
    either: study.either,
    nothing: study.nothing,
    unconnected: study.unconnected,
  };
}
