import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { edited, overlap } from '../../src/key/edits.js';
import {
  type Baseline,
  baselineText,
  compareBaseline,
  readBaseline,
  staleFinding,
} from '../../src/lint/baseline.js';
import { fingerprints } from '../../src/lint/fingerprint.js';
import { lintAll } from '../../src/lint/lint.js';
import { unifiedDiff } from '../../src/lint/report/unified.js';
import { FAULTY } from './result.js';

const FILE = 'faulty.key.yaml';
const lint = (text: string, file = FILE) => lintAll([{ file, text }]);
const none = { entries: [], findings: [] };
const DAY = '2026-11-25';

describe('fingerprints', () => {
  const marks = (text: string, file = FILE) => {
    const report = lint(text, file);
    return [...fingerprints(report.findings, report.keys).values()].sort();
  };

  it('are those of the place, whatever its number and line', () => {
    const before = marks(FAULTY);
    expect(new Set(before).size).toBe(before.length);
    const moved = `# a line\n\n${FAULTY.replace('taxa:', '# another\ntaxa:')}`;
    expect(marks(moved)).toEqual(before);
    const renumbered = FAULTY.replace('to: 2}', 'to: 12}').replace('  2:', '  12:');
    expect(marks(renumbered)).toEqual(before);
    expect(marks(FAULTY, 'elsewhere/renamed.key.yaml')).toEqual(before);
    const turned = FAULTY.replace(/( {4}- \{lead: Cap red or brown.*\n)((?:.*\n){3})/, '$2$1');
    expect(turned).not.toBe(FAULTY);
    // What is wrong between the two leads now starts at the other; the rest is known again.
    expect(marks(turned).filter((m) => before.includes(m)).length).toBeGreaterThanOrEqual(before.length - 1);
  });

  it('change with the words of the lead', () => {
    const before = marks(FAULTY);
    const after = marks(FAULTY.replace('Cap brown or white', 'Cap white or brown'));
    expect(after.filter((m) => !before.includes(m))).toHaveLength(1);
  });

  it('tell apart what looks the same', () => {
    const twice = FAULTY.replace('taxon: volvariella', 'to: 3').replace(
      'taxa:',
      `  3:
    - {lead: Cap under 4 cm, when: {width: "< 4"}, taxon: volvariella}
    - {lead: Cap over 5 cm, when: {width: "> 5"}, taxon: lactarus}
taxa:`,
    );
    const all = marks(twice);
    expect(new Set(all).size).toBe(all.length);
    expect(all.some((m) => m.endsWith(':2'))).toBe(true);
  });
});

describe('a list of accepted findings', () => {
  const accept = (text: string, before: Baseline = none) =>
    readBaseline(baselineText(lint(text), before, DAY), 'old.yaml');

  it('takes away what it was written from, but never what hinders reading or running', () => {
    const list = accept(FAULTY);
    expect(list.findings).toEqual([]);
    expect(new Set(list.entries.map((e) => e.reason))).toEqual(new Set([`accepted on ${DAY}`]));
    const { findings, accepted, stale } = compareBaseline(lint(FAULTY), list);
    expect(findings.map((f) => f.rule)).toEqual(['target-exists']);
    expect(accepted.length).toBe(list.entries.length);
    expect(stale).toEqual([]);
  });

  it('holds after couplets were renumbered, and lets new findings through', () => {
    const list = accept(FAULTY);
    const changed = FAULTY.replace('to: 2}', 'to: 12}')
      .replace('  2:', '  12:')
      .replace('# allow ranges-meet', '# was allowed: ranges-meet');
    const { findings } = compareBaseline(lint(changed), list);
    expect(findings.map((f) => f.rule).sort()).toEqual(['ranges-meet', 'target-exists']);
  });

  it('an entry whose finding is gone is stale, if its key was looked at', () => {
    const list = accept(FAULTY);
    const corrected = FAULTY.replace('{cap: [brown, white]}', '{cap: white}').replace(
      'lactarus',
      'lactarius',
    );
    const { stale } = compareBaseline(lint(corrected), list);
    expect(stale.map((e) => e.rule)).toContain('leads-exclusive');
    const said = staleFinding(stale.find((e) => e.rule === 'leads-exclusive') as (typeof stale)[number]);
    expect(said).toMatchObject({ rule: 'baseline-used', level: 'warning', place: { file: 'old.yaml' } });
    expect(said.message).toMatch(/no longer found in faulty: leads-exclusive \(a find can fit/);
    const other = FAULTY.replace('id: faulty', 'id: other');
    expect(compareBaseline(lint(other), list).stale).toEqual([]);
    // With an error in the key, it may only not have been judged.
    const wrong = corrected.replace('{cap: white}', '{cap: whiet}');
    expect(compareBaseline(lint(wrong), list).stale).toEqual([]);
    expect(accept(wrong, list).entries.map((e) => e.rule)).toContain('leads-exclusive');
  });

  it('written again it keeps reasons and the entries of other keys, and drops stale ones', () => {
    const first = baselineText(lint(FAULTY), none, DAY).replace(`accepted on ${DAY}`, 'printed so, p. 12');
    const list = readBaseline(first, 'old.yaml');
    expect(baselineText(lint(FAULTY), list, '2027-01-01')).toBe(first);
    const corrected = FAULTY.replace('{cap: [brown, white]}', '{cap: white}').replace(
      'lactarus',
      'lactarius',
    );
    const again = readBaseline(baselineText(lint(corrected), list, '2027-01-01'), 'old.yaml');
    expect(again.entries.map((e) => e.rule)).not.toContain('leads-exclusive');
    const other = lint(FAULTY.replace('id: faulty', 'id: other'), 'other.key.yaml');
    const both = readBaseline(baselineText(other, list, '2027-01-01'), 'old.yaml');
    expect(both.entries.filter((e) => e.key === 'faulty')).toHaveLength(list.entries.length);
    expect(both.entries.filter((e) => e.key === 'other')).toHaveLength(list.entries.length);
  });

  it.each([
    ['accepted: []\n', /needs "keywright-baseline"/],
    ['keywright-baseline: 1\naccepted:\n  - {rule: a, key: b, fingerprint: c}\n', /needs "reason"/],
    [
      'keywright-baseline: 1\naccepted:\n  - {rule: a, key: b, fingerprint: c, reason: " "}\n',
      /is empty|expected/,
    ],
    ['keywright-baseline: 2\n', /"keywright-baseline"/],
    ['a: [\n', /.+/],
  ])('is refused when it is not one: %j', (text, message) => {
    expect(
      readBaseline(text, 'old.yaml')
        .findings.map((f) => f.message)
        .join(),
    ).toMatch(message);
  });
});

describe('edits', () => {
  it('that do not overlap are made from the first to the last', () => {
    const edits = [
      { start: 4, end: 5, text: 'E' },
      { start: 0, end: 1, text: '' },
      { start: 2, end: 2, text: '--' },
    ];
    expect(edited('abcdef', edits)).toBe('b--cdEf');
    expect(overlap({ start: 0, end: 2, text: '' }, { start: 2, end: 3, text: '' })).toBe(false);
    expect(overlap({ start: 0, end: 2, text: '' }, { start: 1, end: 1, text: '' })).toBe(true);
    expect(overlap({ start: 1, end: 1, text: '' }, { start: 1, end: 1, text: '' })).toBe(true);
  });
});

describe('the unified diff', () => {
  it('is empty for the same text, and shows three lines around a change', () => {
    expect(unifiedDiff('a', 'x\n', 'x\n')).toBe('');
    const lines = Array.from({ length: 20 }, (_, i) => `${i}\n`);
    const changed = lines.map((l, i) => (i === 10 ? 'ten\n' : l));
    expect(unifiedDiff('keys\\a.yaml', lines.join(''), changed.join(''))).toBe(
      '--- a/keys/a.yaml\n+++ b/keys/a.yaml\n@@ -8,7 +8,7 @@\n 7\n 8\n 9\n-10\n+ten\n 11\n 12\n 13\n',
    );
    expect(unifiedDiff('a', 'x', 'y\n')).toBe(
      '--- a/a\n+++ b/a\n@@ -1 +1 @@\n-x\n\\ No newline at end of file\n+y\n',
    );
  });

  it.skipIf(spawnSync('patch', ['--version']).status !== 0)(
    'makes the one text from the other, by the program patch',
    () => {
      const folder = mkdtempSync(join(tmpdir(), 'keywright-diff-'));
      try {
        const line = fc.constantFrom('a', 'b', 'c', 'd', '');
        const text = fc
          .tuple(fc.array(line, { maxLength: 40 }), fc.boolean())
          .map(([l, end]) => l.join('\n') + (end ? '\n' : ''));
        fc.assert(
          fc.property(text, text, (before, after) => {
            const diff = unifiedDiff('f', before, after);
            if (before === after) expect(diff).toBe('');
            if (diff === '') return;
            writeFileSync(join(folder, 'f'), before);
            const { status, stdout } = spawnSync('patch', ['-p1', '-s', '-o', '-', 'f'], {
              cwd: folder,
              input: diff,
              encoding: 'utf8',
            });
            expect([status, stdout]).toEqual([0, after]);
          }),
          { numRuns: 60 },
        );
      } finally {
        rmSync(folder, { recursive: true, force: true });
      }
    },
  );

  it('of a long file with many changes comes soon', () => {
    const before = Array.from({ length: 30_000 }, (_, i) => `line ${i}\n`);
    const after = before.map((l, i) => (i % 2 === 0 ? l : `other ${i}\n`));
    const start = performance.now();
    const diff = unifiedDiff('f', before.join(''), after.join(''));
    expect(diff.split('\n').filter((l) => l.startsWith('-line'))).toHaveLength(15_000);
    expect(performance.now() - start).toBeLessThan(10_000);
  });
});
