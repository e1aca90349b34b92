import type { Analysis } from '../analysis/analysis.js';
import type { RuledOut } from '../analysis/decision.js';
import type { Fit } from '../analysis/fit.js';
import type { Next, NextCharacter } from '../analysis/next-characters.js';
import type { Reliance } from '../analysis/reliance.js';
import type { SpecimenComparison } from '../analysis/specimens.js';
import type { WhatIf } from '../analysis/what-if.js';
import type { Taxon } from '../key/key.js';
import { isHarmful } from '../key/severity.js';

type WithIds = readonly { readonly id: string }[];

const ids = (items: WithIds): string[] => items.map((i) => i.id);

/** Four decimals are more than the precision of any of these numbers. */
const round = (n: number): number => Math.round(n * 10_000) / 10_000;

const named = ({ id, name, concern }: Taxon) => ({ taxon: id, name, concern: concern.level });

/** An analysis as it is written for programs: the order of the properties is part of the format. */
export interface AnalysisData {
  readonly decision: object;
  readonly fit: readonly object[];
  readonly reliance: readonly object[];
  readonly doubts: readonly object[];
  readonly twoSlips: object;
  readonly next: object;
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

function nextData({ among, pairs, decisivePairs, looks, couplets }: Next): object {
  return { among: ids(among), pairs, decisivePairs, looks: looks.map(nextCharacterData), couplets };
}

function nextCharacterData(look: NextCharacter): object {
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
