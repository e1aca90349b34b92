import type { AlteredTaxon, Changes, NamedCandidate } from '../record/changes.js';
import type { RecordedVerdict } from '../record/write.js';
import { listed } from '../text/words.js';
import { concernWords } from './cautions.js';
import { coupletName } from './couplet.js';

/** What is different in a later determination, one sentence each; none when nothing is. */
export function changeItems(changes: Changes): string[] {
  const {
    name,
    verdict,
    gone,
    came,
    further,
    altered,
    parting,
    opened,
    dropped,
    partly,
    moved,
    unread,
    otherwise,
    evidence,
  } = changes;
  const both = verdict.before !== undefined && verdict.after !== undefined;
  const [was, is] = [verdictWords(verdict.before), verdictWords(verdict.after)];
  return [
    ...(both && name.before !== name.after ? [`name: ${name.after}; before: ${name.before}`] : []),
    ...(both && was !== is ? [`verdict: ${is}; before: ${was}`] : []),
    ...(gone.length === 0 ? [] : [`no longer possible: ${names(gone)}`]),
    ...(came.length === 0 ? [] : [`possible now: ${names(came)}`]),
    ...(further.gone.length === 0 ? [] : [`no longer possible at worst: ${names(further.gone)}`]),
    ...(further.came.length === 0 ? [] : [`possible at worst now: ${names(further.came)}`]),
    ...altered.map(alteredText),
    ...(parting === undefined
      ? []
      : [`the way parts at couplet ${coupletName(parting.couplet)}: ${parting.why}`]),
    ...dropped.map(
      (d) =>
        `answer ${coupletName(d.couplet)}${d.lead} no longer holds and counts as "can't tell": ${d.why}${d.says[0] === undefined ? '' : ` (it was: ${d.says[0]})`}`,
    ),
    ...partly.map(
      (a) =>
        `answer ${coupletName(a.from ?? `${a.couplet}${a.lead}`)} counts only for what it says of the find (${a.when ?? ''}): other leads of its couplet have changed`,
    ),
    ...(moved.length === 0
      ? []
      : [
          `now under another number: ${listed(moved.map((a) => `${coupletName(a.from ?? '')} is ${coupletName(a.couplet)}${a.lead}`))}`,
        ]),
    ...unread.map((u) => `evidence that the key does not understand: ${u}`),
    ...otherwise.map((o) => `evidence ${o}`),
    ...(opened.length === 0
      ? []
      : [
          `to be answered now: ${opened.length === 1 ? 'couplet' : 'couplets'} ${listed(opened.map(coupletName))}`,
        ]),
    ...(evidence.came.length === 0 ? [] : [`evidence added: ${evidence.came.join('; ')}`]),
    ...(evidence.gone.length === 0 ? [] : [`evidence left out: ${evidence.gone.join('; ')}`]),
  ];
}

/** The verdict in a few words: `leave it (deadly)`, with whether more keying can change it. */
export function verdictWords(verdict: RecordedVerdict | undefined): string {
  if (verdict === undefined) return 'not finished';
  const { word, worst, settled } = verdict;
  return `${word} (${concernWords(worst)}${settled ? '; more keying cannot change it' : ''})`;
}

function names(taxa: readonly NamedCandidate[]): string {
  return listed(taxa.map(withConcern));
}

function withConcern({ name, concern }: NamedCandidate): string {
  return concern === undefined ? name : `${name} (${concernWords(concern)})`;
}

function alteredText({ before, after }: AlteredTaxon): string {
  if (before.name !== after.name) return `${before.name} is called ${after.name} now`;
  return `recorded of ${after.name} now: ${concernWords(after.concern ?? 'unknown')}; before: ${concernWords(before.concern ?? 'unknown')}`;
}
