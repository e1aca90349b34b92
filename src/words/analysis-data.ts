import type { Analysis } from '../analysis/analysis.js';
import type { RuledOut } from '../analysis/decision.js';
import type { Fit } from '../analysis/fit.js';
import type { Next, NextCharacter } from '../analysis/next-characters.js';
import type { Reliance } from '../analysis/reliance.js';
import type { SpecimenComparison } from '../analysis/specimens.js';
import type { WhatIf } from '../analysis/what-if.js';
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
  /** What it may show, and the ids of the taxa that are left then. */
  readonly outcomes: readonly { readonly shows: string; readonly left: readonly string[] }[];
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

/** An analysis as it is written for programs: the order of the properties is part of the format. */
export interface AnalysisData {
  /** What can be decided, and what stands between the find and every harmful taxon. */
  readonly decision: object;
  /** By candidate, how its description fits. */
  readonly fit: readonly object[];
  /** By candidate, what it rests on. */
  readonly reliance: readonly object[];
  /** Single wrong observations and answers, and what the find could be then. */
  readonly doubts: readonly object[];
  /** Taxa that two wrong observations hide. */
  readonly twoSlips: object;
  /** What would tell more. */
  readonly next: NextData;
  /** The specimens beside each other; null for one specimen. */
  readonly specimens: object | null;
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

function ruledOutData({ taxon, strength, by, answers, at, weak }: RuledOut): object {
  return { ...named(taxon), strength, characters: by, answers, lead: at ?? null, weak };
}

function fitData(fit: Fit): object {
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

function relianceData(taxon: string, r: Reliance): object {
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

function whatIfData({ character, answer, likely, ends }: WhatIf): object {
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

function specimensData(study: SpecimenComparison): object {
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
