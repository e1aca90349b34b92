import { type IndentedBlock, indentedBlocks } from '../../printed/indented-blocks.js';
import type { Printed, PrintedCouplet, PrintedKey, PrintedLead } from '../../printed/key.js';
import {
  endSpans,
  harmSentences,
  imprint,
  scopeEntries,
  sourceText,
  taxonEntry,
  textOf,
} from '../../printed/words.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { displayWidth, withDotLeader, wrapLines } from '../../text/wrap.js';

/** The two classical ways to set a key. */
export const keyLayouts = ['bracketed', 'indented'] as const;
export type KeyLayout = (typeof keyLayouts)[number];

/** How a key is set, whatever the format. */
export interface PrintSetting {
  readonly layout: KeyLayout;
  /** How many levels deep an indented key is set before it continues at the margin. */
  readonly levels: number;
  /** The cautions, a paragraph each. */
  readonly cautions: readonly string[];
  /** Only the couplets, the harm and the cautions: no taxa, terms and sources. */
  readonly brief: boolean;
  /** How the program signs what it prints. */
  readonly signature: string;
}

/** How a key is set as text. */
interface PrintTextSetting extends PrintSetting {
  readonly width: number;
  readonly paint: Paint;
}

/** A printed key as text of a width. */
export function printText(printed: Printed, setting: PrintTextSetting): string {
  const { width, paint } = setting;
  const lines: string[] = [];
  const heading = (text: string) => lines.push('', ...wrapLines(paint.strong(text), width), '');
  const paragraph = (text: string, first = '', rest?: string) =>
    lines.push(...wrapLines(harmless(text), width, first, rest));
  printed.keys.forEach((key, i) => {
    if (i > 0) lines.push('', '');
    lines.push(...headLines(key, setting), '');
    for (const block of bodyLines(key, printed, setting)) lines.push(...block, '');
    lines.pop();
  });
  lines.push('');
  for (const text of harmSentences(printed)) paragraph(text);
  if (!setting.brief) {
    if (printed.taxa.length > 0) {
      heading('Taxa');
      for (const taxon of printed.taxa) {
        const { head, at, facts } = taxonEntry(taxon, printed);
        // No dot leaders here: only leads have them.
        lines.push(...wrapLines(harmless(`${textOf(head)} (${at})`), width, '', '    '));
        if (facts.length > 0) paragraph(facts.map(textOf).join(' '), '    ');
      }
    }
    if (printed.glossary.length > 0) {
      heading('Terms');
      for (const [term, meaning] of printed.glossary)
        lines.push(...wrapLines(`${paint.strong(harmless(term))}: ${harmless(meaning)}`, width, '', '    '));
    }
    if (printed.sources.length > 0) {
      heading('Sources');
      for (const source of printed.sources)
        paragraph(`${sourceText(source)}${source.url === undefined ? '' : `, ${source.url}`}`, '• ');
    }
  }
  heading('Cautions');
  for (const text of setting.cautions) paragraph(text, '• ');
  lines.push('', ...wrapLines(harmless(setting.signature), width));
  return `${lines.join('\n')}\n`;
}

function headLines({ key }: PrintedKey, { width, paint, brief }: PrintTextSetting): string[] {
  const lines = wrapLines(paint.strong(harmless(key.title)), width);
  lines.push(...wrapLines(harmless(imprint(key)), width));
  if (brief) return lines;
  const entries = scopeEntries(key);
  if (entries.length > 0) lines.push('');
  for (const [heading, text] of entries)
    lines.push(...wrapLines(harmless(`${heading}: ${text}`), width, '', '    '));
  if (key.note !== undefined) lines.push('', ...wrapLines(harmless(key.note), width));
  return lines;
}

/** The couplets or blocks of a key, each as its lines. */
function bodyLines(key: PrintedKey, printed: Printed, setting: PrintTextSetting): string[][] {
  if (setting.layout === 'bracketed') {
    const heads = key.couplets.map(headsOf);
    const fitting = heads
      .flat()
      .map(displayWidth)
      .filter((n) => n <= WIDEST_LABEL);
    const column = fitting.reduce((widest, n) => Math.max(widest, n), 4);
    return key.couplets.map((c, i) => coupletLines(c, heads[i] as string[], column, printed, setting));
  }
  return indentedBlocks(key, setting.levels).map((block) => blockLines(block, printed, setting));
}

// A longer label with its back-references gets a line of its own.
const WIDEST_LABEL = 12;

/** What stands before each lead of a couplet. */
function headsOf(couplet: PrintedCouplet): string[] {
  return couplet.leads.map(({ label }, i) => (i === 0 ? withBack(label, couplet) : harmless(label)));
}

function coupletLines(
  couplet: PrintedCouplet,
  heads: readonly string[],
  column: number,
  printed: Printed,
  setting: PrintTextSetting,
): string[] {
  return couplet.leads.flatMap((lead, i) => {
    const head = heads[i] as string;
    const own = displayWidth(head) > column ? wrapLines(head, setting.width, '', '    ') : [];
    const label = own.length > 0 ? ' '.repeat(column) : head.padEnd(column);
    return [
      ...own,
      ...leadLines(lead, endText(lead, printed), `${label}  `, ' '.repeat(column + 2), setting),
    ];
  });
}

/** `5a (4b)`: the label of a couplet's first lead, with where one comes from. */
function withBack(label: string, { from }: PrintedCouplet): string {
  return harmless(from.length === 0 ? label : `${label} (${from.join(', ')})`);
}

function endText({ end }: PrintedLead, printed: Printed): string {
  return harmless(textOf(endSpans(end, printed)));
}

function leadLines(
  lead: PrintedLead,
  end: string,
  first: string,
  rest: string,
  setting: PrintTextSetting,
): string[] {
  const { width } = setting;
  const words = wrapLines(harmless(textOf(lead.words)), width, first, rest);
  const lines = end === '' ? words : withDotLeader(words, end, width, rest);
  if (lead.note !== undefined && !setting.brief)
    lines.push(...wrapLines(`[${harmless(textOf(lead.note))}]`, width, rest));
  if (!setting.brief)
    for (const figure of lead.figures) lines.push(...wrapLines(`[${harmless(textOf(figure))}]`, width, rest));
  return lines;
}

function blockLines(block: IndentedBlock, printed: Printed, setting: PrintTextSetting): string[] {
  const { root, rows } = block;
  return rows.flatMap(({ level, couplet, lead, beyond }) => {
    const indent = '  '.repeat(level);
    // Couplets that stand right below the lead that leads to them need no reference back.
    const back = lead === couplet.leads[0] && (couplet === root || couplet.from.length > 1);
    const label = back ? withBack(lead.label, couplet) : harmless(lead.label);
    const end =
      beyond === 'here' ? '' : `${endText(lead, printed)}${beyond === undefined ? '' : `, ${beyond}`}`;
    return leadLines(lead, end, `${indent}${label}  `, `${indent}      `, setting);
  });
}
