import type { FindingMark, Marks } from '../../drawn/marks.js';
import { inkOf } from '../../drawn/scheme.js';
import { concernLevels, type Taxon } from '../../key/key.js';
import type { Printed, PrintedEnd, PrintedKey, PrintedLead } from '../../printed/key.js';
import { xmlText } from '../../printed/markup.js';
import { endSpans, shortConcern, textOf } from '../../printed/words.js';
import { truncate, wrapLines } from '../../text/wrap.js';

/** What a graph in a text form says besides the key. */
export interface GraphSetting {
  readonly marks: Marks;
  readonly caution: string;
  readonly signature: string;
  /** Leads with all their words, or on one line. */
  readonly leads: 'full' | 'short';
}

/** How many letters of a lead stand on a line. */
const WIDTH = 34;

/** The words of a lead in lines. */
export function graphLines(lead: PrintedLead, leads: 'full' | 'short'): string[] {
  const text = xmlText(textOf(lead.words));
  return leads === 'short' ? [truncate(text, WIDTH)] : wrapLines(text, WIDTH);
}

/** What a lead leads to in lines, where that is no couplet: name and harm each on lines of their own. */
export function graphEndLines(end: PrintedEnd, printed: Printed): string[] {
  if (end.kind !== 'taxa') return wrapLines(xmlText(textOf(endSpans(end, printed))), WIDTH);
  return end.taxa.flatMap((taxon) => [
    ...wrapLines(xmlText(taxon.name), WIDTH),
    ...(printed.harmStated ? [`(${shortConcern(taxon.concern.level)})`] : []),
  ]);
}

/** The worst of the taxa at an end, by which it is filled. */
export function worstAt(taxa: readonly Taxon[]): Taxon | undefined {
  return [...taxa].sort(
    (a, b) => concernLevels.indexOf(a.concern.level) - concernLevels.indexOf(b.concern.level),
  )[0];
}

/** The signs of marks, as they follow a label. */
export function signsOf(marks: readonly FindingMark[] | undefined): string {
  return marks === undefined || marks.length === 0 ? '' : ` [${marks.map((m) => m.sign).join(' ')}]`;
}

/** A key as a graph in the DOT language. */
export function drawDot(printed: Printed, setting: GraphSetting): string {
  const { marks, caution, signature } = setting;
  const [first] = printed.keys;
  const title = first?.key.title ?? '';
  const lines = [
    `// ${xmlText(signature)}`,
    `digraph ${quotedId(first?.key.id ?? 'key')} {`,
    `  graph [rankdir=LR, label=${quotedText([title, caution])}, labelloc=t, fontname="Helvetica"]`,
    '  node [shape=box, fontname="Helvetica"]',
    '  edge [fontname="Helvetica", fontsize=11]',
  ];
  printed.keys.forEach((key, i) => {
    if (printed.keys.length > 1)
      lines.push(`  subgraph ${quotedId(`cluster_${i}`)} {`, `  label=${quotedText([key.key.title])}`);
    lines.push(...couplets(key, i, setting), ...ends(key, i, printed, setting));
    if (printed.keys.length > 1) lines.push('  }');
  });
  printed.keys.forEach((key, i) => {
    lines.push(...edges(key, i, printed, setting));
  });
  lines.push('}');
  for (const mark of marks.all)
    lines.push(`// ${xmlText(`${mark.sign} ${mark.about}: ${mark.message} [${mark.rule}]`)}`);
  return `${lines.join('\n')}\n`;
}

function couplets({ key, couplets }: PrintedKey, i: number, { marks }: GraphSetting): string[] {
  return couplets.map(({ id, number }) => {
    const found = marks.atCouplet.get(`${key.id}/${id}`);
    const marked = found === undefined ? '' : ', peripheries=2';
    return `  ${couplet(i, id)} [label=${quotedText([`${number}${signsOf(found)}`])}, shape=ellipse${marked}]`;
  });
}

function ends({ couplets }: PrintedKey, i: number, printed: Printed, { marks }: GraphSetting): string[] {
  return couplets.flatMap(({ leads }) =>
    leads.flatMap((lead) => {
      const { end } = lead;
      if (end.kind === 'couplet' || (end.kind === 'key' && end.printed)) return [];
      const worst = end.kind === 'taxa' ? worstAt(end.taxa) : undefined;
      const { fill, text, edge } = inkOf(
        worst?.concern.level ?? (end.kind === 'taxa' ? 'unknown' : end.kind),
      );
      const marked = marks.atLead.has(lead) ? ', peripheries=2' : '';
      const style = `style="filled${end.kind === 'taxa' ? '' : ',dashed'}"`;
      const colours = `fillcolor="${fill}", fontcolor="${text}", color="${edge}"`;
      return [
        `  ${endOf(i, lead)} [label=${quotedText(graphEndLines(end, printed))}, ${style}, ${colours}${marked}]`,
      ];
    }),
  );
}

function edges(
  { couplets }: PrintedKey,
  i: number,
  printed: Printed,
  { marks, leads: how }: GraphSetting,
): string[] {
  return couplets.flatMap(({ id, leads }) =>
    leads.map((lead) => {
      const { end } = lead;
      const [words = '', ...more] = graphLines(lead, how);
      const label = quotedText([
        `${lead.label} ${words}`,
        ...more,
        ...[signsOf(marks.atLead.get(lead)).trim()].filter((s) => s !== ''),
      ]);
      const other = end.kind === 'key' ? printed.keys.findIndex((k) => k.key.id === end.keyId) : -1;
      const start =
        printed.keys[other]?.couplets.find((c) => c.number === (end.kind === 'key' ? end.at : '')) ??
        printed.keys[other]?.start;
      const to =
        end.kind === 'couplet'
          ? couplet(i, end.id)
          : start === undefined
            ? endOf(i, lead)
            : couplet(other, start.id);
      return `  ${couplet(i, id)} -> ${to} [label=${label}]`;
    }),
  );
}

function couplet(key: number, id: string): string {
  return quotedId(`${key}/${id}`);
}

function endOf(key: number, lead: PrintedLead): string {
  return quotedId(`${key}/${lead.label} end`);
}

/** An id between quotes: only the quote itself means anything in it. */
function quotedId(text: string): string {
  return `"${xmlText(text).replaceAll('\\', '\\\\').replaceAll('"', '\\"')}"`;
}

/** Lines as a label: a backslash would begin an escape such as \N, which stands for the name of the node. */
function quotedText(lines: readonly string[]): string {
  const escaped = lines.map((l) =>
    xmlText(l).replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('&', '&amp;'),
  );
  return `"${escaped.join('\\n')}"`;
}
