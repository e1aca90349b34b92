import { inkOf } from '../../drawn/scheme.js';
import { concernLevels } from '../../key/key.js';
import type { Printed, PrintedKey, PrintedLead } from '../../printed/key.js';
import { xmlText } from '../../printed/markup.js';
import { type GraphSetting, graphEndLines, graphLines, signsOf, worstAt } from './dot.js';

/** A key as a Mermaid flow chart. */
export function drawMermaid(printed: Printed, setting: GraphSetting): string {
  const { marks, caution, signature } = setting;
  const [first] = printed.keys;
  const lines = [
    '---',
    `title: ${JSON.stringify(xmlText(first?.key.title ?? '').replace(/[<>]/g, ''))}`,
    '---',
    `%% ${commented(signature)}`,
    'flowchart LR',
    `  caution[${text([caution])}]`,
  ];
  printed.keys.forEach((key, i) => {
    if (printed.keys.length > 1) lines.push(`  subgraph k${i}[${text([key.key.title])}]`);
    lines.push(...nodes(key, i, printed, setting));
    if (printed.keys.length > 1) lines.push('  end');
  });
  printed.keys.forEach((key, i) => {
    lines.push(...edges(key, i, printed, setting));
  });
  for (const level of concernLevels) {
    const { fill, text: ink, edge } = inkOf(level);
    lines.push(`  classDef ${className(level)} fill:${fill},color:${ink},stroke:${edge}`);
  }
  lines.push(
    `  classDef other fill:${inkOf('key').fill},color:${inkOf('key').text},stroke:${inkOf('key').edge},stroke-dasharray:4 3`,
  );
  for (const mark of marks.all)
    lines.push(`%% ${commented(`${mark.sign} ${mark.about}: ${mark.message} [${mark.rule}]`)}`);
  return `${lines.join('\n')}\n`;
}

function className(level: string): string {
  return `harm-${level}`;
}

function nodes(
  { key, couplets }: PrintedKey,
  i: number,
  printed: Printed,
  { marks }: GraphSetting,
): string[] {
  return couplets.flatMap(({ id, number, leads }) => [
    `  ${node(i, id)}([${text([`${number}${signsOf(marks.atCouplet.get(`${key.id}/${id}`))}`])}])`,
    ...leads.flatMap((lead) => {
      const { end } = lead;
      if (end.kind === 'couplet' || (end.kind === 'key' && end.printed)) return [];
      const worst = end.kind === 'taxa' ? worstAt(end.taxa)?.concern.level : undefined;
      const as = worst === undefined ? 'other' : className(worst);
      return [`  ${endNode(i, lead)}[${text(graphEndLines(end, printed))}]:::${as}`];
    }),
  ]);
}

function edges(key: PrintedKey, i: number, printed: Printed, { marks, leads: how }: GraphSetting): string[] {
  return key.couplets.flatMap(({ id, leads }) =>
    leads.map((lead) => {
      const { end } = lead;
      const [words = '', ...more] = graphLines(lead, how);
      const signs = signsOf(marks.atLead.get(lead)).trim();
      const label = text([`${lead.label} ${words}`, ...more, ...(signs === '' ? [] : [signs])]);
      const other = end.kind === 'key' ? printed.keys.findIndex((k) => k.key.id === end.keyId) : -1;
      const at = end.kind === 'key' ? end.at : undefined;
      const start = printed.keys[other]?.couplets.find((c) => c.number === at) ?? printed.keys[other]?.start;
      const to =
        end.kind === 'couplet'
          ? node(i, end.id)
          : start === undefined
            ? endNode(i, lead)
            : node(other, start.id);
      return `  ${node(i, id)} -->|${label}| ${to}`;
    }),
  );
}

/** Names of nodes are plain letters and digits: words such as `end` mean something to Mermaid. */
function node(key: number, couplet: string): string {
  return `k${key}c${couplet.replaceAll('.', '_')}`;
}

function endNode(key: number, { lead, label }: PrintedLead): string {
  return `k${key}e${label.slice(0, -lead.letter.length).replaceAll('.', '_')}x${lead.letter}`;
}

/** Lines between quotes; every sign that could mean something there is written as its code. */
function text(lines: readonly string[]): string {
  const coded = lines.map((l) =>
    xmlText(l).replace(/[^\p{L}\p{N}\p{M} ,]/gu, (c) => `#${c.codePointAt(0)};`),
  );
  return `"${coded.join('<br/>')}"`;
}

/** A comment ends with its line; braces after %% would begin a directive. */
function commented(line: string): string {
  return xmlText(line).replace(/[{}]/g, (c) => (c === '{' ? '(' : ')'));
}
