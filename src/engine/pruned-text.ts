/** Writes what a pruning plan leaves of the couplets into the text of the key. */
import type { Key, Lead } from '../key/key.js';
import type { KeyText } from '../key/keytext.js';
import { flowList, flowMap, oneOrList } from '../key/scalars.js';
import type { KeptCouplet, PrunedTarget, PruningPlan } from './pruning.js';

/** An "otherwise" lead whose condition is written out, so that it does not take the finds of removed leads. */
interface WrittenOut {
  readonly couplet: string;
  readonly lead: string;
  readonly gone: readonly string[];
}

/** What was done to leads that stay. */
export interface PrunedLeads {
  readonly writtenOut: readonly WrittenOut[];
  /** Leads without a condition that were removed from a couplet whose "otherwise" stays: a person must keep them in mind. */
  readonly openGone: readonly string[];
}

/** Takes out the couplets and leads that a plan leaves out, and writes where the others end now. */
export function pruneCouplets(text: KeyText, main: Key, plan: PruningPlan): PrunedLeads {
  const writtenOut: WrittenOut[] = [];
  const openGone: string[] = [];
  text.removeFrom(['couplets'], new Set([...main.couplets.keys()].filter((id) => !plan.couplets.has(id))));
  for (const couplet of plan.couplets.values()) {
    const numbers = couplet.gone.map((l) => couplet.couplet.leads.indexOf(l));
    text.removeFrom(['couplets', couplet.id], new Set(numbers));
    for (const { lead, target, changed } of couplet.leads) if (changed) writeEnd(text, lead.lead, target);
    if (couplet.gone.length > 0) writeOtherwise(text, couplet, writtenOut, openGone);
  }
  return { writtenOut, openGone };
}

/** Writes where a lead ends now. */
function writeEnd(text: KeyText, lead: Lead, target: PrunedTarget): void {
  const at = [...lead.path, lead.end.kind === 'couplet' ? 'to' : 'taxon'];
  if (target.kind === 'couplet') text.replacePair(at, [['to', text.word(target.id)]]);
  else if (target.kind === 'taxa')
    text.replacePair(at, [['taxon', oneOrList(target.taxa.map((t) => text.word(t)))]]);
  else {
    const from = ['key', 'at', 'reaches'].filter((name) => text.has([...target.of.path, name]));
    text.replacePair(
      at,
      from.map((name) => [name, text.flow([...target.of.path, name])]),
    );
  }
  // What the author noted where the way ends now would be lost with its couplet.
  const { of } = target as { of?: Lead };
  if (of !== undefined && of !== lead && of.note !== undefined && lead.note === undefined)
    text.addPairs(lead.path, ['reaches', 'at', 'key', 'taxon', 'to'], [['note', JSON.stringify(of.note)]]);
}

/**
 * "Otherwise" takes what no other lead of its couplet takes. Where leads have gone it would take their finds as well;
 * so that it does not, what it refuses is written out.
 */
function writeOtherwise(
  text: KeyText,
  { couplet, id, leads, gone }: KeptCouplet,
  writtenOut: WrittenOut[],
  openGone: string[],
): void {
  const own = leads.find((l) => l.lead.otherwise)?.lead;
  if (own === undefined) return;
  const asking = couplet.leads.filter((l) => l.check !== undefined);
  const lost = gone.filter((l) => l.check !== undefined);
  if (lost.length < gone.length) openGone.push(own.label);
  if (lost.length === 0) return;
  const conditions = asking.map((l) => text.flow([...l.lead.path, 'when']));
  const not = text.word('not');
  const any = text.word('any');
  const refused = conditions.length === 1 ? conditions[0] : flowMap([[any, flowList(conditions)]]);
  text.replacePair([...own.lead.path, 'otherwise'], [['when', flowMap([[not, refused ?? '']])]]);
  writtenOut.push({
    couplet: id,
    lead: own.label,
    gone: lost.map((l) => l.label),
  });
}

/** The entry that says where keying begins, where the key needs one that it does not have; one that it has is changed. */
export function startEntry(text: KeyText, main: Key, { start, couplets }: PruningPlan): [string, string][] {
  const first = start?.kind === 'couplet' ? start.id : undefined;
  if (first === undefined) return [];
  if (text.has(['start'])) {
    if (first !== main.start) text.replaceValue(['start'], text.word(first));
    return [];
  }
  if (first !== main.start) return [['start', text.word(first)]];
  // Without a start the key begins with the first couplet of the file, which is still this one.
  const [top] = [...main.couplets.keys()].filter((c) => couplets.has(c));
  return top === first ? [] : [['start', text.word(first)]];
}
