import type { CompiledKey } from '../engine/compile.js';
import { OPEN } from '../engine/evaluate.js';
import type { Evidence } from '../engine/evidence.js';
import type { Visit } from '../engine/walk.js';
import type { Taxon } from '../key/key.js';
import { isHarmful } from '../key/severity.js';
import type { Character } from '../traits/character.js';
import type { Collection } from '../traits/collection.js';
import { readNumbers } from '../traits/notation.js';
import { findUnit } from '../traits/units.js';
import { type PossibleStates, possibleStates } from './possible-states.js';
import { costToFinish, decisivePairsOf, pairsOf, type StateFrequencies, separationOf } from './separation.js';
import { showableStates } from './showable-states.js';

/** When a character can be looked at: on the specimens at hand, after a wait, or only on one of another age. */
export type When = 'now' | 'tonight' | 'another age';

/** A character worth looking at, and how it would separate the taxa that are still to be told apart. */
export interface NextCharacter {
  readonly character: Character;
  /**
   * Why it is not settled: never looked at, looked at without result (`?` or from the wrong age), or known only in
   * part.
   */
  readonly seen: 'no' | 'in vain' | 'in part';
  readonly when: When;
  /** Must be seen fresh. */
  readonly fresh: boolean;
  /** The time before it can be read, in minutes. */
  readonly waitMinutes: number;
  /** Pairs of taxa that it separates for certain, and of those the pairs of a harmful taxon and another. */
  readonly pairs: number;
  readonly decisivePairs: number;
  readonly information: number;
  readonly expectedLeft: number;
  /** Information for one unit of effort. */
  readonly perEffort: number;
  /**
   * What naming the find would cost with this looked at first, an effort of 1 and a wait of a minute counting alike.
   */
  readonly finish: number;
  /** What it can show, how often, and how many of the taxa would be left. */
  readonly outcomes: readonly ExpectedOutcome[];
}

/** One thing that a look may show. */
interface ExpectedOutcome {
  readonly shows: string;
  readonly left: readonly Taxon[];
}

/** What to look at next. */
export interface Next {
  /** The taxa to be told apart: what is possible, also at worst; for a single one, also what one slip hides. */
  readonly among: readonly Taxon[];
  readonly pairs: number;
  readonly decisivePairs: number;
  /** Best first. Characters that separate nothing are left out. */
  readonly looks: readonly NextCharacter[];
  /** Couplets on the path that no character decides: they need a person's judgement. */
  readonly couplets: readonly string[];
}

/** What characters may be ranked by. Each prefers the character that comes first in its order. */
export const criteria = ['harm', 'pairs', 'information', 'left', 'effort', 'finish'] as const;
/** One of the criteria. */
export type Criterion = (typeof criteria)[number];

const ORDERS: Record<Criterion, (a: NextCharacter, b: NextCharacter) => number> = {
  harm: (a, b) => b.decisivePairs - a.decisivePairs,
  pairs: (a, b) => b.pairs - a.pairs,
  information: (a, b) => b.information - a.information,
  left: (a, b) => a.expectedLeft - b.expectedLeft,
  effort: (a, b) => b.perEffort - a.perEffort,
  finish: (a, b) => a.finish - b.finish,
};

/**
 * Harm first, then the least left, then the least cost to finish: no one criterion serves alone (Gower & Payne 1975).
 */
const DEFAULT_CRITERIA: readonly Criterion[] = ['harm', 'left', 'finish'];

/** How characters are ranked. */
export interface AnalysisOptions {
  /** The criteria in order; a later one breaks the ties of those before. */
  readonly by?: readonly Criterion[];
}

/**
 * Ranks the characters that are not known yet by how they would separate some taxa; `visits` are the couplets
 * that the evidence leads to without a slip. What a taxon can show comes from its description; where that is
 * silent, from the open leads on the paths to it. All taxa weigh the same: a common one must not make a rare
 * harmful one look unlikely.
 */
export function nextCharacters(
  key: CompiledKey,
  collection: Collection,
  evidence: Evidence,
  visits: readonly Visit[],
  among: readonly number[],
  options: AnalysisOptions = {},
): Next {
  const taxa = among.map((t) => key.taxa[t] as Taxon);
  const harmful = taxa.map((t) => isHarmful(t.concern.level));
  const harms = harmful.filter((h) => h).length;
  const couplets = visits
    .filter((v) =>
      v.couplet.leads.some((l, i) => l.check === undefined && !l.otherwise && v.truths[i] === OPEN),
    )
    .map((v) => v.couplet.name);
  const whole = {
    among: taxa,
    pairs: pairsOf(among.length),
    decisivePairs: decisivePairsOf(harms, among.length - harms),
    couplets,
  };
  if (among.length < 2) return { ...whole, looks: [] };
  const classes = possibleStates(key, evidence.known, visits, among);
  const shown = showableStates(key, evidence, visits, among, classes);
  const stepCost = usualCost(classes.map((c) => c.character));
  const looks: NextCharacter[] = [];
  classes.forEach((own, i) => {
    const look = rate(own, shown[i] ?? [], harmful, taxa, collection, stepCost);
    if (look.pairs > 0 || look.information > 1e-9) looks.push(look);
  });
  const by = options.by ?? DEFAULT_CRITERIA;
  looks.sort((a, b) => {
    for (const criterion of by) {
      const order = ORDERS[criterion](a, b);
      if (Math.abs(order) > 1e-9) return order;
    }
    return b.information - a.information || a.character.effort - b.character.effort;
  });
  return { ...whole, looks };
}

function rate(
  own: PossibleStates,
  shown: readonly Uint8Array[],
  harmful: readonly boolean[],
  taxa: readonly Taxon[],
  collection: Collection,
  stepCost: number,
): NextCharacter {
  const { character } = own;
  const result = separationOf(grouped(own, shown, harmful));
  const waitMinutes = minutesOf(character.wait);
  const cost = character.effort + waitMinutes;
  return {
    character,
    seen: own.inPart ? 'in part' : wasLookedAt(collection, character.id) ? 'in vain' : 'no',
    when: whenOf(character, collection, waitMinutes),
    fresh: character.perishable,
    waitMinutes,
    pairs: result.pairs,
    decisivePairs: result.decisivePairs,
    information: result.information,
    expectedLeft: result.expectedLeft,
    perEffort: result.information / character.effort,
    finish: costToFinish(cost, result, stepCost),
    get outcomes() {
      return own.names().flatMap((shows, j): ExpectedOutcome[] => {
        const left = taxa.filter((_, t) => shown[t]?.[j] === 1);
        return left.length === 0 ? [] : [{ shows, left }];
      });
    },
  };
}

/** Taxa that show the same are counted together, so that the cost grows with what is shown and not with the taxa. */
function grouped(
  own: PossibleStates,
  shown: readonly Uint8Array[],
  harmful: readonly boolean[],
): StateFrequencies[] {
  const groups = new Map<string, { shares: number[]; taxa: number; harmful: number }>();
  shown.forEach((classes, t) => {
    const name = classes.join('');
    let group = groups.get(name);
    if (group === undefined) {
      group = { shares: sharesOf(classes, own.sizes), taxa: 0, harmful: 0 };
      groups.set(name, group);
    }
    group.taxa++;
    if (harmful[t] === true) group.harmful++;
  });
  return [...groups.values()];
}

function sharesOf(classes: Uint8Array, sizes: readonly number[]): number[] {
  let total = 0;
  for (let j = 0; j < classes.length; j++) if (classes[j] === 1) total += sizes[j] as number;
  const count = classes.reduce((n, c) => n + c, 0);
  return Array.from(classes, (c, j) =>
    c === 0 ? 0 : total > 0 && Number.isFinite(total) ? (sizes[j] as number) / total : 1 / count,
  );
}

/**
 * What a later step usually costs: the median, so that one spore print of six hours does not make every step look
 * slow.
 */
function usualCost(characters: readonly Character[]): number {
  const costs = characters.map((c) => c.effort + minutesOf(c.wait)).sort((a, b) => a - b);
  return costs[Math.floor(costs.length / 2)] ?? 1;
}

const MINUTE = findUnit('min');

/** A length of time such as `6 h` in minutes; 0 when there is none. */
export function minutesOf(wait: string | undefined): number {
  if (wait === undefined || MINUTE === undefined) return 0;
  const read = readNumbers(wait, { whole: false, unit: MINUTE });
  const high = read.ok ? read.value.possible.intervals[0]?.high : undefined;
  return high === undefined || !Number.isFinite(high) ? 0 : high / 60;
}

// A wait this short can be sat out on the spot, so the character counts as readable now.
const SHORT_WAIT = 60;

function whenOf(character: Character, collection: Collection, waitMinutes: number): When {
  const ages = new Set([...collection.stages, ...collection.observations.flatMap((o) => o.stage ?? [])]);
  if (character.stages.length > 0 && ages.size > 0 && !character.stages.some((s) => ages.has(s)))
    return 'another age';
  return waitMinutes > SHORT_WAIT ? 'tonight' : 'now';
}

function wasLookedAt(collection: Collection, character: string): boolean {
  return collection.observations.some((o) => o.character === character);
}
