/**
 * TAP, the Test Anything Protocol, version 14 (testanything.org/tap-version-14-specification.html): one test point a
 * row, the plan after the last, details as YAML blocks.
 */
import { stringify as yaml } from 'yaml';
import { harmless, harmlessLines } from '../../text/harmless.js';
import type { KnownRow, KnownWriter } from './rows.js';
import { confusionWords, coverageSentences, resultWords } from './words.js';

/** Known specimens as a TAP stream. */
export function knownTap(): KnownWriter {
  let number = 0;
  return {
    head: () => 'TAP version 14\n',
    row: (row) => {
      number++;
      return point(row, number);
    },
    foot: (tally, coverage, broken) =>
      broken !== undefined
        ? `Bail out! ${harmless(broken)}\n`
        : [
            // A plan of no tests is how a stream says that everything was left out.
            number === 0 ? '1..0 # SKIP no collections' : `1..${number}`,
            comment(tally.text()),
            ...tally.confusions.map((c) =>
              comment(
                `${c.couplet === undefined ? '' : `couplet ${c.couplet}: `}${c.collections.length} x ${confusionWords(c)}`,
              ),
            ),
            ...coverageSentences(coverage).map(comment),
            '',
          ].join('\n'),
  };
}

function comment(text: string): string {
  return `# ${harmless(text)}`;
}

/** A description must not begin a directive or an escape of its own. */
function description(text: string): string {
  return harmless(text)
    .replace(/[\\#]/g, (c) => `\\${c}`)
    .trim();
}

function point(row: KnownRow, number: number): string {
  if (row.result === 'no expectation')
    return `ok ${number} - ${description(row.collection)} # SKIP nothing is expected of it\n`;
  const line = `${row.passed ? 'ok' : 'not ok'} ${number} - ${description(`${row.collection}: ${resultWords(row)}`)}\n`;
  if (row.passed && row.result === 'right') return line;
  const { kind: _, passed: __, collection: ___, ...details } = row;
  const block = harmlessLines(yaml(details, { lineWidth: 0, aliasDuplicateObjects: false }));
  const lines = block.trimEnd().split('\n');
  return `${line}  ---\n${lines.map((l) => `  ${l}`.trimEnd()).join('\n')}\n  ...\n`;
}
