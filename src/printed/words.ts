import { MONTHS } from '../engine/scope.js';
import {
  type ConcernLevel,
  concernLevels,
  type Duty,
  type Key,
  type Source,
  type Taxon,
} from '../key/key.js';
import { capital, listed } from '../text/words.js';
import { concernWords } from '../words/cautions.js';
import { figureText, type Printed, type PrintedEnd, type PrintedTaxon } from './key.js';
import { nameSpans, type Span } from './names.js';

/** Upright text. */
export function upright(text: string): Span {
  return { text, italic: false };
}

/** The text of spans. */
export function textOf(spans: readonly Span[]): string {
  return spans.map((s) => s.text).join('');
}

/** A level of concern as it follows a name; what else is to be said of it is said once. */
export function shortConcern(level: ConcernLevel): string {
  return concernWords(level).split(',', 1)[0] ?? '';
}

/** What a lead leads to, as it is set at the end of the lead. */
export function endSpans(end: PrintedEnd, { harmStated }: Pick<Printed, 'harmStated'>): Span[] {
  if (end.kind === 'couplet') return [upright(end.number)];
  if (end.kind === 'missing') return [upright(`${end.what}, which is missing`)];
  if (end.kind === 'key') {
    const at = end.at === undefined ? '' : `, couplet ${end.at}`;
    const below = end.printed ? ', below' : '';
    const group = end.group === undefined ? [] : [...nameSpans(end.group), upright(': ')];
    return [...group, upright(`see the key “${end.title}”${at}${below}`)];
  }
  return joined(
    end.taxa.map((taxon) =>
      harmStated
        ? [...nameSpans(taxon), upright(` (${shortConcern(taxon.concern.level)})`)]
        : nameSpans(taxon),
    ),
    ' or ',
  );
}

function joined(items: readonly (readonly Span[])[], last: string): Span[] {
  return items.flatMap((item, i) => {
    if (i === 0) return [...item];
    return [upright(i === items.length - 1 ? last : ', '), ...item];
  });
}

/** What must be said once of the harm that follows the names, or of its absence. */
export function harmSentences({ harmStated, taxa }: Printed): string[] {
  if (taxa.length === 0) return [];
  if (!harmStated)
    return ['What the taxa of this key do to people is not recorded in it. That proves nothing.'];
  const weak = levelsIn(taxa)
    .filter((l) => l === 'unknown' || l === 'none-recorded')
    .map((l) => `“${shortConcern(l)}”`);
  const proves = weak.length === 0 ? '' : ` The words ${listed(weak)} prove nothing.`;
  return [`In brackets after a name: the harm that is recorded for it.${proves}`];
}

/** Whose key it is: `Version 0.4.0, 2026-11-25. Authors: ... Licence: CC-BY-4.0.` */
export function imprint(key: Key): string {
  const { version, date, authors, licence } = key;
  return [
    `Version ${version}${date === undefined ? '' : `, ${date}`}.`,
    authors.length === 0 ? '' : `By ${listed(authors)}.`,
    licence === undefined ? '' : `Licence: ${licence}.`,
  ]
    .filter((t) => t !== '')
    .join(' ');
}

/** What a key is for, a heading and a text each; empty when its author does not say. */
export function scopeEntries(key: Key): (readonly [heading: string, text: string])[] {
  const { group, regions, months, stages, complete, note } = key.scope;
  const entries: (readonly [string, string | undefined])[] = [
    ['Group', group],
    ['Regions', regions.length === 0 ? undefined : regions.join(', ')],
    ['Months', months.length === 0 ? undefined : monthsText(months)],
    ['Ages', stages.length === 0 ? undefined : listed(stages)],
    [
      'Taxa',
      complete
        ? 'all of the group in the regions, its authors say'
        : 'not every one of the group is in this key',
    ],
    ['Limits', note],
  ];
  const known = entries.filter((e): e is readonly [string, string] => e[1] !== undefined);
  // What is true of any key says nothing by itself.
  return known.length === 1 && !complete ? [] : known;
}

/** Months in words; those that follow each other as a span, also over the turn of the year: `October to March`. */
export function monthsText(months: readonly number[]): string {
  const there = new Set(months);
  if (there.size >= 12) return 'all year';
  const name = (month: number) => MONTHS[month - 1] ?? String(month);
  const starts = [...there].filter((m) => !there.has(m === 1 ? 12 : m - 1)).sort((a, b) => a - b);
  const spans = starts.map((start) => {
    let end = start;
    while (there.has(end === 12 ? 1 : end + 1)) end = end === 12 ? 1 : end + 1;
    if (end === start) return name(start);
    const next = start === 12 ? 1 : start + 1;
    return end === next ? `${name(start)} and ${name(end)}` : `${name(start)} to ${name(end)}`;
  });
  return spans.join(', ');
}

/** An entry of the list of taxa. */
interface TaxonEntry {
  /** Name, authority and common names. */
  readonly head: readonly Span[];
  /** Where it keys out. */
  readonly at: string;
  /** What else is known of it, a sentence or two each. */
  readonly facts: readonly (readonly Span[])[];
}

/** All that is printed of a taxon in the list of taxa. */
export function taxonEntry({ taxon, at }: PrintedTaxon, printed: Printed): TaxonEntry {
  const { authority, common, synonyms, duties, habitat, months, note, alike } = taxon;
  const head = [
    ...nameSpans(taxon),
    ...(authority === undefined ? [] : [upright(` ${authority}`)]),
    ...(common.length === 0 ? [] : [upright(`, ${common.join(', ')}`)]),
  ];
  const facts: Span[][] = [];
  if (printed.harmStated) facts.push([upright(`${sentence(harmText(taxon))}`)]);
  const lookalikes = alike.flatMap((id) => {
    const other = printed.known.get(id);
    if (other === undefined) return [];
    const words = printed.harmStated ? [upright(` (${shortConcern(other.concern.level)})`)] : [];
    return [[...nameSpans(other), ...words]];
  });
  if (lookalikes.length > 0)
    facts.push([upright('Easily taken for: '), ...joined(lookalikes, ' or '), upright('.')]);
  for (const duty of duties) facts.push([upright(dutyText(duty))]);
  const where = [
    habitat === undefined ? '' : sentence(capital(habitat)),
    months.length === 0 ? '' : sentence(capital(monthsText(months))),
  ].filter((t) => t !== '');
  if (where.length > 0) facts.push([upright(where.join(' '))]);
  if (synonyms.length > 0)
    facts.push([
      upright('Also as '),
      ...joined(
        synonyms.map((name) => nameSpans({ ...taxon, name })),
        ' and ',
      ),
      upright('.'),
    ]);
  if (note !== undefined) facts.push(printed.names.spans(sentence(note)));
  for (const figure of taxon.figures) facts.push(printed.names.spans(sentence(figureText(figure))));
  return { head, at: listed(at), facts };
}

function harmText({ concern }: Taxon): string {
  const { level, effect, onset, source } = concern;
  return [
    capital(concernWords(level)),
    effect === undefined ? '' : `effect: ${effect}`,
    onset === undefined ? '' : `first signs: ${onset}`,
    source === undefined ? '' : `source: ${source}`,
  ]
    .filter((p) => p !== '')
    .join('; ');
}

/** A duty that the law may lay on a finder. */
function dutyText({ kind, note }: Duty): string {
  const what = { protected: 'Protected', notifiable: 'To be notified', invasive: 'Invasive' }[kind];
  return `${what}${note === undefined ? '' : `: ${note}`}; check your local rules.`;
}

/** A source as it is listed. */
export function sourceText({ cite, pages, note }: Source): string {
  return [cite, pages === undefined ? '' : `p. ${pages}`, note ?? ''].filter((t) => t !== '').join(', ');
}

/** The levels of concern that stand in a key, worst first. */
export function levelsIn(taxa: readonly PrintedTaxon[]): ConcernLevel[] {
  const there = new Set(taxa.map((t) => t.taxon.concern.level));
  return concernLevels.filter((l) => there.has(l));
}

function sentence(text: string): string {
  return /[.!?…]["”’)]?$/.test(text) ? text : `${text}.`;
}
