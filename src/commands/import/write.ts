/** Writes an imported key as the text of a key file, with comments on what to review. */

import { comment, flowScalar, property, scalar } from '../../key/write.js';
import type { Item, Layout } from './draft.js';
import type { Line } from './lines.js';
import { type Linked, type LinkedCouplet, type LinkedLead, labelOf, type Remark } from './linked.js';
import type { Proposals, ProposedCharacter } from './proposals.js';
import { noteOf, type Taxa } from './taxa.js';

/** One key, ready to be written. Several parts are one key joined from several. */
interface KeySheet {
  readonly id: string;
  readonly title: string;
  readonly language: string | undefined;
  readonly cite: string | undefined;
  /** The name of the text it comes from. */
  readonly from: string;
  readonly layout: Layout;
  /** Stated in the print. */
  readonly version: string | undefined;
  readonly licence: string | undefined;
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

/** How sure a couplet was read. */
type Confidence = 'clear' | 'likely' | 'doubtful';

/** The text of the key file. */
export function writeKey(sheet: KeySheet): string {
  return `${[...head(sheet), ...characterLines(sheet), '', 'couplets:', ...coupletLines(sheet), '', ...taxonLines(sheet), ...glossaryLines(sheet)].join('\n')}\n`;
}

function head(sheet: KeySheet): string[] {
  const couplets = sheet.linked.flatMap((l) => l.couplets);
  const leads = couplets.reduce((n, c) => n + c.leads.length, 0);
  const lines = [
    comment(
      `Imported from ${sheet.from}; the layout was read as "${sheet.layout}"${sheet.unsure ? ', which is doubtful' : ''}.`,
      '',
    ),
    comment(
      `${couplets.length} couplets, ${leads} leads, ${sheet.taxa.all.length} taxa. Above each couplet stand its lines in the print and how sure`,
      '',
    ),
    comment(
      'it was read: clear, likely or doubtful. "review" marks what was proposed and is not in the print.',
      '',
    ),
    ...(sheet.cite === undefined
      ? [comment('State the source of the key under "sources", and on what terms it may be passed on.', '')]
      : []),
    'keywright: 1',
    `id: ${sheet.id}`,
    ...property('title', sheet.title, ''),
    `version: ${sheet.version === undefined ? '0.1.0' : versionScalar(sheet.version)}`,
    ...(sheet.language === undefined ? [] : [`language: ${sheet.language}`]),
  ];
  if (sheet.licence !== undefined) lines.push(...property('licence', sheet.licence, ''));
  if (sheet.cite !== undefined) lines.push('sources:', '  printed:', ...property('cite', sheet.cite, '    '));
  return lines;
}

function characterLines({ proposals }: KeySheet): string[] {
  if (proposals === undefined || proposals.characters.length === 0) return [];
  const lines = [
    '',
    'characters:',
    comment('review: all characters are proposed from the words of the leads', '  '),
  ];
  for (const character of proposals.characters) {
    lines.push(
      `  ${character.id}:`,
      ...property('name', character.name, '    '),
      ...characterKind(character),
    );
  }
  return lines;
}

function characterKind({ kind, unit, states }: ProposedCharacter): string[] {
  if (kind === 'measure') return ['    kind: measure', `    unit: ${unit}`];
  if (kind === 'count') return ['    kind: count'];
  const all = [...states];
  if (all.every(([id, meaning]) => id === meaning))
    return [`    states: [${all.map(([id]) => flowScalar(id)).join(', ')}]`];
  return ['    states:', ...all.map(([id, meaning]) => `      ${flowScalar(id)}: ${scalar(meaning)}`)];
}

function coupletLines(sheet: KeySheet): string[] {
  const lines: string[] = [...looseLines(sheet.before, '  ')];
  // Lines of pages go before the first lead that comes after them.
  const furniture = [...sheet.furniture].sort((a, b) => a.number - b.number);
  let page = 0;
  const remarksOf = new Map<LinkedCouplet, Remark[]>();
  for (const remark of sheet.remarks) {
    if (remark.couplet === undefined) continue;
    const at = remarksOf.get(remark.couplet) ?? [];
    at.push(remark);
    remarksOf.set(remark.couplet, at);
  }
  if (sheet.opening.length > 0) {
    lines.push(
      comment('review: this couplet is not printed; it is made of the headings', '  '),
      `  ${sheet.openingId}:`,
    );
    for (const { words, to } of sheet.opening)
      lines.push(...property('lead', words, '    - '), `      to: ${to}`);
  }
  for (const linked of sheet.linked) {
    for (const couplet of linked.couplets) {
      couplet.leads.forEach((lead, i) => {
        const above: Line[] = [...lead.item.loose];
        for (; page < furniture.length && (furniture[page] as Line).number < lead.item.line; page++)
          above.push(furniture[page] as Line);
        const loose = looseLines(
          above.sort((a, b) => a.number - b.number),
          i === 0 ? '  ' : '    ',
        );
        if (i === 0 && lines.length > 0) lines.push('');
        append(lines, loose);
        if (i === 0) {
          append(lines, coupletHead(couplet, linked, remarksOf.get(couplet) ?? []));
          lines.push(`  ${couplet.id}:`);
        }
        append(lines, leadLines(lead, couplet, sheet));
      });
    }
    append(lines, looseLines(linked.outline.after, '  '));
  }
  append(lines, looseLines([...sheet.after, ...furniture.slice(page)], '  '));
  return lines;
}

/** Adds lines one by one: there may be more than a call takes arguments. */
function append(lines: string[], more: readonly string[]): void {
  for (const line of more) lines.push(line);
}

function looseLines(lines: readonly Line[], indent: string): string[] {
  return lines.map((line) => comment(`line ${line.number}: ${line.raw}`, indent));
}

/** Lines of the print and confidence, with the reasons where it is less than clear. */
function coupletHead(couplet: LinkedCouplet, linked: Linked, remarks: readonly Remark[]): string[] {
  const { level, reasons } = confidenceOf(couplet, linked, remarks);
  const labels =
    couplet.group.name === undefined || couplet.id !== couplet.group.name
      ? couplet.leads.flatMap((l) => l.item.label?.printed ?? [])
      : [];
  const printed = labels.length === 0 ? '' : `printed ${labels.join(' / ')}, `;
  return [
    comment(`${printed}${linesOf(couplet)}: ${level}`, '  '),
    ...reasons.map((reason) => comment(`  ${reason}`, '  ')),
  ];
}

function linesOf({ leads }: LinkedCouplet): string {
  const spans = leads.map(({ item }) =>
    item.line === item.lastLine ? `${item.line}` : `${item.line}-${item.lastLine}`,
  );
  const first = leads[0]?.item as Item;
  const last = leads[leads.length - 1]?.item as Item;
  const together = leads.every((l, i) => i === 0 || l.item.line - (leads[i - 1]?.item.lastLine ?? 0) <= 2);
  if (together)
    return first.line === last.lastLine ? `line ${first.line}` : `lines ${first.line}-${last.lastLine}`;
  return `lines ${spans.join(' and ')}`;
}

/** How sure a couplet is, and why not more. */
function confidenceOf(
  couplet: LinkedCouplet,
  linked: Linked,
  remarks: readonly Remark[],
): { level: Confidence; reasons: string[] } {
  const reasons = [...new Set(remarks.filter((r) => r.level !== 'note').map((r) => `${r.message}`))];
  if (reasons.length > 0) return { level: 'doubtful', reasons };
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

function leadLines(lead: LinkedLead, couplet: LinkedCouplet, sheet: KeySheet): string[] {
  const lines = property('lead', lead.words === '' ? '(no words are printed)' : lead.words, '    - ');
  const tests = sheet.proposals?.tests.get(lead) ?? [];
  if (tests.length > 0) {
    const said = [...new Set(tests.map((t) => `"${t.said}"`))].join(', ');
    lines.push(comment(`review: proposed from ${said}`, '      '));
    const parts = tests.map(({ character, values }) => {
      const written = character.kind === 'choice' ? values.map(flowScalar) : values.map(notation);
      return `${character.id}: ${written.length === 1 ? written[0] : `[${written.join(', ')}]`}`;
    });
    const flow = `      when: {${parts.join(', ')}}`;
    if (flow.length <= 110) lines.push(flow);
    else lines.push('      when:', ...parts.map((p) => `        ${p}`));
  }
  lines.push(...targetLines(lead, couplet, sheet));
  const note = noteOf(lead, sheet.taxa.numbered);
  if (note !== undefined) lines.push(...property('note', note, '      '));
  return lines;
}

/** A number notation keeps its form; only one that YAML would take for something else is put in quotes. */
function notation(text: string): string {
  return text.startsWith('>') ? JSON.stringify(text) : text;
}

function targetLines(lead: LinkedLead, couplet: LinkedCouplet, sheet: KeySheet): string[] {
  const { target } = lead;
  const indent = '      ';
  if (target.kind === 'couplet') {
    const lines = [`${indent}to: ${target.couplet.id}`];
    if (target.via === 'next' || target.via === 'back')
      lines.unshift(comment('review: no target is printed here', indent));
    const [reaches, ...others] = target.end === undefined ? [] : sheet.taxa.idsOf(target.end);
    if (reaches !== undefined && others.length === 0) lines.push(`${indent}reaches: ${reaches}`);
    return lines;
  }
  const ids = target.kind === 'taxa' ? sheet.taxa.idsOf(target.end) : [];
  if (target.kind === 'taxa' && ids.length > 0) {
    const guess =
      target.via === 'guess' ? [comment('review: taken from the last words of the lead', indent)] : [];
    return [...guess, `${indent}taxon: ${ids.length === 1 ? ids[0] : `[${ids.join(', ')}]`}`];
  }
  if (target.kind === 'key') {
    const { id, known } = sheet.keyNamed(target.name);
    const hint = known ? [] : [comment(`printed "${target.name}"; no such key is in the text`, indent)];
    const at = target.end.at === undefined ? [] : [`${indent}at: ${target.end.at}`];
    const [reaches] =
      target.end.reaches === undefined
        ? []
        : sheet.taxa.idsOf({ ...target.end, names: [target.end.reaches] });
    const beyond = reaches === undefined ? [] : [`${indent}reaches: ${reaches}`];
    return [...hint, `${indent}key: ${id}`, ...at, ...beyond];
  }
  if (target.kind === 'several')
    return [comment(`printed "${target.printed}"; write one of them after to:`, indent)];
  if (target.kind === 'nowhere')
    return [
      comment(`printed so; there is no couplet ${target.printed}`, indent),
      `${indent}to: ${target.printed}`,
    ];
  return [
    comment(`lead ${labelOf(couplet, lead)} has no target in the print: write to, taxon or key here`, indent),
  ];
}

/** A version with two points is no number, and needs no quotes. */
function versionScalar(version: string): string {
  return /^\d+\.\d+\.\d+$/.test(version) ? version : JSON.stringify(version);
}

function glossaryLines({ glossary }: KeySheet): string[] {
  if (glossary.length === 0) return [];
  return ['', 'glossary:', ...glossary.flatMap(([term, meaning]) => property(scalar(term), meaning, '  '))];
}

function taxonLines({ taxa }: KeySheet): string[] {
  if (taxa.all.length === 0) return ['taxa: {}'];
  const lines = ['taxa:', comment('review: ranks are told by the form of the names alone', '  ')];
  for (const taxon of taxa.all) {
    lines.push(`  ${taxon.id}:`, ...property('name', taxon.name, '    '));
    if (taxon.authority !== undefined) lines.push(...property('authority', taxon.authority, '    '));
    if (taxon.rank !== undefined) lines.push(`    rank: ${taxon.rank}`);
    if (taxon.common.length > 0) lines.push(`    common: [${taxon.common.map(flowScalar).join(', ')}]`);
    if (taxon.within !== undefined) lines.push(`    within: ${taxon.within}`);
    if (taxon.concern !== undefined && taxon.concern !== 'unknown')
      lines.push(`    concern: {level: ${taxon.concern}, source: "stated in the print, behind the name"}`);
    if (taxon.repeats) lines.push('    repeats: meant');
  }
  return lines;
}
