/** Writes an imported key as the text of a key file, with comments on what to review. */

import { comment, flowList, flowScalar, oneOrList, property, scalar } from '../../key/scalars.js';
import {
  bare,
  below,
  coupletLines,
  entries,
  type Fields,
  keyText,
  type LeadText,
  remark,
  type Written,
  words,
} from '../../key/write.js';
import { REVIEW, REVIEWED, type Sureness } from '../../lint/review-marks.js';
import type { Item, ReadAs } from './draft.js';
import type { Line } from './lines.js';
import { isWeak, type Linked, type LinkedCouplet, type LinkedLead, labelOf, type Remark } from './linked.js';
import type { Proposals, ProposedCharacter } from './proposals.js';
import type { About } from './tabular/table.js';
import { noteOf, type Taxa } from './taxa.js';

/** One key, ready to be written. Several parts are one key joined from several. */
interface KeySheet {
  readonly id: string;
  readonly title: string;
  readonly language: string | undefined;
  readonly cite: string | undefined;
  /** The name of the text it comes from. */
  readonly from: string;
  readonly layout: ReadAs;
  /** Stated in the print. */
  readonly version: string | undefined;
  readonly licence: string | undefined;
  /** The article in which the key stands. */
  readonly about: About | undefined;
  readonly glossary: readonly (readonly [term: string, meaning: string])[];
  readonly linked: readonly Linked[];
  readonly taxa: Taxa;
  readonly proposals: Proposals | undefined;
  /** A couplet made of the headings of joined keys: its id and leads. */
  readonly opening: readonly { readonly words: string; readonly to: string }[];
  readonly openingId: string;
  /** Lines before the first lead and after the last, and those of pages, kept as comments. */
  readonly before: readonly Line[];
  readonly after: readonly Line[];
  readonly furniture: readonly Line[];
  readonly remarks: readonly Remark[];
  /** The id of the key of that printed name; undefined when the text has none. */
  keyNamed(printed: string): { readonly id: string; readonly known: boolean };
  /** Whether the layout was told with little certainty. */
  readonly unsure: boolean;
}

/** The text of the key file. */
export function writeKey(sheet: KeySheet): string {
  return keyText({
    comments: openingComments(sheet),
    head: head(sheet),
    characters: characterLines(sheet),
    couplets: importedCouplets(sheet),
    taxa: taxonLines(sheet),
    glossary: glossaryOf(sheet),
  });
}

function openingComments(sheet: KeySheet): string[] {
  const couplets = sheet.linked.flatMap((l) => l.couplets);
  const leads = couplets.reduce((n, c) => n + c.leads.length, 0);
  return [
    `Imported from ${sheet.from}; ${sheet.layout === 'table' ? 'the key stands in a table there' : `the layout was read as "${sheet.layout}"`}${sheet.unsure ? ', which is doubtful' : ''}.`,
    `${couplets.length} couplets, ${leads} leads, ${sheet.taxa.all.length} taxa. Above each couplet stand its lines in the print and how sure`,
    `it was read: clear, likely or doubtful; ${REVIEWED} once a person has looked at it. "${REVIEW}" marks what to look at.`,
    ...(sheet.cite === undefined && sheet.about?.cite === undefined
      ? ['State the source of the key under "sources", and on what terms it may be passed on.']
      : []),
  ];
}

function head({ id, title, version = '0.1.0', language, licence, cite, about }: KeySheet): string[] {
  const sources = {
    ...(about?.cite === undefined
      ? {}
      : { article: below({ cite: words(about.cite), url: words(about.url) }) }),
    ...(cite === undefined ? {} : { printed: below({ cite: words(cite) }) }),
  };
  return entries(
    {
      id: bare(id),
      title: words(title),
      // A version with two points is no number, and needs no quotes.
      version: bare(/^\d+\.\d+\.\d+$/.test(version) ? version : JSON.stringify(version)),
      language: bare(language),
      licence: words(licence ?? about?.licence),
      authors: about === undefined || about.authors.length === 0 ? undefined : [...about.authors],
      sources: Object.keys(sources).length === 0 ? undefined : below(sources),
    },
    '',
  );
}

function characterLines({ proposals }: KeySheet): string[] {
  const characters = proposals?.characters ?? [];
  if (characters.length === 0) return [];
  return [
    comment(`${REVIEW} all characters are proposed from the words of the leads`, '  '),
    ...characters.flatMap((c) => below(characterFields(c))(c.id, '  ')),
  ];
}

function characterFields({ name, kind, unit, states }: ProposedCharacter): Fields {
  if (kind === 'measure') return { name: words(name), kind, unit: bare(unit) };
  if (kind === 'count') return { name: words(name), kind };
  const all = [...states];
  const alike = all.every(([id, meaning]) => id === meaning);
  return {
    name: words(name),
    states: alike
      ? bare(flowList(all.map(([id]) => flowScalar(id))))
      : below(Object.fromEntries(all.map(([id, meaning]) => [id, bare(scalar(meaning))]))),
  };
}

function importedCouplets(sheet: KeySheet): string[] {
  const blocks = [looseComments(sheet.before).map(indented)];
  // Lines of pages go before the first lead that comes after them.
  const furniture = [...sheet.furniture].sort((a, b) => a.row - b.row);
  let page = 0;
  const remarksOf = new Map<LinkedCouplet, Remark[]>();
  for (const remark of sheet.remarks) {
    if (remark.couplet === undefined) continue;
    const at = remarksOf.get(remark.couplet) ?? [];
    at.push(remark);
    remarksOf.set(remark.couplet, at);
  }
  if (sheet.opening.length > 0) {
    const above = [`${REVIEW} this couplet is not printed; it is made of the headings`];
    const leads = sheet.opening.map(({ words: lead, to }) => ({
      fields: { lead: words(lead), to: bare(to) },
    }));
    blocks.push(coupletLines(sheet.openingId, above, leads));
  }
  for (const linked of sheet.linked) {
    for (const couplet of linked.couplets) {
      const leads = couplet.leads.map((lead) => {
        const loose: Line[] = [...lead.item.loose];
        for (; page < furniture.length && (furniture[page] as Line).row < lead.item.line.row; page++)
          loose.push(furniture[page] as Line);
        loose.sort((a, b) => a.row - b.row);
        return { ...leadText(lead, couplet, sheet), before: looseComments(loose) };
      });
      const said = coupletHead(couplet, linked, remarksOf.get(couplet) ?? []);
      const above = [...(leads[0]?.before.splice(0) ?? []), ...said];
      if (blocks.some((b) => b.length > 0)) blocks.push(['']);
      blocks.push(coupletLines(couplet.id, above, leads));
    }
    blocks.push(looseComments(linked.outline.after).map(indented));
  }
  blocks.push(looseComments([...sheet.after, ...furniture.slice(page)]).map(indented));
  return blocks.flat();
}

function indented(text: string): string {
  return comment(text, '  ');
}

function looseComments(lines: readonly Line[]): string[] {
  return lines.map((line) => `line ${line.number}: ${line.raw}`);
}

/** Lines of the print and confidence, with the reasons where it is less than clear. */
function coupletHead(couplet: LinkedCouplet, linked: Linked, remarks: readonly Remark[]): string[] {
  const { level, reasons } = confidenceOf(couplet, linked, remarks);
  const labels =
    couplet.group.name === undefined || couplet.id !== couplet.group.name
      ? couplet.leads.flatMap((l) => l.item.label?.printed ?? [])
      : [];
  const printed = labels.length === 0 ? '' : `printed ${labels.join(' / ')}, `;
  return [`${printed}${linesOf(couplet)}: ${level}`, ...reasons.map((reason) => `${REVIEW} ${reason}`)];
}

function linesOf({ leads }: LinkedCouplet): string {
  const spans = leads.flatMap(({ item }) => spansOf(item));
  const [first] = spans[0] as Span;
  const [, last] = spans.at(-1) as Span;
  const together = spans.every(([from], i) => i === 0 || follows(from, (spans[i - 1] as Span)[1]));
  const shown = ([from, to]: Span) => (from === to ? `${from}` : `${from}-${to}`);
  if (together) return `${first === last ? 'line' : 'lines'} ${shown([first, last])}`;
  return `lines ${spans.map(shown).join(' and ')}`;
}

type Span = readonly [from: number, to: number];

/** The lines of a lead: several stretches where it goes on at the top of the next column. */
function spansOf({ line, lastLine, pieces }: Item): Span[] {
  if (line.number <= lastLine.number) return [[line.number, lastLine.number]];
  const spans: Span[] = [];
  for (const { number } of pieces.map((p) => p.line)) {
    const [from, to] = spans.at(-1) ?? [number, number];
    if (follows(number, to)) spans.splice(-1, 1, [from, number]);
    else spans.push([number, number]);
  }
  return spans;
}

/** Whether a line is right below another, or is the same. */
function follows(number: number, above: number): boolean {
  return number >= above && number - above <= 2;
}

/** How sure a couplet is, and why not more. */
export function confidenceOf(
  couplet: LinkedCouplet,
  linked: Linked,
  remarks: readonly Remark[],
): { level: Sureness; reasons: string[] } {
  const reasons = [...new Set(remarks.filter((r) => r.level !== 'note').map((r) => `${r.message}`))];
  if (reasons.length > 0) return { level: 'doubtful', reasons };
  if (isWeak(linked))
    return { level: 'doubtful', reasons: ['little of this key holds together as it was read'] };
  const likely = new Set(remarks.map((r) => r.message));
  for (const lead of couplet.leads) {
    const label = labelOf(couplet, lead);
    if (lead.how === 'words' && lead.target.kind === 'taxa')
      likely.add(`lead ${label}: its name stands among the words`);
    if (lead.how === 'number') likely.add(`lead ${label}: its number stands right behind the words`);
    if (lead.target.kind === 'taxa' && lead.target.end.form === 1)
      likely.add(`lead ${label}: the name is told by its place`);
    if (lead.item.label === undefined && linked.outline.layout !== 'first-numbered')
      likely.add('told by indents alone');
  }
  return { level: likely.size > 0 ? 'likely' : 'clear', reasons: [...likely] };
}

function leadText(lead: LinkedLead, couplet: LinkedCouplet, sheet: KeySheet): LeadText {
  const proposed = sheet.proposals?.tests.get(lead) ?? [];
  const asked = (usually: boolean) => {
    const tests = proposed.filter((t) => t.usually === usually);
    const said = [...new Set(tests.map((t) => `"${t.said}"`))].join(', ');
    const all = tests.map(({ character, values }) => [
      character.id,
      values.length === 1 ? values[0] : values,
    ]);
    return {
      fields: all.length === 0 ? undefined : Object.fromEntries(all),
      above: [`${REVIEW} proposed from ${said}`],
    };
  };
  const [when, usually] = [asked(false), asked(true)];
  const { fields, above } = targetText(lead, couplet, sheet);
  return {
    fields: {
      lead: words(lead.words === '' ? '(no words are printed)' : lead.words),
      when: when.fields,
      usually: usually.fields,
      ...fields,
      note: words(noteOf(lead, sheet.taxa.numbered)),
      // The figures are in the article.
      sources: lead.item.figures === true && sheet.about?.cite !== undefined ? ['article'] : undefined,
    },
    above: { ...above, when: when.above, usually: usually.above },
  };
}

function targetText(lead: LinkedLead, couplet: LinkedCouplet, sheet: KeySheet): LeadText {
  const { target } = lead;
  const ids = target.kind === 'taxa' ? sheet.taxa.idsOf(target.end) : [];
  if (target.kind === 'taxa' && ids.length > 0)
    return {
      fields: { taxon: bare(oneOrList(ids)) },
      above: target.via === 'guess' ? { taxon: [`${REVIEW} taken from the last words of the lead`] } : {},
    };
  switch (target.kind) {
    case 'couplet': {
      const unprinted = target.via === 'next' || target.via === 'back';
      const reached = target.end === undefined ? [] : sheet.taxa.idsOf(target.end);
      return {
        fields: { to: bare(target.couplet.id), reaches: bare(reached.length === 1 ? reached[0] : undefined) },
        above: unprinted ? { to: [`${REVIEW} no target is printed here`] } : {},
      };
    }
    case 'key': {
      const { id, known } = sheet.keyNamed(target.name);
      const { at, reaches } = target.end;
      return {
        fields: {
          key: bare(id),
          at: bare(at),
          reaches: bare(reaches && sheet.taxa.idsOf({ ...target.end, names: [reaches] })[0]),
        },
        above: known ? {} : { key: [`${REVIEW} printed "${target.name}"; no such key is in the text`] },
      };
    }
    case 'several':
      return { fields: { to: remark(`${REVIEW} printed "${target.printed}"; write one of them after to:`) } };
    case 'nowhere':
      return {
        fields: { to: bare(target.printed) },
        above: { to: [`${REVIEW} printed so; there is no couplet ${target.printed}`] },
      };
    default: {
      const label = labelOf(couplet, lead);
      return {
        fields: {
          to: remark(`${REVIEW} lead ${label} has no target in the print: write to, taxon or key here`),
        },
      };
    }
  }
}

function glossaryOf({ glossary }: KeySheet): Written | undefined {
  if (glossary.length === 0) return undefined;
  const lines = glossary.flatMap(([term, meaning]) => property(scalar(term), meaning, '  '));
  return () => ['glossary:', ...lines];
}

function taxonLines({ taxa }: KeySheet): string[] {
  if (taxa.all.length === 0) return [];
  const all = taxa.all.map(({ id, name, authority, rank, common, within, concern, repeats }) =>
    below({
      name: words(name),
      authority: words(authority),
      rank: bare(rank),
      common: common.length === 0 ? undefined : bare(flowList(common.map(flowScalar))),
      within: bare(within),
      concern:
        concern === undefined || concern === 'unknown'
          ? undefined
          : { level: concern, source: 'stated in the print, behind the name' },
      repeats: repeats ? 'meant' : undefined,
    })(id, '  '),
  );
  return [comment(`${REVIEW} ranks are told by the form of the names alone`, '  '), ...all.flat()];
}
