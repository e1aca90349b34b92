/** JUnit's XML, as build servers read it: one suite a run, one case a row. */

import { escaped } from '../../printed/markup.js';
import type { KnownRow, KnownTally, KnownWriter } from './rows.js';
import { confusionWords, coverageSentences, resultWords, rowSentences } from './words.js';

/** Known specimens as a JUnit report. The counts stand at its head, so that it is written when all rows are known. */
export function knownJunit(): KnownWriter {
  const rows: KnownRow[] = [];
  return {
    head: () => '',
    row: (row) => {
      rows.push(row);
      return '';
    },
    foot: (tally, coverage, broken) => {
      if (broken !== undefined) return '';
      const { id, version } = tally.key.chain.main;
      const counts = countsOf(tally, rows);
      const said = [
        tally.text(),
        ...tally.confusions.map(
          (c) =>
            `${c.couplet === undefined ? '' : `couplet ${c.couplet}: `}${c.collections.length} x ${confusionWords(c)}`,
        ),
        ...coverageSentences(coverage),
      ];
      return [
        '<?xml version="1.0" encoding="UTF-8"?>',
        `<testsuites name="keywright test" ${counts}>`,
        `  <testsuite name="${escaped(`${id} ${version}`)}" ${counts}>`,
        ...rows.flatMap((row) => testCase(row, id)),
        `    <system-out>${said.map((s) => escaped(s)).join('\n')}</system-out>`,
        '  </testsuite>',
        '</testsuites>',
        '',
      ].join('\n');
    },
  };
}

function countsOf({ counts }: KnownTally, rows: readonly KnownRow[]): string {
  const failed = rows.filter((r) => !r.passed).length - counts.unreadable;
  return `tests="${rows.length}" failures="${failed}" errors="${counts.unreadable}" skipped="${counts['no expectation']}"`;
}

function testCase(row: KnownRow, key: string): string[] {
  const head = `    <testcase name="${escaped(row.collection)}" classname="${escaped(key)}"`;
  const words = escaped(resultWords(row));
  if (row.result === 'no expectation') return [`${head}><skipped message="${words}"/></testcase>`];
  if (row.passed && row.result === 'right') return [`${head}/>`];
  const text = [...rowSentences(row), `${row.file}:${row.line}`].map((s) => escaped(s)).join('\n');
  if (row.passed) return [`${head}>`, `      <system-out>${text}</system-out>`, '    </testcase>'];
  const tag = row.result === 'unreadable' ? 'error' : 'failure';
  return [
    `${head}>`,
    `      <${tag} type="${row.result}" message="${words}">${text}</${tag}>`,
    '    </testcase>',
  ];
}
