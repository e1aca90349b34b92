import { markdown } from '../../printed/markup.js';
import { harmless } from '../../text/harmless.js';
import { wrapLines } from '../../text/wrap.js';
import { cautions, cautionsInShort } from '../../words/cautions.js';
import type { LineStyle } from '../../words/couplet.js';
import {
  MORE,
  SETTLED,
  summaryHeading,
  summaryLines,
  summaryLists,
  summaryOfAll,
} from '../../words/summary.js';
import type { RecordReport } from './sections.js';

/** How much is written, and what stands around it. */
interface RecordSetting {
  /** Whether everything of the record is reported, or one screen. */
  readonly full: boolean;
  /** The telephone number of a poison centre. */
  readonly centre: string | undefined;
  /** The address of a photograph that the report may link; undefined for all others. */
  address(file: string): string | undefined;
  /** By which program it was made. */
  readonly signature: string;
}

/** A report of a record as text. */
export function recordText(report: RecordReport, setting: LineStyle, around: RecordSetting): string {
  const { width, paint } = setting;
  const { summary } = report;
  if (!around.full) return `${summaryLines(summary, setting, around.centre, MORE).join('\n')}\n`;
  const set = (text: string, first = '', rest = first.replace(/\S/g, ' ')) =>
    wrapLines(harmless(text), width, first, rest);
  const lines = [
    ...wrapLines(paint.strong(harmless(report.title)), width),
    ...summaryOfAll(summary, setting),
    ...report.sections.flatMap(({ heading, level, items }) => {
      const indent = level === 1 ? '' : '  ';
      return [
        '',
        ...wrapLines(paint.strong(harmless(heading)), width, indent, `${indent}  `),
        ...items.flatMap(({ text, under = [] }) => [
          ...set(text, `${indent}  - `, `${indent}    `),
          ...under.flatMap((t) => set(t, `${indent}    `, `${indent}      `)),
        ]),
      ];
    }),
    '',
    paint.strong('Cautions'),
    ...cautions(around.centre).flatMap((t) => set(t, '  - ')),
    '',
    ...set(around.signature),
  ];
  return `${lines.join('\n')}\n`;
}

/** A report of a record as Markdown. */
export function recordMarkdown(report: RecordReport, around: RecordSetting): string {
  const { summary } = report;
  const { full, centre, signature } = around;
  const list = (items: readonly string[]) => items.map((t) => `- ${markdown(t)}`).join('\n');
  const blocks = [
    `# ${markdown(report.title)}`,
    `**Verdict: ${markdown(summary.says)}**`,
    summary.verdict.settled ? markdown(SETTLED) : '',
    markdown(summaryHeading(summary)),
    ...summaryLists(summary).flatMap(({ title, items }) => [`**${markdown(title)}**`, list(items)]),
    ...(full ? report.sections : []).flatMap(({ heading, level, items }) => [
      `${level === 1 ? '##' : '###'} ${markdown(heading)}`,
      items
        .map(({ text, photograph, under = [] }) =>
          [
            `- ${markdown(text)}`,
            ...pictureLines(photograph, around),
            ...under.map((t) => `  - ${markdown(t)}`),
          ].join('\n'),
        )
        .join('\n'),
    ]),
    '## Cautions',
    list(full ? cautions(centre) : cautionsInShort(centre)),
    markdown(signature),
  ];
  return `${blocks.filter((b) => b !== '').join('\n\n')}\n`;
}

/** What a page can show as a picture. */
const PICTURE = /\.(jpe?g|png|gif|webp|avif)$/i;

/** A photograph as a picture or a link below its name; nothing where it may not be linked. */
function pictureLines(photograph: string | undefined, { address }: RecordSetting): string[] {
  const at = photograph === undefined ? undefined : address(photograph);
  if (photograph === undefined || at === undefined) return [];
  return ['', `  ${PICTURE.test(photograph) ? '!' : ''}[${markdown(photograph)}](${at})`];
}
