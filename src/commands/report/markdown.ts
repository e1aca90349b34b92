import { markdown } from '../../printed/markup.js';
import { harmless } from '../../text/harmless.js';
import { wrapLines } from '../../text/wrap.js';
import type { LineStyle } from '../../words/couplet.js';
import type { RecordReport } from './sections.js';

/** What stands around a report. */
interface RecordSetting {
  /** The cautions, a sentence or two each. */
  readonly cautions: readonly string[];
  /** The address of a photograph that the report may link; undefined for all others. */
  address(file: string): string | undefined;
  /** By which program it was made. */
  readonly signature: string;
}

/** A report of a record as text. */
export function recordText(report: RecordReport, { width, paint }: LineStyle, around: RecordSetting): string {
  const set = (text: string, first = '', rest = first.replace(/\S/g, ' ')) =>
    wrapLines(harmless(text), width, first, rest);
  const verdict = report.verdict.startsWith('Leave it') ? paint.alarm : paint.strong;
  const lines = [
    ...wrapLines(paint.strong(harmless(report.title)), width),
    ...wrapLines(verdict(harmless(`Verdict: ${report.verdict}`)), width, '', '  '),
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
    ...around.cautions.flatMap((t) => set(t, '  - ')),
    '',
    ...set(around.signature),
  ];
  return `${lines.join('\n')}\n`;
}

/** A report of a record as Markdown. */
export function recordMarkdown(report: RecordReport, around: RecordSetting): string {
  const blocks = [
    `# ${markdown(report.title)}`,
    `**Verdict: ${markdown(report.verdict)}**`,
    ...report.sections.flatMap(({ heading, level, items }) => [
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
    around.cautions.map((t) => `- ${markdown(t)}`).join('\n'),
    markdown(around.signature),
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
