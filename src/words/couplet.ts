import type { CompiledKey, CompiledLead } from '../engine/compile.js';
import type { FurtherTaxon } from '../engine/outcome.js';
import type { DecidedCouplet, Question, SessionState } from '../engine/session.js';
import type { ConcernLevel, Taxon } from '../key/key.js';
import { harmless } from '../text/harmless.js';
import type { Paint } from '../text/paint.js';
import { listed } from '../text/words.js';
import { displayWidth, truncate, withDotLeader, wrapLines } from '../text/wrap.js';
import { concernBriefly, taxonWithCommonName } from './cautions.js';
import { shortKeyId, splitLabel } from './paths.js';

/** How and how wide to set something. */
export interface LineStyle {
  readonly width: number;
  readonly paint: Paint;
}

/**
 * A couplet as printed keys set it: its number, in brackets the lead that leads to it, then every lead whole, with its
 * letter and, after dots, what it leads to and the worst harm that lies there. `marked` is the lead that the cursor is
 * at; `brief` leaves out what a small window has no room for, but never words of a lead or a harm.
 */
export function coupletLines(
  question: Question,
  key: CompiledKey,
  setting: LineStyle,
  marked?: number,
  brief = false,
): string[] {
  const { paint, width } = setting;
  return [
    ...wrapLines(paint.strong(coupletHeading(question, key)), width, '', '  '),
    ...question.couplet.leads.flatMap((_, i) => leadLines(question, i, key, setting, i === marked, brief)),
  ];
}

/** One lead of a couplet that is asked. */
export function leadLines(
  { couplet, ruledOut, behind }: Question,
  index: number,
  key: CompiledKey,
  { width, paint }: LineStyle,
  marked: boolean,
  brief = false,
): string[] {
  const lead = couplet.leads[index];
  if (lead === undefined) return [];
  const { letter, text } = lead.lead;
  const letters = Math.max(...couplet.leads.map((l) => l.lead.letter.length));
  const first = `${marked ? '> ' : '  '}${paint.strong(letter.padEnd(letters))}  `;
  const rest = ' '.repeat(letters + 4);
  const body = wrapLines(harmless(text), width, first, rest);
  const [whole = '', short = whole] = targetTexts(lead, key, behind[index]);
  const target = brief && displayWidth(whole) + rest.length + 4 > width ? short : whole;
  const reason = ruledOut[index];
  const against = reason === undefined ? '' : `ruled out: ${harmless(reason)}`;
  return [
    ...withDotLeader(body, target, width, rest),
    ...(against === ''
      ? []
      : brief
        ? [`${rest}- ${truncate(against, width - rest.length - 2)}`]
        : wrapLines(against, width, `${rest}- `, `${rest}  `)),
  ];
}

/** `5 (4b)`; a lead of another key stands with the name of that key. */
function coupletHeading(question: Question, key: CompiledKey): string {
  const [owner = key.chain.main.id, own] = splitLabel(question.couplet.name);
  const from = question.from.map((label) => nameWithin(label, owner, key));
  const back = from.length === 0 ? '' : ` (${listed(from)})`;
  return `${harmless(own)}${back}`;
}

/** The name of a couplet or a lead where the key `within` is spoken of: `5`, in another key `rust-spored 5`. */
export function nameWithin(name: string, within: string, key: CompiledKey): string {
  const [owner = key.chain.main.id, own] = splitLabel(name);
  return harmless(owner === within ? own : `${shortKeyId(owner, key.chain)} ${own}`);
}

/** The number of a couplet in its own key, where that key is spoken of: `5`. */
export function ownNumber(couplet: string): string {
  return harmless(splitLabel(couplet)[1]);
}

/** The name of a couplet or a lead: `5`, outside the main key `key-id 5`. */
export function coupletName(name: string): string {
  return harmless(name.replace('/', ' '));
}

/**
 * What a lead leads to: the number of a couplet, the names of taxa, or a key; with the worst harm that may lie there.
 * Whole, and in short.
 */
function targetTexts(
  lead: CompiledLead,
  key: CompiledKey,
  worst: ConcernLevel | undefined,
): readonly [string, string] {
  const { end, reaches } = lead.lead;
  const harm = worst === undefined ? '' : `, worst: ${concernBriefly(worst)}`;
  if (end.kind === 'couplet') {
    const text = harmless(`${end.couplet}${harm}`);
    return [text, text];
  }
  if (end.kind === 'taxa') {
    const taxa = lead.taxa.flatMap((t) => key.taxa[t] ?? []);
    const either = (name: (taxon: Taxon) => string) =>
      harmless(
        listed(
          taxa.map((t) => `${name(t)}: ${concernBriefly(t.concern.level)}`),
          'or',
        ),
      );
    return [either(taxonWithCommonName), either((t) => t.name)];
  }
  const node = key.chain.nodes[lead.next];
  const at = end.at === undefined ? '' : `, couplet ${end.at}`;
  const group = reaches === undefined ? undefined : key.chain.taxa.get(reaches)?.name;
  const id = node?.key.id ?? end.key;
  return [
    harmless(`${group === undefined ? '' : `${group}: `}key ${id}${at}${harm}`),
    harmless(`key ${shortKeyId(id, key.chain)}${at}${harm}`),
  ];
}

/** A couplet that needed no question: `5: a, since 2b says ...`. `within` is the key that is spoken of. */
export function decidedText(decided: DecidedCouplet, within: string, key: CompiledKey): string {
  const { letters, reason } = decided;
  const what = letters.length === 0 ? 'no lead fits' : listed(letters);
  return harmless(
    `${nameWithin(decided.couplet.name, within, key)}: ${what}${reason === '' ? '' : `, since ${reason}`}`,
  );
}

/** How many taxa are still possible, and the worst concern among them, on one line of that width. */
export function statusText(state: SessionState, width: number): string {
  return firstFitting(statusTexts(state), width);
}

/** The same in several lengths, the longest first. */
export function statusTexts({ possible: found, further, worst }: SessionState): readonly string[] {
  if (worst === undefined)
    return [
      'Nothing in this key is possible any more: look again at your answers.',
      'Nothing is possible any more.',
    ];
  const possible = [...found, ...further.map((f) => f.taxon)];
  const harm = concernBriefly(worst);
  const [first] = possible;
  if (possible.length === 1)
    return [`1 possible: ${harmless(first?.name ?? '')}: ${harm}`, `1 possible: ${harm}`];
  const all = `${possible.length} possible; worst: ${harm}`;
  const atWorst =
    further.length === 0 ? [] : [`${possible.length} possible${onlyAtWorst(further)}; worst: ${harm}`];
  if (worst === 'unknown' || worst === 'none-recorded') return [...atWorst, all];
  const worstOnes = possible.filter((t) => t.concern.level === worst);
  const named = ` (${harmless(listed(worstOnes.map((t) => t.name)))})`;
  const counted = ` (${worstOnes.length} of them)`;
  const texts = [...atWorst, all].flatMap((text) => [
    ...(worstOnes.length > 2 ? [] : [text + named]),
    text + counted,
  ]);
  return [...texts, all];
}

/** How many of the taxa are possible only at worst, and by what. */
function onlyAtWorst(further: readonly FurtherTaxon[]): string {
  const by = [
    ...(further.some((f) => f.doubted.length > 0) ? ['if what is in doubt is wrong'] : []),
    ...(further.some((f) => f.doubted.length === 0) ? ['on a specimen by itself'] : []),
  ];
  return ` (${further.length} only ${listed(by, 'or')})`;
}

/** The first of some texts that fits on a line, or what fits of the last. */
export function firstFitting(texts: readonly string[], width: number): string {
  return texts.find((t) => displayWidth(t) <= width) ?? truncate(texts[texts.length - 1] ?? '', width);
}

/** What a person should hear as soon as more keying cannot change the verdict. */
export function settledText(standing: SessionState): string {
  const possible = [...standing.possible, ...standing.further.map((f) => f.taxon)];
  if (possible.length === 1)
    return `${harmless(possible[0]?.name ?? '')}, the only one possible, is to be left. More keying cannot change that.`;
  const each =
    possible.length === 2 ? 'Both that are possible are' : `Each of the ${possible.length} possible is`;
  return `${each} to be left. More keying cannot change that.`;
}
