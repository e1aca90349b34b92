import type { ConcernLevel } from '../key/key.js';
import { defined } from '../text/optional.js';
import { listed } from '../text/words.js';
import type { DroppedAnswer, RecordedAnswer } from './answers.js';
import { keyChanges } from './key-mark.js';
import type { RecordedTrait } from './trait.js';
import type {
  RecordedCandidate,
  RecordedDetermination,
  RecordedLeadTaken,
  RecordedStep,
  RecordedVerdict,
} from './write.js';

/** A candidate in a comparison. */
export interface NamedCandidate {
  /** Its id. */
  readonly taxon: string;
  /** Without authority. */
  readonly name: string;
  /** Not known of an unfinished determination. */
  readonly concern?: ConcernLevel;
}

/** The same taxon under another name or with another concern. */
export interface AlteredTaxon {
  /** As it was. */
  readonly before: NamedCandidate;
  /** As it is. */
  readonly after: NamedCandidate;
}

/** The first couplet at which two paths through a key diverge. */
export interface PathDivergence {
  /** The number of the couplet in the later determination. */
  readonly couplet: string;
  /** One sentence. */
  readonly why: string;
}

/** The same of two determinations. */
export interface BeforeAfter<T> {
  /** Of the earlier one. */
  readonly before: T;
  /** Of the later one. */
  readonly after: T;
}

/** Evidence that only one of two determinations has, in words. */
export interface EvidenceChange {
  /** Of the earlier one. */
  readonly gone: readonly string[];
  /** Of the later one. */
  readonly came: readonly string[];
}

/** Taxa that only one of two determinations leaves possible. */
export interface TaxaChange {
  /** Of the earlier one. */
  readonly gone: readonly NamedCandidate[];
  /** Of the later one. */
  readonly came: readonly NamedCandidate[];
}

/** What is different in a later determination of the same find. */
export interface Changes {
  /** Whether the result differs: the name, what is possible, its concern, or the verdict. */
  readonly changed: boolean;
  /** With its qualifier; `none` where no name holds. */
  readonly name: BeforeAfter<string>;
  /** undefined for a determination that has not been finished. */
  readonly verdict: BeforeAfter<RecordedVerdict | undefined>;
  /** No longer possible. */
  readonly gone: readonly NamedCandidate[];
  /** Newly possible. */
  readonly came: readonly NamedCandidate[];
  /** What is possible only at worst, no longer and newly. */
  readonly further: TaxaChange;
  /** Still possible, with another name or concern. */
  readonly altered: readonly AlteredTaxon[];
  /** Where the ways part; undefined where they do not, or are not compared. */
  readonly parting: PathDivergence | undefined;
  /** Couplets that nothing decides now and that were not open before. */
  readonly opened: readonly string[];
  /** Answers that no longer hold. */
  readonly dropped: readonly DroppedAnswer[];
  /** Answers of which only what they say of the find still counts. */
  readonly partly: readonly RecordedAnswer[];
  /** Answers to couplets whose numbers have changed. */
  readonly moved: readonly RecordedAnswer[];
  /** Evidence that the key does not understand now, a sentence each. */
  readonly unread: readonly string[];
  /** Evidence that means something else now. */
  readonly otherwise: readonly string[];
  /** What has changed of the key, of those it continues in and of their terms; nothing is said of two different keys. */
  readonly keys: readonly string[];
  /** Evidence that only one of them has, in words. */
  readonly evidence: EvidenceChange;
}

/** Compares two determinations of one find, the earlier first. Paths are compared only within one key. */
export function changesBetween(before: RecordedDetermination, after: RecordedDetermination): Changes {
  const [old, now] = [candidatesOf(before), candidatesOf(after)];
  const pairs = old.map((o) => ({ before: o, after: now.find((n) => isSame(o, n)) }));
  const met = new Set(pairs.flatMap((p) => p.after ?? []));
  const gone = pairs.flatMap((p) => (p.after === undefined ? [p.before] : []));
  const came = now.filter((n) => !met.has(n));
  const altered = pairs.flatMap(({ before: b, after: a }) =>
    // Of an unfinished one only the ids are known.
    a === undefined || b.concern === undefined || (a.name === b.name && b.concern === a.concern)
      ? []
      : [{ before: plain(b), after: plain(a) }],
  );
  const name = { before: recordedName(before), after: recordedName(after) };
  const verdict = { before: before.result?.verdict, after: after.result?.verdict };
  const bothFinished = before.result !== undefined && after.result !== undefined;
  const [oldWorst, newWorst] = [before.result?.further ?? [], after.result?.further ?? []];
  const missing = (some: readonly PossibleTaxon[], others: readonly PossibleTaxon[]) =>
    bothFinished ? some.filter((s) => !others.some((o) => isSame(s, o))).map(plain) : [];
  const further = { gone: missing(oldWorst, newWorst), came: missing(newWorst, oldWorst) };
  const changed =
    gone.length + came.length + altered.length + further.gone.length + further.came.length > 0 ||
    (bothFinished && (name.before !== name.after || !sameVerdict(before, after)));
  const oneKey = before.key.id === after.key.id;
  const steps = [before.result?.way ?? [], after.result?.way ?? []] as const;
  const knownDropped = new Set((before.dropped ?? []).map(answerMark));
  return {
    changed,
    name,
    verdict,
    gone: gone.map(plain),
    came: came.map(plain),
    further,
    altered,
    parting: oneKey && bothFinished ? pathDivergence(...steps) : undefined,
    opened: oneKey && bothFinished ? openedIn(...steps) : [],
    dropped: (after.dropped ?? []).filter((d) => !knownDropped.has(answerMark(d))),
    partly: after.answers.filter((a) => a.counts !== undefined),
    moved: after.answers.filter((a) => a.from !== undefined && a.counts === undefined),
    unread: (after.unread ?? []).filter((u) => !(before.unread ?? []).includes(u)),
    otherwise: (after.otherwise ?? []).filter((o) => !(before.otherwise ?? []).includes(o)),
    keys: oneKey ? keyChanges(before.key, after.key) : [],
    evidence: {
      gone: missingFrom(before.collection.evidence, after.collection.evidence),
      came: missingFrom(after.collection.evidence, before.collection.evidence),
    },
  };
}

type PossibleTaxon = NamedCandidate & Pick<RecordedCandidate, 'synonyms'>;

/** The candidates; of an unfinished determination only their ids are known. */
function candidatesOf({ result, possible }: RecordedDetermination): readonly PossibleTaxon[] {
  return result?.candidates ?? possible.map((taxon) => ({ taxon, name: taxon }));
}

function plain({ taxon, name, concern }: PossibleTaxon): NamedCandidate {
  return { taxon, name, ...defined({ concern }) };
}

/** Whether two candidates are one taxon: by id, by name, or since one has the other's name among its synonyms. */
function isSame(a: PossibleTaxon, b: PossibleTaxon): boolean {
  return (
    a.taxon === b.taxon ||
    a.name === b.name ||
    (a.synonyms?.includes(b.name) ?? false) ||
    (b.synonyms?.includes(a.name) ?? false)
  );
}

/** The name that a determination gave: `Cappa (sp.)`; `none` where no name holds. */
export function recordedName({ result }: RecordedDetermination): string {
  if (result === undefined) return 'not finished';
  const { name = 'none', qualifier } = result;
  return qualifier === undefined ? name : `${name} (${qualifier})`;
}

function sameVerdict({ result: a }: RecordedDetermination, { result: b }: RecordedDetermination): boolean {
  const [x, y] = [a?.verdict, b?.verdict];
  return x?.word === y?.word && x?.worst === y?.worst && x?.settled === y?.settled;
}

function answerMark({ couplet, lead, at }: RecordedAnswer): string {
  return `${couplet} ${lead} ${at}`;
}

function missingFrom(some: readonly RecordedTrait[] = [], others: readonly RecordedTrait[] = []): string[] {
  const mark = ({ character, shows, specimen, stage, doubted }: RecordedTrait) =>
    JSON.stringify([character, shows, specimen, stage, doubted]);
  const known = new Set(others.map(mark));
  return some.filter((t) => !known.has(mark(t))).map(traitText);
}

/** `ring on the stem: present (specimen a, young)`. */
export function traitText({ character, shows, means, specimen, stage, doubted }: RecordedTrait): string {
  const on = [
    ...(specimen === undefined ? [] : [`specimen ${specimen}`]),
    ...(stage === undefined ? [] : [stage]),
    ...(doubted === true ? ['in doubt'] : []),
  ];
  return `${means ?? `${character}: ${shows}`}${on.length === 0 ? '' : ` (${on.join(', ')})`}`;
}

/**
 * Where the later path first diverges. Both are followed side by side from the start. A couplet is the same
 * in both when its leads say the same; or when it has the same number and neither is found elsewhere on the
 * other path, that is, when it was reworded.
 */
function pathDivergence(
  old: readonly RecordedStep[],
  now: readonly RecordedStep[],
): PathDivergence | undefined {
  const [first, start] = [old[0], now[0]];
  if (first === undefined || start === undefined) return undefined;
  const oldNames = new Map(old.map((s) => [s.couplet, s]));
  const places = new Map(now.map((s, i) => [s.couplet, i]));
  const marks = { old: new Set(old.map((s) => s.mark)), now: new Set(now.map((s) => s.mark)) };
  const same = (a: RecordedStep, b: RecordedStep) =>
    a.mark === b.mark || (a.couplet === b.couplet && !marks.now.has(a.mark) && !marks.old.has(b.mark));
  if (!same(first, start))
    return {
      couplet: start.couplet,
      why: `the key begins at another couplet: ${start.couplet}, before ${first.couplet}`,
    };
  const waiting = new Map([[0, first]]);
  const done = new Set<number>();
  while (waiting.size > 0) {
    const place = Math.min(...waiting.keys());
    const before = waiting.get(place) as RecordedStep;
    const step = now[place] as RecordedStep;
    waiting.delete(place);
    done.add(place);
    const why = changedTurn(before, step);
    if (why !== undefined) return { couplet: step.couplet, why };
    for (const lead of step.going) {
      const was = matchingLead(before, step, lead);
      const [a, b] = [oldNames.get(was?.to ?? ''), places.get(lead.to ?? '')];
      if (lead.to === undefined && was?.to === undefined) {
        if (endsOf(was) !== endsOf(lead)) return { couplet: step.couplet, why: leadsElsewhere(was, lead) };
        continue;
      }
      // A path that was too long to be kept whole says nothing here.
      if (lead.to !== undefined && was?.to !== undefined && (a === undefined || b === undefined)) continue;
      if (a === undefined || b === undefined || !same(a, now[b] as RecordedStep))
        return { couplet: step.couplet, why: leadsElsewhere(was, lead) };
      if (!done.has(b)) waiting.set(b, a);
    }
  }
  return undefined;
}

/** The earlier lead that a lead corresponds to: by its words, or by its letter where it was reworded. */
function matchingLead(
  before: RecordedStep,
  step: RecordedStep,
  lead: RecordedLeadTaken,
): RecordedLeadTaken | undefined {
  const worded = before.going.filter((g) => g.says === lead.says);
  const byLetter = (worded.length > 0 ? worded : before.going).find((g) => g.lead === lead.lead);
  return byLetter ?? (before.mark === step.mark ? worded[0] : undefined);
}

/** Why other leads of a couplet are followed than before; undefined when they are the same. */
function changedTurn(before: RecordedStep, step: RecordedStep): string | undefined {
  const partners = step.going.map((g) => matchingLead(before, step, g));
  const left = before.going.filter((g) => !partners.includes(g));
  if (left.length === 0 && !partners.includes(undefined)) return undefined;
  const [was, is] = [before.going, step.going].map(leadList);
  const open =
    step.decided === 'open' && before.decided !== 'open' ? ', since nothing decides it any more' : '';
  return `${is} ${step.going.length > 1 ? 'go' : 'goes'} on now, ${was} before${open}`;
}

function leadList(going: readonly RecordedLeadTaken[]): string {
  return going.length === 0 ? 'no lead' : listed(going.map((g) => g.lead));
}

function leadsElsewhere(was: RecordedLeadTaken | undefined, now: RecordedLeadTaken): string {
  return `${now.lead} leads to ${targetText(now)} now, to ${was === undefined ? 'nothing' : targetText(was)} before`;
}

function targetText(lead: RecordedLeadTaken): string {
  return lead.to === undefined ? listed(lead.ends ?? [], 'or') : `couplet ${lead.to}`;
}

function endsOf(lead: RecordedLeadTaken | undefined): string {
  return [...(lead?.ends ?? [])].sort().join(' ');
}

function openedIn(old: readonly RecordedStep[], now: readonly RecordedStep[]): string[] {
  const wasOpen = new Set(old.filter((s) => s.decided === 'open').map((s) => s.mark));
  return now.filter((s) => s.decided === 'open' && !wasOpen.has(s.mark)).map((s) => s.couplet);
}
