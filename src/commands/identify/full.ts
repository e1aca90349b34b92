import { harmless } from '../../text/harmless.js';
import { wrapLines } from '../../text/wrap.js';
import { cautionSection, fullLines } from '../../words/determination.js';
import type { ResultWriter } from '../../words/result-writers.js';
import { type Identified, mistakesOf } from '../../words/results.js';
import { PROTECTED, type TableSetting } from './result-table.js';

/** A report of each collection for people, one after the other, with everything that was made of it. */
export function fullReportWriter(setting: TableSetting): ResultWriter {
  const { width, paint, centre } = setting;
  let any = false;
  const report = (identified: Identified): string => {
    const rule = any ? `${'-'.repeat(Math.min(width, 40))}\n` : '';
    any = true;
    if (identified.kind === 'failed') {
      const { entry } = identified;
      const lines = [
        ...wrapLines(`${paint.strong(harmless(entry.collection.id))} could not be read`, width),
        ...mistakesOf(entry).flatMap((text) => wrapLines(harmless(text), width, '  - ', '    ')),
        ...wrapLines('Verdict: Not cleared. Nothing is known of it.', width),
      ];
      return `${rule}${lines.join('\n')}\n`;
    }
    const lines = identified.analysis === undefined ? [] : fullLines(identified.analysis, { width, paint });
    return `${rule}${lines.join('\n')}\n`;
  };
  return {
    head: () => '',
    results: (batch) => batch.map(report).join(''),
    foot: () => {
      const lines = [
        ...cautionSection(centre, { width, paint }),
        ...wrapLines(PROTECTED, width, '  - ', '    '),
      ];
      return `${lines.join('\n')}\n`;
    },
  };
}
