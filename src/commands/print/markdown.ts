import { type IndentedBlock, indentedBlocks } from '../../printed/indented-blocks.js';
import type { Printed, PrintedCouplet, PrintedKey, PrintedLead } from '../../printed/key.js';
import { markdown, markdownSpans } from '../../printed/markup.js';
import {
  endSpans,
  harmSentences,
  imprint,
  scopeEntries,
  sourceText,
  taxonEntry,
} from '../../printed/words.js';
import type { PrintSetting } from './text.js';

/** A printed key as Markdown (CommonMark). */
export function printMarkdown(printed: Printed, setting: PrintSetting): string {
  const blocks: string[] = [];
  printed.keys.forEach((key, i) => {
    blocks.push(`${i === 0 ? '#' : '##'} ${markdown(key.key.title)}`, ...headBlocks(key, setting));
    blocks.push(...bodyBlocks(key, printed, setting));
  });
  for (const text of harmSentences(printed)) blocks.push(markdown(text));
  if (!setting.brief) {
    list(
      blocks,
      'Taxa',
      printed.taxa.map((taxon) => {
        const { head, at, facts } = taxonEntry(taxon, printed);
        return [`${markdownSpans(head)} (${markdown(at)})`, ...facts.map(markdownSpans)]
          .join('. ')
          .replace(/\.\. /g, '. ');
      }),
    );
    list(
      blocks,
      'Terms',
      printed.glossary.map(
        ([term, meaning]) => `**${markdown(term)}**: ${markdownSpans(printed.names.spans(meaning))}`,
      ),
    );
    list(
      blocks,
      'Sources',
      printed.sources.map(
        (s) => `${markdown(sourceText(s))}${s.url === undefined ? '' : `, ${markdown(s.url)}`}`,
      ),
    );
  }
  list(blocks, 'Cautions', setting.cautions.map(markdown));
  blocks.push(`*${markdown(setting.signature)}*`);
  return `${blocks.join('\n\n')}\n`;
}

function list(blocks: string[], heading: string, items: readonly string[]): void {
  if (items.length === 0) return;
  blocks.push(`## ${heading}`, items.map((item) => `- ${item}`).join('\n'));
}

function headBlocks({ key, names }: PrintedKey, { brief }: PrintSetting): string[] {
  const blocks = [markdown(imprint(key))];
  if (brief) return blocks;
  const entries = scopeEntries(key);
  if (entries.length > 0)
    blocks.push(
      entries.map(([heading, text]) => `- ${heading}: ${markdownSpans(names.spans(text))}`).join('\n'),
    );
  if (key.note !== undefined) blocks.push(markdownSpans(names.spans(key.note)));
  return blocks;
}

function bodyBlocks(key: PrintedKey, printed: Printed, setting: PrintSetting): string[] {
  if (setting.layout === 'bracketed')
    return key.couplets.map((couplet) =>
      couplet.leads
        .map((lead, i) => leadText(lead, i === 0 ? couplet : undefined, endMark(lead, printed), setting))
        // A backslash at the end of a line breaks it.
        .join('\\\n'),
    );
  return indentedBlocks(key, setting.levels).map((block) => blockText(block, printed, setting));
}

function endMark({ end }: PrintedLead, printed: Printed): string {
  const text = markdownSpans(endSpans(end, printed));
  return end.kind === 'couplet' ? `**${text}**` : text;
}

function leadText(
  lead: PrintedLead,
  backOf: PrintedCouplet | undefined,
  end: string,
  { brief }: PrintSetting,
): string {
  const back =
    backOf === undefined || backOf.from.length === 0 ? '' : ` (${backOf.from.map(markdown).join(', ')})`;
  const note = lead.note === undefined || brief ? '' : ` \\[${markdownSpans(lead.note)}\\]`;
  const figures = brief ? '' : lead.figures.map((f) => ` \\[${markdownSpans(f)}\\]`).join('');
  const to = end === '' ? '' : ` → ${end}`;
  return `**${markdown(lead.label)}**${back} ${markdownSpans(lead.words)}${to}${note}${figures}`;
}

function blockText({ root, rows }: IndentedBlock, printed: Printed, setting: PrintSetting): string {
  return rows
    .map(({ level, couplet, lead, beyond }) => {
      const back = lead === couplet.leads[0] && (couplet === root || couplet.from.length > 1);
      const end =
        beyond === 'here' ? '' : `${endMark(lead, printed)}${beyond === undefined ? '' : `, ${beyond}`}`;
      return `${'  '.repeat(level)}- ${leadText(lead, back ? couplet : undefined, end, setting)}`;
    })
    .join('\n');
}
