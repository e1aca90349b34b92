import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { agreementOf, SameTaxa } from '../../src/analysis/agreement.js';
import { analyse } from '../../src/analysis/analysis.js';
import { sheetFor } from '../../src/analysis/field-sheet.js';
import { compareGatherings } from '../../src/analysis/specimens.js';
import { agreementData, gatheringsData } from '../../src/commands/compare/data.js';
import { agreementLines, agreementNotes, gatheringsLines } from '../../src/commands/compare/text.js';
import { fullReportWriter } from '../../src/commands/identify/full.js';
import { TableWriter } from '../../src/commands/identify/result-table.js';
import { sheetHtml, sheetMarkdown } from '../../src/commands/sheet/markup.js';
import { sheetText } from '../../src/commands/sheet/text.js';
import { type Determination, determine } from '../../src/engine/determine.js';
import { PLAIN } from '../../src/text/paint.js';
import { cautionSection, fullLines, shortLines } from '../../src/words/determination.js';
import { csvWriter, ndjsonWriter, yamlWriter } from '../../src/words/result-writers.js';
import type { Identified } from '../../src/words/results.js';
import { CLEARING } from '../support/clearing.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const setting = { width: 80, paint: PLAIN, centre: undefined };

describe('no path of any key, in any form of output', () => {
  it('yields a word that clears a find; every report carries its verdict and the doubt about the key', () => {
    const finds = fc
      .tuple(keyData(6, 'reticulate'), specimen, specimen)
      .chain(([key, s, other]) => fc.tuple(fc.constant(key), seen(s), seen(other)));
    fc.assert(
      fc.property(finds, ([data, one, two]) => {
        const key = open(data);
        const observations = [
          ...observed(key, one, { specimen: 'a', stage: 'young' }),
          ...observed(key, two, { specimen: 'b', stage: 'mature' }),
        ];
        const found = determine(key, find(observations, { region: 'GB-CMA', date: '2026-10-18' }), {
          slips: 2,
        });
        const analysis = analyse(found);
        const batch: Identified[] = [
          { kind: 'found', found, analysis },
          { kind: 'found', found },
        ];
        const writers = [
          fullReportWriter(setting),
          new TableWriter(key, setting),
          csvWriter(),
          yamlWriter(key),
          ndjsonWriter(key),
        ];
        for (const writer of writers) {
          const text = writer.head() + writer.results(batch) + writer.foot();
          expect(text).not.toMatch(CLEARING);
          expect(text).toMatch(/leave it|not cleared/i);
        }
        const report = [...fullLines(analysis, setting), ...cautionSection(undefined, setting)]
          .join('\n')
          .replace(/\s+/g, ' ');
        expect(report).toContain('Why it may not be in this key');
        const short = shortLines(analysis, setting, undefined);
        expect(short.length).toBeLessThanOrEqual(21);
        for (const text of [report, short.join(' ')]) {
          expect(text).not.toMatch(CLEARING);
          expect(text).toMatch(/Verdict: (Leave it|Not cleared)\./);
          expect(text).toContain('call the poison centre');
        }
        const json = JSON.parse(ndjsonWriter(key).results(batch.slice(0, 1)));
        expect(json.verdict).toEqual(found.verdict);
        expect(json.analysis.decision.notInKey.at(-1)).toMatch(/may not be in this key$/);
        // Harm is possible as long as nothing is said to rule it out.
        if (found.possible.some((t) => ['deadly', 'severe', 'upset'].includes(t.concern.level)))
          expect(json.verdict.word).toBe('leave it');
      }),
      { numRuns: 200 },
    );
  });

  it('yields none in a comparison of keys, in one of gatherings, or on a field sheet', () => {
    const keys = fc
      .tuple(keyData(6, 'reticulate'), keyData(5, 'tree'), specimen)
      .chain(([one, other, s]) => fc.tuple(fc.constant(one), fc.constant(other), seen(s)));
    fc.assert(
      fc.property(keys, ([one, other, s]) => {
        const compiled = [one, other].map((data) => open(data));
        const found = compiled.map((key) => determine(key, find(observed(key, s))));
        const agreement = agreementOf(found, new SameTaxa(compiled));
        const compared = { agreement, unknown: [[], []], left: [[], []] };
        const [first, second] = found as [Determination, Determination];
        const both = compareGatherings(first, determine(first.key, { ...second.collection, id: 'B' }));
        const sheet = sheetFor(compiled.map((key) => key.chain));
        const markup = { specimens: 3, look: true, signature: '' };
        const comparisons = [
          [...agreementLines(compared, ['A', 'B'], setting), ...agreementNotes(compared, ['A', 'B'])].join(
            '\n',
          ),
          JSON.stringify(agreementData(compared)),
          gatheringsLines(both, setting).join('\n'),
          JSON.stringify(gatheringsData(both)),
        ];
        for (const text of comparisons) {
          expect(text).not.toMatch(CLEARING);
          expect(text).toMatch(/leave it|not cleared/i);
        }
        for (const text of [
          sheetText(sheet, { ...setting, ...markup }),
          sheetMarkdown(sheet, markup),
          sheetHtml(sheet, markup),
        ])
          expect(text).not.toMatch(CLEARING);
      }),
      { numRuns: 100 },
    );
  });
});
