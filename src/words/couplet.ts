import type { CompiledKey, CompiledLead } from '../engine/compile.js';
import type { FurtherTaxon } from '../engine/outcome.js';
import type { DecidedCouplet, Question, SessionState } from '../engine/session.js';
import type { Taxon } from '../key/key.js';
import { harmless } from '../text/harmless.js';
import type { Paint } from '../text/paint.js';
import { count, listed } from '../text/words.js';
import { withDotLeader, wrapLines } from '../text/wrap.js';
import { concernWords } from './cautions.js';
import { splitLabel } from './paths.js';

/** How and how wide to set something. */
export interface LineStyle {
  readonly width: number;
  readonly paint: Paint;
}

/**
 * A couplet as printed keys set it: its number, in brackets the lead that leads to it, then every lead whole, with its
 * letter and, after dots, what it leads to. `marked` is the lead that the cursor is at.
 */
export function coupletLines(
  question: Question,
  key: CompiledKey,
  setting: LineStyle,
  marked?: number,
): string[] {
  const { width, paint } = setting;
  const { couplet, ruledOut } = question;
  const lines = wrapLines(paint.strong(coupletHeading(question, key)), width, '', '  ');
  const letters = Math.max(...couplet.leads.map((l) => l.lead.letter.length));
  couplet.leads.forEach((lead, i) => {
    const { letter, text } = lead.lead;
    const mark = i === marked ? '> ' : '  ';
    const first = `${mark}${paint.strong(letter.padEnd(letters))}  `;
    const rest = ' '.repeat(letters + 4);
    const body = wrapLines(harmless(text), width, first, rest);
    lines.push(...withDotLeader(body, targetText(lead, key), width, rest));
    const reason = ruledOut[i];
    if (reason !== undefined)
      lines.push(...wrapLines(`ruled out: ${harmless(reason)}`, width, `${rest}- `, `${rest}  `));
  });
  return lines;
}

/** `5 (4b)`, in a chained key `key-id 5 (4b)`. */
function coupletHeading(question: Question, key: CompiledKey): string {
  const [owner] = splitLabel(question.couplet.name);
  const from = question.from.map((label) => {
    const [theirs, own] = splitLabel(label);
    return theirs === owner ? own : `${theirs ?? key.chain.main.id} ${own}`;
  });
  const back = from.length === 0 ? '' : ` (${harmless(listed(from))})`;
  return `${coupletName(question.couplet.name)}${back}`;
}

/** The name of a couplet or a lead: `5`, outside the main key `key-id 5`. */
export function coupletName(name: string): string {
  return harmless(name.replace('/', ' '));
}

/** What a lead leads to: the number of a couplet, the names of taxa, or a key. */
function targetText(lead: CompiledLead, key: CompiledKey): string {
  const { end, reaches } = lead.lead;
  if (end.kind === 'couplet') return harmless(end.couplet);
  if (end.kind === 'taxa')
    return harmless(
      listed(
        lead.taxa.map((t) => key.taxa[t]?.name ?? ''),
        'or',
      ),
    );
  const node = key.chain.nodes[lead.next];
  const at = end.at === undefined ? '' : `, couplet ${end.at}`;
  const group = reaches === undefined ? undefined : key.chain.taxa.get(reaches)?.name;
  return harmless(`${group === undefined ? '' : `${group}: `}key ${node?.key.id ?? end.key}${at}`);
}

/** A couplet that needed no question: `5: a, since 2b says ...`. */
export function decidedText(decided: DecidedCouplet): string {
  const { letters, reason } = decided;
  const what = letters.length === 0 ? 'no lead fits' : listed(letters);
  return harmless(`${coupletName(decided.couplet.name)}: ${what}${reason === '' ? '' : `, since ${reason}`}`);
}

/** How many taxa are still possible, and the worst concern among them. */
export function statusText(standing: SessionState): string {
  const { further, worst } = standing;
  const possible = [...standing.possible, ...further.map((f) => f.taxon)];
  if (worst === undefined) return 'No taxon of this key is possible any more: look again at your answers.';
  const n = count(possible.length, 'taxon', 'taxa');
  if (possible.length === 1)
    return harmless(`1 taxon still possible, ${possible[0]?.name ?? ''}: ${concernWords(worst)}.`);
  const worstOnes = possible.filter((t) => t.concern.level === worst);
  return harmless(
    `${n} still possible${onlyAtWorst(further)}; the worst concern among them: ${concernWords(worst)}${worstNames(worstOnes, worst)}.`,
  );
}

/** How many of the taxa are possible only at worst, and by what. */
function onlyAtWorst(further: readonly FurtherTaxon[]): string {
  if (further.length === 0) return '';
  const by = [
    ...(further.some((f) => f.doubted.length > 0) ? ['if what is in doubt is wrong'] : []),
    ...(further.some((f) => f.doubted.length === 0) ? ['on a specimen by itself'] : []),
  ];
  return ` (${further.length} of them only ${listed(by, 'or')})`;
}

function worstNames(taxa: readonly Taxon[], worst: string): string {
  if (worst === 'unknown' || worst === 'none-recorded') return '';
  return taxa.length > 2 ? ` (${taxa.length} of them)` : ` (${listed(taxa.map((t) => t.name))})`;
}

/** What a person should hear as soon as more keying cannot change the verdict. */
export function settledText(standing: SessionState): string {
  const possible = [...standing.possible, ...standing.further.map((f) => f.taxon)];
  const [first] = possible;
  if (possible.length === 1)
    return `${harmless(first?.name ?? '')}, the only taxon still possible, is one to leave. More keying cannot change that.`;
  const each = possible.length === 2 ? 'Both taxa' : `Each of the ${possible.length} taxa`;
  return `${each} still possible ${possible.length === 2 ? 'are' : 'is'} to be left. Whichever of them it is, more keying cannot change that.`;
}
