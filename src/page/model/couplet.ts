import { minutesOf } from '../../analysis/next-characters.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from '../../engine/compile.js';
import type { Question, SessionState } from '../../engine/session.js';
import { type ConcernLevel, concernLevels, type Key, type Taxon } from '../../key/key.js';
import type { Keying } from '../../record/keying.js';
import type { Character, Figure } from '../../traits/character.js';
import { charactersIn } from '../../traits/condition.js';
import { decidedText, nameWithin, ownNumber, settledText, statusTexts } from '../../words/couplet.js';
import { besidesIn, type LookInWords, looksAt, type TermInWords, termsIn } from '../../words/how-to-look.js';

/** What a lead leads to. */
export type TargetView =
  | { readonly kind: 'couplet'; readonly number: string }
  | { readonly kind: 'taxa'; readonly taxa: readonly Taxon[] }
  /** `name` is the group that is reached, or the title of the key. */
  | { readonly kind: 'key'; readonly name: string; readonly at?: string };

/** One lead of a couplet, as it is shown. */
export interface LeadView {
  readonly letter: string;
  readonly text: string;
  readonly target: TargetView;
  /** The worst that lies behind it; undefined where nothing does that is still possible. */
  readonly worst: ConcernLevel | undefined;
  /** Why it is ruled out; undefined where it is not. */
  readonly ruledOut: string | undefined;
  readonly figures: readonly Figure[];
}

/** The couplet that is asked, with all that helps to answer it. */
export interface CoupletView {
  /** Its name in the chain, by which it is known when it is asked again. */
  readonly name: string;
  readonly number: string;
  /** The leads that lead to it. */
  readonly from: readonly string[];
  /** The key that it belongs to. */
  readonly owner: Key;
  readonly leads: readonly LeadView[];
  readonly terms: readonly TermInWords[];
  readonly looks: readonly LookInWords[];
  /** What leads usually show besides, and notes of their author. */
  readonly besides: readonly string[];
  /** What it asks that takes longer than one waits for outside. */
  readonly slow: readonly Character[];
}

/** How a keying stands, apart from the couplet that is asked. */
export interface StandingView {
  /** How many are possible, and the worst of them. */
  readonly status: string;
  /** The worst of what is possible; undefined when nothing is. */
  readonly worst: ConcernLevel | undefined;
  /** Said as soon as more keying cannot change the verdict. */
  readonly settled: string | undefined;
  /** The couplets that needed no question, with the reason, in the order of the key. */
  readonly decided: readonly string[];
  readonly warnings: readonly string[];
  /** Couplets at which the person could not tell. */
  readonly unsure: readonly string[];
}

/** The couplet that is asked now; undefined when nothing is left to ask. */
export function coupletView({ key, standing }: Keying): CoupletView | undefined {
  const { ask } = standing;
  if (ask === undefined) return undefined;
  const { couplet } = ask;
  const owner = ownerOf(couplet, key);
  return {
    name: couplet.name,
    number: ownNumber(couplet.name),
    from: ask.from.map((label) => nameWithin(label, owner.id, key)),
    owner,
    leads: couplet.leads.map((lead, i) => leadView(lead, ask, i, key)),
    terms: termsIn(couplet, key),
    looks: looksAt(couplet, key),
    besides: besidesIn(couplet, key),
    slow: askedBy(couplet, key).filter((c) => isSlow(c)),
  };
}

function leadView(lead: CompiledLead, { ruledOut, behind }: Question, i: number, key: CompiledKey): LeadView {
  const target = targetOf(lead, key);
  const { letter, text, figures } = lead.lead;
  const worst = target.kind === 'taxa' ? worstOf(target.taxa) : behind[i];
  return { letter, text, figures, target, worst, ruledOut: ruledOut[i] };
}

function targetOf(lead: CompiledLead, key: CompiledKey): TargetView {
  const { end, reaches } = lead.lead;
  if (end.kind === 'couplet') return { kind: 'couplet', number: end.couplet };
  if (end.kind === 'taxa') return { kind: 'taxa', taxa: lead.taxa.flatMap((t) => key.taxa[t] ?? []) };
  const group = reaches === undefined ? undefined : key.chain.taxa.get(reaches)?.name;
  const name = group ?? key.chain.nodes[lead.next]?.key.title ?? end.key;
  return { kind: 'key', name, ...(end.at === undefined ? {} : { at: end.at }) };
}

function worstOf(taxa: readonly Taxon[]): ConcernLevel | undefined {
  return concernLevels.find((level) => taxa.some((t) => t.concern.level === level));
}

/** How a keying stands. */
export function standingView({ key, standing }: Keying): StandingView {
  const within = standing.ask === undefined ? key.chain.main.id : ownerOf(standing.ask.couplet, key).id;
  return {
    status: statusTexts(standing)[0] ?? '',
    worst: standing.worst,
    settled: standing.settled ? settledText(standing) : undefined,
    decided: standing.decided.map((d) => decidedText(d, within, key)),
    warnings: standing.warnings.map((w) => w.message),
    unsure: standing.open.filter((o) => o.unsure).map((o) => nameWithin(o.couplet.name, within, key)),
  };
}

/** What has to be looked at before it fades, and what waits until one is at home. */
export interface ClockView {
  readonly fresh: readonly Character[];
  readonly home: readonly Character[];
}

/** What the couplets that are still open ask, by when it has to be looked at. */
export function clockView(key: CompiledKey, { open }: SessionState): ClockView {
  const asked = (couplets: SessionState['open']) => [
    ...new Set(couplets.flatMap((o) => askedBy(o.couplet, key))),
  ];
  return {
    // Where the person could not tell, they have looked already.
    fresh: asked(open.filter((o) => !o.unsure)).filter((c) => c.perishable && !isSlow(c)),
    home: asked(open).filter(isSlow),
  };
}

// What takes longer is not waited for outside.
const LONG_WAIT = 60;

function isSlow({ wait }: Character): boolean {
  return minutesOf(wait) > LONG_WAIT;
}

const charactersAsked = new WeakMap<CompiledCouplet, readonly Character[]>();

function askedBy(couplet: CompiledCouplet, { chain }: CompiledKey): readonly Character[] {
  const known = charactersAsked.get(couplet);
  if (known !== undefined) return known;
  const tests = couplet.leads.flatMap(({ lead }) => (lead.when === undefined ? [] : charactersIn(lead.when)));
  const asked = [...new Set(tests)].flatMap((id) => chain.characters.get(id) ?? []);
  charactersAsked.set(couplet, asked);
  return asked;
}

function ownerOf({ index }: CompiledCouplet, { chain }: CompiledKey): Key {
  return chain.nodes[index]?.key ?? chain.main;
}
