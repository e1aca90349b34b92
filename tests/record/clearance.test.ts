import fc from 'fast-check';
import { expect, it, vi } from 'vitest';
import { redoneHead, redoneJson, redoneLines, redoneRow } from '../../src/commands/redo/text.js';
import { recordMarkdown, recordText } from '../../src/commands/report/markdown.js';
import { recordReport } from '../../src/commands/report/sections.js';
import { PLAIN } from '../../src/text/paint.js';
import { CLEARING } from '../support/clearing.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';
import { determined, recordOf, redone, type Said, whole } from './making.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const HARM = ['deadly', 'severe', 'upset'];

it('no report of any record and no list of what is different clears a find', () => {
  const saids: fc.Arbitrary<Said[]> = fc.array(fc.oneof(fc.nat(3), fc.constant('?' as const)), {
    maxLength: 6,
  });
  const drawn = fc.tuple(keyData(5, 'reticulate'), keyData(5, 'reticulate'), specimen.chain(seen), saids);
  fc.assert(
    fc.property(drawn, ([data, other, one, said]) => {
      const key = open(data);
      const d = determined(key, find(observed(key, one, { specimen: 'a', stage: 'young' })), said);
      const { after, changes } = redone(d, open({ ...other, version: '2' }));
      const report = recordReport(whole(recordOf([d, after])).record);
      const around = { centre: undefined, address: () => undefined, signature: 'Reported by keywright 0.' };
      for (const text of [true, false].flatMap((full) => [
        recordText(report, { width: 80, paint: PLAIN }, { ...around, full }),
        recordMarkdown(report, { ...around, full }),
      ])) {
        expect(text).not.toMatch(CLEARING);
        expect(text).toMatch(/Verdict: (Leave it|Not cleared)\\?\./);
        expect(text.replace(/\s+/g, ' ')).toContain('call the poison centre');
      }
      const harmful = (after.result?.candidates ?? []).some((c) => HARM.includes(c.concern));
      expect(report.summary.says.startsWith('Leave it')).toBe(harmful);
      const result = { file: 'rec.yaml', before: d, after, changes };
      const listed = [
        redoneLines(result, { width: 80, paint: PLAIN }).join('\n'),
        redoneJson(result),
        redoneHead() + redoneRow(result),
      ];
      for (const text of listed) {
        expect(text).not.toMatch(CLEARING);
        expect(text).toMatch(/leave\s+it|not\s+cleared|another result/i);
      }
    }),
    { numRuns: 100 },
  );
});
