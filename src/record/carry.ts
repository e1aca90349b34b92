import type { Chain } from '../key/chain.js';
import { defined } from '../text/optional.js';
import { listed } from '../text/words.js';
import type { DroppedAnswer, RecordedAnswer } from './answers.js';
import {
  type CoupletInWords,
  coupletInWords,
  coupletMark,
  coupletsInWords,
  dependsOnOtherLeads,
  type LeadWords,
} from './couplet-words.js';

/** A lead that was taken, or "can't tell", with all that its couplet said. */
export interface RecordedLead {
  /** Its name. */
  readonly couplet: string;
  /** The letter, or `?` for "can't tell". */
  readonly lead: string;
  /** The words of the lead; none for "can't tell". */
  readonly says: readonly string[];
  /** Its condition; absent where it has none. */
  readonly when?: string;
  /** What that means, where that is more than it says. */
  readonly means?: string;
  /** The other leads of the couplet. */
  readonly beside?: readonly LeadWords[];
  /** Set where only what the lead says of the find counts. */
  readonly counts?: 'evidence';
  /** Set where the person was not sure of it. */
  readonly doubted?: true;
  /** The specimen that it was read from; absent where it was told of the whole find. */
  readonly specimen?: string;
  /** The age of that specimen. */
  readonly stage?: string;
}

/** A lead of a chain as it is kept in a record; `?` for "can't tell". undefined when there is no such lead. */
export function recordedLead(chain: Chain, couplet: string, lead: string): RecordedLead | undefined {
  const known = coupletInWords(chain, couplet);
  if (known === undefined) return undefined;
  const taken = known.words.find((w) => w.lead === lead);
  if (taken === undefined && lead !== '?') return undefined;
  return {
    couplet,
    lead,
    says: taken === undefined ? [] : [taken.says],
    ...defined({ when: taken?.when, means: taken?.means }),
    beside: known.words.filter((w) => w !== taken),
  };
}

/** An answer taken over to another version of the key, or why it was dropped. */
type Carried<T> = { readonly ok: true; readonly answer: T } | { readonly ok: false; readonly why: string };

/**
 * Takes an answer over to a key that may have changed since. It is recognised by what its couplet says, never
 * by the number alone. Where the whole couplet says the same, the answer holds, whatever the number of the
 * couplet is now. Where only the lead that was taken says the same, and has a condition, the condition is
 * still known of the find. Otherwise nothing is. A condition says the same only when it also means the same,
 * which depends on the terms; `told` says whether what was given has the meanings of its conditions, as all
 * has that was recorded since keys have marks of their own contents.
 */
export function carryAnswer<T extends RecordedLead>(given: T, chain: Chain, told: boolean): Carried<T> {
  const { lead, says, when, means, beside = [] } = given;
  const own: LeadWords | undefined =
    lead === '?'
      ? undefined
      : {
          lead,
          says: says[0] ?? '',
          ...defined({ when, means }),
        };
  const recorded = own === undefined ? beside : [own, ...beside];
  const mark = coupletMark(recorded);
  const same = (a: LeadWords, b: LeadWords) => sameWords(a, b) && (!told || meaning(a) === meaning(b));
  // Another key of the chain may ask the same, and yet of something else.
  const known = coupletsInWords(chain).filter((c) => keyIdOf(c.name) === keyIdOf(given.couplet));
  const reading = known.filter((c) => c.mark === mark);
  const alike = reading.filter((c) => recorded.every((r) => c.words.some((w) => same(w, r))));
  const whole = alike.find((c) => c.name === given.couplet) ?? (alike.length === 1 ? alike[0] : undefined);
  if (whole !== undefined) {
    const answer = renumbered(given, whole, own);
    const besides = { beside: whole.words.filter((w) => w.lead !== answer.lead) };
    return { ok: true, answer: told ? answer : { ...withMeaning(answer, whole), ...besides } };
  }
  if (own === undefined) return { ok: false, why: whyDropped(given, own, alike, reading, chain) };
  if (!dependsOnOtherLeads(own)) {
    const holding = known.filter((c) => c.words.some((w) => same(w, own)));
    const there = holding.find((c) => c.name === given.couplet) ?? holding[0];
    if (there !== undefined) {
      const answer = renumbered(given, there, own);
      return {
        ok: true,
        answer: { ...(told ? answer : withMeaning(answer, there)), counts: 'evidence' },
      };
    }
  }
  return { ok: false, why: whyDropped(given, own, alike, reading, chain) };
}

/** An answer of an earlier record, with the meaning of its condition added. */
function withMeaning<T extends RecordedLead>(answer: T, { words }: CoupletInWords): T {
  const means = words.find((w) => w.lead === answer.lead)?.means;
  return means === undefined ? answer : { ...answer, means };
}

/** What the condition of a lead means. */
function meaning({ when, means = when }: LeadWords): string | undefined {
  return means;
}

/** The id of the key that a couplet belongs to; empty for the main key. */
function keyIdOf(couplet: string): string {
  return couplet.slice(0, couplet.lastIndexOf('/') + 1);
}

function renumbered<T extends RecordedLead>(given: T, to: CoupletInWords, own: LeadWords | undefined): T {
  const alike = own === undefined ? [] : to.words.filter((w) => sameWords(w, own));
  const lead =
    own === undefined ? '?' : ((alike.find((w) => w.lead === own.lead) ?? alike[0])?.lead ?? own.lead);
  if (to.name === given.couplet && lead === given.lead) return given;
  const from = (given as { from?: string }).from ?? `${given.couplet}${given.lead}`;
  return { ...given, couplet: to.name, lead, from, beside: to.words.filter((w) => w.lead !== lead) };
}

function sameWords(a: LeadWords, b: LeadWords): boolean {
  return a.says === b.says && a.when === b.when;
}

function whyDropped(
  { couplet, beside = [] }: RecordedLead,
  own: LeadWords | undefined,
  alike: readonly CoupletInWords[],
  /** Those with the same words, whatever their meaning. */
  reading: readonly CoupletInWords[],
  chain: Chain,
): string {
  if (alike.length > 1)
    return `what it says stands at several couplets now: ${listed(alike.map((c) => c.name))}`;
  const now = coupletInWords(chain, couplet);
  if (now === undefined) return 'the couplet is no longer in the key';
  if (own === undefined)
    return reading.includes(now)
      ? 'the couplet means something else now'
      : 'the wording of the couplet has changed';
  const same = now.words.find((w) => w.says === own.says);
  if (same === undefined) return 'its wording has changed';
  if (same.when !== own.when) return 'its condition is another now';
  if (!dependsOnOtherLeads(own) && meaning(same) !== meaning(own))
    return `its condition means something else now: ${meaning(same)}; before: ${meaning(own)}`;
  if (reading.includes(now)) return 'another lead of its couplet means something else now';
  return now.words.length === beside.length + 1
    ? 'the wording of another lead of its couplet has changed'
    : 'its couplet has other leads now';
}

/** The answers that go on, in the order in which they were given, and those that do not. */
interface CarriedAnswers {
  readonly kept: readonly RecordedAnswer[];
  readonly dropped: readonly DroppedAnswer[];
}

/**
 * Takes answers over to a key; for `told` see `carry`. Of two that come to the same couplet, the later one counts, as
 * it did when it was given.
 * `earlier` are answers that were dropped before: where the key again says what they were given to, they hold again.
 */
export function carryAnswers(
  answers: readonly RecordedAnswer[],
  chain: Chain,
  told: boolean,
  earlier: readonly DroppedAnswer[] = [],
): CarriedAnswers {
  const kept = new Map<string, RecordedAnswer>();
  const dropped: DroppedAnswer[] = [];
  const answered = new Set(answers.map((a) => a.couplet));
  for (const { why, ...answer } of earlier) {
    const carried = carryAnswer(answer, chain, told);
    if (carried.ok && carried.answer.counts === undefined && !answered.has(answer.couplet))
      kept.set(carried.answer.couplet, carried.answer);
    else dropped.push({ ...answer, why: carried.ok ? why : carried.why });
  }
  for (const answer of answers) {
    const carried = carryAnswer(answer, chain, told);
    if (!carried.ok) {
      dropped.push({ ...answer, why: carried.why });
      continue;
    }
    const { couplet } = carried.answer;
    const before = kept.get(couplet);
    if (before !== undefined)
      dropped.push({ ...before, why: `answered again as ${carried.answer.couplet}${carried.answer.lead}` });
    kept.delete(couplet);
    kept.set(couplet, carried.answer);
  }
  const inTime = [...kept.values()].sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
  return { kept: inTime, dropped };
}
