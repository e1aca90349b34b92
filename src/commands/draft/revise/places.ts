/** What the conditions of a key are to the choosing of couplets: tests, and the finds and taxa that come to a lead. */
import type { CompiledCouplet, CompiledLead } from '../../../engine/compile.js';
import type { Logic } from '../../../engine/logic.js';
import type { Couplet, Key, Lead } from '../../../key/key.js';
import { describedRegion } from '../../../lint/descriptions.js';
import type { Box } from '../../../traits/box.js';
import type { Character } from '../../../traits/character.js';
import type { Condition, Test } from '../../../traits/condition.js';
import { stateIndices } from '../../../traits/state-set.js';
import { addBit, type Bits, members, noBits } from '../bits.js';
import type { GrowingPlace } from '../candidates.js';
import type { Facts } from '../facts.js';
import { maskOf } from '../gates.js';
import { type Arrivals, type LeadTests, type SplitTest, wholePiece } from '../splits.js';
import { Wording } from '../words.js';

/** The tests of a lead as a draft has them; undefined where its author asks something that no draft would. */
export function leadTests(lead: Lead, characters: readonly Character[]): LeadTests | undefined {
  const test = ({ character: id, allowed }: Test): SplitTest | undefined => {
    const character = characters.findIndex((c) => c.id === id);
    const own = characters[character];
    if (own === undefined) return undefined;
    if (allowed.kind === 'states') return { character, mask: maskOf(allowed, own) };
    const [span, ...others] = allowed.set.intervals;
    if (span === undefined || others.length > 0) return undefined;
    const whole = own.kind === 'count';
    const below = span.highOpen ? span.high : whole ? span.high + 1 : undefined;
    if (span.high === Infinity && span.low !== -Infinity)
      return span.lowOpen ? undefined : { character, from: span.low, below: Infinity };
    if (span.low !== -Infinity && !(whole && span.low === 0)) return undefined;
    return below === undefined ? undefined : { character, from: -Infinity, below };
  };
  const all = (parts: readonly Condition[]): SplitTest[] | undefined => {
    const tests = parts.map((p) => (p.kind === 'test' ? test(p) : undefined));
    return tests.includes(undefined) ? undefined : (tests as SplitTest[]);
  };
  const { when } = lead;
  if (when === undefined || when.kind === 'not') return undefined;
  const tests = all(when.kind === 'test' ? [when] : when.parts);
  return tests === undefined ? undefined : { join: when.kind === 'any' ? 'any' : 'all', tests };
}

/** By lead, the words that a draft gives it; undefined where a draft would not ask what the couplet asks. */
export function draftedWords(couplet: Couplet, key: Key): readonly string[] | undefined {
  const characters = [...key.characters.values()];
  const tests = couplet.leads.map((l) => leadTests(l, characters));
  return tests.includes(undefined)
    ? undefined
    : new Wording(key.language).leads(tests as LeadTests[], characters);
}

/** The place beyond a lead: the finds that take it, as far as that is decided, and some taxa that can show them. */
export function placeBeyond(
  logic: Logic,
  couplet: CompiledCouplet,
  lead: CompiledLead,
  facts: Facts,
  taxa: Bits,
): GrowingPlace {
  const whole = wholePiece(facts, taxa);
  const region = logic.taken(couplet, lead) ?? [[]];
  const index = new Map(facts.characters.map((c, i) => [c.id, i]));
  // Finds that none of the taxa shows arrive as well, and have to find a lead.
  const pieces = region.map((box): Arrivals => {
    const own = noBits(facts.taxa.length);
    for (const t of members(taxa)) if (canCome(logic, box, facts, t)) addBit(own, t);
    return narrowedTo(whole, box, own, logic, index);
  });
  return { pieces: pieces.length === 0 ? [whole] : pieces, taxa, asked: [] };
}

function canCome(logic: Logic, box: Box, facts: Facts, t: number): boolean {
  const taxon = logic.key.taxa.find((k) => k.id === facts.taxa[t]?.id);
  const described = taxon === undefined ? undefined : describedRegion(logic, taxon);
  if (described === undefined) return true;
  return logic.ask((budget) => logic.space.meet([box], described, budget))?.length !== 0;
}

function narrowedTo(
  { masks, from, below }: Arrivals,
  box: Box,
  taxa: Bits,
  logic: Logic,
  index: ReadonlyMap<string, number>,
): Arrivals {
  const out = { masks: masks.slice(), from: from.slice(), below: below.slice(), taxa };
  box.forEach((facet, i) => {
    const c = index.get(logic.space.characters[i]?.id ?? '');
    if (facet === undefined || c === undefined) return;
    if (facet.kind === 'states') {
      const mask = [...stateIndices(facet.set)].reduce((m, s) => (s < 31 ? m | (1 << s) : m), 0);
      out.masks[c] = (out.masks[c] as number) & mask;
      return;
    }
    const { intervals, whole } = facet.set;
    const [first, last] = [intervals[0], intervals.at(-1)];
    if (first === undefined || last === undefined) return;
    out.from[c] = first.low <= 0 ? -Infinity : first.low;
    out.below[c] = last.highOpen
      ? last.high
      : whole
        ? last.high + 1
        : last.high + Number.EPSILON * Math.max(1e-9, Math.abs(last.high));
  });
  return out;
}
