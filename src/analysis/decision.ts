import type { Determination } from '../engine/determine.js';
import type { Taxon } from '../key/key.js';
import { isHarmful, severity } from '../key/severity.js';
import { listed } from '../text/words.js';
import type { Fit } from './fit.js';
import { harmfulEnds, keyedOut, membersOf } from './members.js';
import type { WhatIfs } from './what-if.js';

/** How firmly a harmful taxon is ruled out. Two characters are wanted: one may be misread, and a weak one often is. */
export type Strength = 'one weak observation' | 'one observation' | 'two observations';

/** A harmful taxon of the key that is not a candidate, and the evidence that rules it out. */
export interface RuledOut {
  readonly taxon: Taxon;
  readonly strength: Strength;
  /** The characters and the answers (labels of leads) that rule it out. */
  readonly by: readonly string[];
  readonly answers: readonly string[];
  /** The lead that fails first on the path to it, where one observation rules it out. */
  readonly at: string | undefined;
  /** Why the one observation is weak. */
  readonly weak: readonly string[];
}

/** What can be decided, by the worst of all that is still possible. */
export interface Decision {
  /** What the verdict could turn to with more keying. It can never clear a find. */
  readonly moreKeying: 'changes nothing' | 'to not cleared' | 'to leave it';
  /** Harmful members of candidates that are groups. */
  readonly members: readonly { readonly group: Taxon; readonly taxon: Taxon }[];
  /** The harmful taxa of the key that one or two observations rule out, the least firmly ruled out first. */
  readonly ruledOut: readonly RuledOut[];
  /** How many harmful taxa of the key three observations or more rule out. */
  readonly ruledOutByMore: number;
  /** Why the find may not be in this key; never empty. */
  readonly notInKey: readonly string[];
}

/**
 * Decides by the worst that is still possible, and names what stands between the find and every harmful taxon of the
 * key.
 */
export function decide(found: Determination, doubts: WhatIfs, fits: readonly Fit[]): Decision {
  const { key, possible, verdict } = found;
  const members = possible.flatMap((group) =>
    membersOf(key, group)
      .filter((taxon) => isHarmful(taxon.concern.level) && !possible.includes(taxon))
      .map((taxon) => ({ group, taxon })),
  );
  const open = [...new Set([...possible, ...members.map((m) => m.taxon)])].filter((t) =>
    isHarmful(t.concern.level),
  );
  // What is possible at worst is not ruled out.
  const atWorst = found.further.map((f) => f.taxon).filter((t) => isHarmful(t.concern.level));
  const ruledOut = ruledOutOf(new Set([...open, ...atWorst]), doubts);
  return {
    moreKeying: verdict.settled
      ? 'changes nothing'
      : verdict.word === 'leave it'
        ? 'to not cleared'
        : 'to leave it',
    members,
    ruledOut,
    ruledOutByMore: Math.max(
      0,
      harmfulEnds(key) -
        ruledOut.length -
        [...new Set([...open, ...atWorst])].filter((t) => keyedOut(key, t)).length,
    ),
    notInKey: notInKey(found, fits),
  };
}

const STRENGTHS: readonly Strength[] = ['one weak observation', 'one observation', 'two observations'];

function ruledOutOf(open: ReadonlySet<Taxon>, doubts: WhatIfs): RuledOut[] {
  const out = new Map<Taxon, RuledOut>();
  for (const doubt of doubts.one) {
    for (const { taxon, at } of doubt.ends) {
      if (!isHarmful(taxon.concern.level)) continue;
      const before = out.get(taxon);
      const weak = doubt.likely.length > 0;
      // Of several single observations that each hide it, the weakest is named.
      if (before !== undefined && (before.strength === 'one weak observation' || !weak)) continue;
      out.set(taxon, {
        taxon,
        strength: weak ? 'one weak observation' : 'one observation',
        by: doubt.character === undefined ? [] : [doubt.character.id],
        answers: doubt.answer === undefined ? [] : [doubt.answer],
        at: at === '' ? undefined : at,
        weak: doubt.likely,
      });
    }
  }
  for (const { taxon, recheck, reconsider } of doubts.two)
    if (isHarmful(taxon.concern.level) && !out.has(taxon))
      out.set(taxon, {
        taxon,
        strength: 'two observations',
        by: recheck,
        answers: reconsider,
        at: undefined,
        weak: [],
      });
  return [...out.values()]
    .filter((r) => !open.has(r.taxon))
    .sort(
      (a, b) =>
        STRENGTHS.indexOf(a.strength) - STRENGTHS.indexOf(b.strength) ||
        severity(a.taxon) - severity(b.taxon),
    );
}

/** The reasons why the find may be something the key does not hold, the strongest first; the last one always holds. */
function notInKey(found: Determination, fits: readonly Fit[]): string[] {
  const { key, warnings, possible } = found;
  const reasons = warnings.filter((w) => w.kind === 'out-of-scope').map((w) => w.message);
  if (possible.length === 0) reasons.push('nothing in this key fits: the find may not be in this key');
  const described = fits.filter((f) => f.agrees.length + f.partly.length + f.differs.length > 0);
  if (
    described.length > 0 &&
    described.length === fits.length &&
    described.every((f) => f.differs.length > 0)
  )
    reasons.push(
      `${fits.length === 1 ? 'the candidate does not' : 'no candidate does'} fit its description in all that was seen: the find may not be in this key`,
    );
  const partial = key.chain.keys.filter((k) => !k.scope.complete).map((k) => k.id);
  if (partial.length > 0) {
    const [do_, their] = partial.length === 1 ? ['does', 'its'] : ['do', 'their'];
    reasons.push(
      `${listed(partial)} ${do_} not claim to hold every taxon of ${their} group: the find may not be in this key`,
    );
  }
  reasons.push('a key always gives a name, also to what it does not hold: the find may not be in this key');
  return reasons;
}
