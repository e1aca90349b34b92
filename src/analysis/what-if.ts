import { counts } from '../engine/ages.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from '../engine/compile.js';
import { evaluateValue, FAILS, type Truth } from '../engine/evaluate.js';
import { type Evidence, gatherEvidence } from '../engine/evidence.js';
import { dependentsOf } from '../engine/implied.js';
import type { Against } from '../engine/outcome.js';
import { inapplicableDependents, withGates } from '../engine/slips.js';
import type { Visit, Walk } from '../engine/walk.js';
import { concernLevels, type Taxon } from '../key/key.js';
import { isHarmful, severity } from '../key/severity.js';
import type { Character } from '../traits/character.js';
import { askedBy, type TestCheck } from '../traits/check.js';
import type { Collection } from '../traits/collection.js';
import type { Value } from '../traits/value.js';
import { balance, characterFits, type RelativeFit } from './fit.js';
import { ageDoubts, weaknesses } from './weakness.js';

/** One thing that was seen or answered; if that alone was wrong, the find could be something else. */
export interface WhatIf {
  /** The character that was looked at; undefined for an answer. */
  readonly character: Character | undefined;
  /** The label of the lead that a person took (`7b`); undefined for an observation. */
  readonly answer: string | undefined;
  /** Why it is likelier to be wrong than others; empty when nothing speaks for that. */
  readonly likely: readonly string[];
  /** What the find could be then, harmful ones first. */
  readonly ends: readonly WhatIfTaxon[];
}

/** A taxon that is possible if one observation or answer was wrong. */
export interface WhatIfTaxon {
  readonly taxon: Taxon;
  /** The lead that ruled it out: `5b`. */
  readonly at: string;
  /**
   * How the rest of the evidence fits it compared with the candidates (where there are none, with the other such
   * ends).
   */
  readonly fits: RelativeFit;
}

/** A taxon that is possible if two observations or answers were wrong. */
interface TwoSlips {
  readonly taxon: Taxon;
  /** The characters and answers that speak against it; given for harmful taxa only. */
  readonly recheck: readonly string[];
  readonly reconsider: readonly string[];
}

export interface WhatIfs {
  /** Single observations and answers that may be wrong, those that hide the worst taxa first. */
  readonly one: readonly WhatIf[];
  /** Taxa two slips away, harmful ones first. */
  readonly two: readonly TwoSlips[];
}

/** What an observation or an answer carries: itself, and the characters that are known by it. */
interface Cause {
  readonly character: number | undefined;
  readonly answer: CompiledLead | undefined;
  readonly couplet: number;
  readonly carries: readonly number[];
  /** The failing leads that it alone may be against. */
  readonly at: {
    readonly lead: CompiledLead;
    readonly couplet: CompiledCouplet;
  }[];
}

/**
 * What the find could be if just one observation or answer was wrong, and what lies two slips away. Every
 * single observation that may be against a lead on the path is taken back in turn, with what is known by it
 * alone, and the key is followed without it. So the result is exact, also where one character is asked at
 * several couplets. `visits` are the couplets that the evidence leads to without a slip; the walk is reused.
 */
export function whatIfsOf(
  collection: Collection,
  evidence: Evidence,
  walk: Walk,
  visits: readonly Visit[],
  candidates: readonly number[],
): WhatIfs {
  const { key } = walk;
  const before = new Map(visits.map((v) => [v.couplet.index, v.truths]));
  const among = new Set(candidates);
  const words = new Map<number, Uint8Array>();
  const wordsOf = (taxon: number) => {
    const made = words.get(taxon) ?? characterFits(key, taxon, evidence.known);
    words.set(taxon, made);
    return made;
  };
  const one: { readonly doubt: WhatIf; readonly worst: number }[] = [];
  const hidden = new Set<number>();
  for (const cause of causesOf(key, collection, evidence, before)) {
    walk.follow(without(key, collection, evidence, cause), 0);
    const reached = walk.reached.filter((t) => !among.has(t));
    if (reached.length === 0) continue;
    const ends = reached.map((t): WhatIfTaxon => {
      hidden.add(t);
      const fits = relativeFit(
        wordsOf(t),
        (candidates.length > 0 ? candidates : reached).map(wordsOf),
        cause.carries,
      );
      const at = cause.at.length === 1 ? labelAt(cause) : failingLead(key, walk, t, before);
      return { taxon: key.taxa[t] as Taxon, fits, at };
    });
    if (ends.length > 1)
      ends.sort((a, b) => severity(a.taxon) - severity(b.taxon) || ORDER[a.fits] - ORDER[b.fits]);
    const doubt: WhatIf = {
      character: cause.character === undefined ? undefined : key.characters[cause.character],
      answer: cause.answer?.label,
      likely: likelihood(key, collection, evidence, cause),
      ends,
    };
    one.push({ doubt, worst: severity((ends[0] as WhatIfTaxon).taxon) });
  }
  one.sort((a, b) => a.worst - b.worst || b.doubt.likely.length - a.doubt.likely.length);
  return {
    one: one.map((o) => o.doubt),
    two: twoSlips(walk, evidence, among, hidden),
  };
}

/**
 * How the rest of the evidence fits a taxon compared with each of others: better than all, worse than some, or
 * neither.
 */
function relativeFit(
  own: Uint8Array,
  others: readonly Uint8Array[],
  without: readonly number[],
): RelativeFit {
  let least = Infinity;
  for (const other of others) {
    const { compared, balance: more } = balance(other, own, without);
    if (compared > 0) least = Math.min(least, more);
  }
  return least === Infinity ? 'not compared' : least > 0 ? 'better' : least === 0 ? 'as well' : 'worse';
}

const ORDER: Record<RelativeFit, number> = {
  better: 0,
  'as well': 1,
  'not compared': 2,
  worse: 3,
};

function twoSlips(
  walk: Walk,
  evidence: Evidence,
  among: ReadonlySet<number>,
  hidden: ReadonlySet<number>,
): TwoSlips[] {
  walk.follow(evidence, 2);
  const byLevel: TwoSlips[][] = concernLevels.map(() => []);
  for (const t of walk.reached) {
    if (among.has(t) || hidden.has(t)) continue;
    const taxon = walk.key.taxa[t] as Taxon;
    const { characters, answers } = isHarmful(taxon.concern.level) ? walk.against(t) : NOTHING;
    byLevel[severity(taxon)]?.push({
      taxon,
      recheck: characters,
      reconsider: answers,
    });
  }
  return byLevel.flat();
}

const NOTHING: Against = { characters: [], answers: [] };

/** The observations and answers that alone may be against some lead on the path; more than are is no harm. */
function causesOf(
  key: CompiledKey,
  collection: Collection,
  evidence: Evidence,
  visits: ReadonlyMap<number, readonly Truth[]>,
): Iterable<Cause> {
  const causes = new Map<string, Cause>();
  const byAnswer = (couplet: number): Cause => {
    const lead = key.couplets[couplet]?.leads[evidence.chosen.get(couplet) ?? 0] as CompiledLead;
    const before = causes.get(lead.label);
    if (before !== undefined) return before;
    const carries = evidence.origins.flatMap((o, c) =>
      o?.kind === 'answer' && o.label === lead.label ? [c] : [],
    );
    const cause: Cause = {
      character: undefined,
      answer: lead,
      couplet,
      carries,
      at: [],
    };
    causes.set(lead.label, cause);
    return cause;
  };
  const byCharacter = (c: number): Cause => {
    const name = ` ${c}`;
    const before = causes.get(name);
    if (before !== undefined) return before;
    const follows = evidence.implied.flatMap((i) =>
      i.by.length === 1 && i.by[0] === c ? [i.character] : [],
    );
    const carries = [c, ...inapplicableDependents(c, evidence.known, key.gates), ...follows];
    const cause: Cause = {
      character: c,
      answer: undefined,
      couplet: -1,
      carries,
      at: [],
    };
    causes.set(name, cause);
    return cause;
  };
  const seen = new Set(
    collection.observations.flatMap(({ character, value, stage }) => {
      const c = key.characterIndex.get(character);
      return c !== undefined && value !== undefined && counts(key.characters[c] as Character, stage)
        ? [c]
        : [];
    }),
  );
  const plain = evidence.implied.length + evidence.contradictions.length === 0;
  const telling = plain ? [] : dependentsOf(key).filter((d) => seen.has(d.character));
  /** What alone may make a character what it is known to be: the look at it, an answer, or what it follows from. */
  const behind = (c: number): Set<Cause> => {
    const found = new Set<Cause>();
    const origin = evidence.origins[c];
    if (origin?.kind === 'answer') {
      const couplet = [...evidence.chosen.keys()].find(
        (v) => key.couplets[v]?.leads[evidence.chosen.get(v) ?? 0]?.label === origin.label,
      );
      if (couplet !== undefined) found.add(byAnswer(couplet));
    }
    // What nobody saw and follows from one other character is wrong when that one is.
    const follows = evidence.implied.find((i) => i.character === c)?.by ?? [];
    if (seen.has(c) || follows.length > 1) found.add(byCharacter(c));
    // Each of several that say it together may be wrong alone: the others say less, or contradict each other no more.
    // So may one that silences such a character: it speaks when that one is taken back.
    for (const { character, gate, facts } of telling) {
      if (!facts.some((f) => f.character === c)) continue;
      found.add(byCharacter(character));
      for (const on of withGates(key.gates, askedBy(gate))) if (seen.has(on)) found.add(byCharacter(on));
    }
    return found;
  };
  for (const [index, truths] of visits) {
    const couplet = key.couplets[index] as CompiledCouplet;
    const chosen = evidence.chosen.has(index);
    couplet.leads.forEach((lead, i) => {
      if (truths[i] !== FAILS) return;
      if (chosen) {
        byAnswer(index).at.push({ lead, couplet });
        return;
      }
      const against = charactersAgainst(key, evidence, couplet, lead).map(behind);
      const some = new Set(against.flatMap((each) => [...each]));
      // When every test of the lead is needed, one cause must be behind all that fail.
      for (const cause of some)
        if (lead.tests === undefined || against.every((each) => each.has(cause)))
          cause.at.push({ lead, couplet });
    });
  }
  return causes.values();
}

/** The characters that may be against a failing lead. */
function charactersAgainst(
  key: CompiledKey,
  evidence: Evidence,
  couplet: CompiledCouplet,
  lead: CompiledLead,
): number[] {
  if (lead.tests !== undefined)
    return lead.tests
      .filter((t) => evaluateValue(t, evidence.known[t.character]) === FAILS)
      .map((t) => t.character);
  const leads = lead.otherwise ? couplet.leads : [lead];
  return [
    ...new Set(leads.flatMap((l) => (l.check === undefined ? [] : withGates(key.gates, askedBy(l.check))))),
  ];
}

/** The evidence without one cause and what is known by it alone. */
function without(key: CompiledKey, collection: Collection, evidence: Evidence, cause: Cause): Evidence {
  const { chosen, implied, contradictions } = evidence;
  if (chosen.size + implied.length + contradictions.length === 0) {
    const known: (Value | undefined)[] = [...evidence.known];
    for (const c of cause.carries) known[c] = undefined;
    return { ...evidence, known };
  }
  // An answer may have narrowed what was seen, so the evidence is gathered again.
  if (cause.answer !== undefined) {
    const name = key.couplets[cause.couplet]?.name;
    return gatherEvidence(key, {
      ...collection,
      choices: collection.choices.filter((c) => c.couplet !== name),
    });
  }
  const { character, carries } = cause;
  const follows = new Set(
    evidence.implied.flatMap((i) => (i.by.length === 1 && i.by[0] === character ? [i.character] : [])),
  );
  const gone = new Set(carries.filter((c) => !follows.has(c)).map((c) => key.characters[c]?.id));
  // A ring that was misread is not there, whatever was seen of its texture.
  return gatherEvidence(
    key,
    {
      ...collection,
      observations: collection.observations.filter((o) => !gone.has(o.character)),
    },
    new Set(character === undefined ? [] : [character]),
  );
}

function labelAt({ at }: Cause): string {
  return at[0]?.lead.label ?? '';
}

/** The first lead on the path to a taxon that failed before an observation was taken back. */
function failingLead(
  key: CompiledKey,
  walk: Walk,
  taxon: number,
  before: ReadonlyMap<number, readonly Truth[]>,
): string {
  for (const label of walk.candidate(taxon).path) {
    const place = leadPlaces(key).get(label);
    if (place !== undefined && before.get(place.couplet)?.[place.lead] === FAILS) return label;
  }
  return '';
}

const PLACES = new WeakMap<CompiledKey, ReadonlyMap<string, { couplet: number; lead: number }>>();

/** Where the lead of a label stands: the numbers of its couplet and of itself. */
export function leadPlaces(
  key: CompiledKey,
): ReadonlyMap<string, { readonly couplet: number; readonly lead: number }> {
  let places = PLACES.get(key);
  if (places === undefined) {
    places = new Map(
      key.couplets.flatMap((c) => c.leads.map((l, lead) => [l.label, { couplet: c.index, lead }] as const)),
    );
    PLACES.set(key, places);
  }
  return places;
}

/** Why something is likelier to be wrong than anything else: the person said so. */
export const NOT_SURE = 'you were not sure of it';

function isDoubted(key: CompiledKey, { observations, choices }: Collection, cause: Cause): boolean {
  if (cause.answer !== undefined) {
    const name = key.couplets[cause.couplet]?.name;
    return choices.some((c) => c.doubted === true && c.couplet === name);
  }
  const id = cause.character === undefined ? undefined : key.characters[cause.character]?.id;
  return observations.some((o) => o.doubted === true && o.character === id);
}

/** Why a cause is likelier to be wrong than others. */
function likelihood(key: CompiledKey, collection: Collection, evidence: Evidence, cause: Cause): string[] {
  const characters = cause.carries.slice(0, cause.answer === undefined ? 1 : undefined);
  const many = characters.length > 1;
  const why = characters.flatMap((c) => {
    const character = key.characters[c] as Character;
    const own = collection.observations.filter((o) => o.character === character.id && o.value !== undefined);
    const ages =
      cause.answer === undefined ? new Set(own.map((o) => o.stage)) : new Set<string>(collection.stages);
    const reasons = [
      ...weaknesses(character),
      ...(ages.size === 0 ? [] : ageDoubts(character, ages)),
      ...(character.kind !== 'choice' && own.length === 1 && isOneNumber(evidence.known[c])
        ? ['measured once']
        : []),
    ];
    return reasons.map((r) => (many ? `${character.name}: ${r}` : r));
  });
  if (isDoubted(key, collection, cause)) why.unshift(NOT_SURE);
  if (cause.character !== undefined) {
    const near = cause.at.filter(({ lead }) =>
      lead.tests?.some((t) => t.character === cause.character && nearBorder(evidence.known[t.character], t)),
    );
    if (near.length > 0) why.push(`within a tenth of what ${near[0]?.lead.label} allows`);
  }
  return why;
}

function isOneNumber(value: Value | undefined): boolean {
  if (value?.kind !== 'numbers') return false;
  const [only, ...more] = value.set.intervals;
  return only !== undefined && more.length === 0 && only.low === only.high;
}

/** Whether a measure that a test refuses lies within a tenth of the numbers that it allows. */
function nearBorder(value: Value | undefined, test: TestCheck): boolean {
  if (value?.kind !== 'numbers' || test.op !== 'numbers') return false;
  return value.set.intervals.some((seen) =>
    test.set.intervals.some((allowed) => {
      const gap = Math.max(allowed.low - seen.high, seen.low - allowed.high);
      const scale = Math.abs(allowed.low - seen.high >= 0 ? allowed.low : allowed.high);
      return gap >= 0 && gap <= scale / 10;
    }),
  );
}
