import { levels } from '../../diagnostic/finding.js';
import { harmless } from '../../text/harmless.js';
import { count, listed } from '../../text/words.js';
import { type LintResult, levelCounts } from './result.js';

/** What is reported besides the findings: what could not be read or run, and how much was found in all. */
export function summaryLines(result: LintResult): string[] {
  return [
    ...result.unreadable.map((u) => `keywright: ${harmless(u.problem)}`),
    ...result.notRun.map(
      (n) =>
        `note: ${harmless(n.file)}: ${n.rules.length === 1 ? `${n.rules[0]} was` : `${count(n.rules.length, 'rule')} were`} not run: ${n.because}`,
    ),
    `keywright: ${total(result)}`,
  ];
}

function total({ files, findings, allowed, accepted }: LintResult): string {
  const counts = levelCounts(findings);
  const found = levels.flatMap((level) => (counts[level] === 0 ? [] : [count(counts[level], level)]));
  const aside = [
    ...(allowed.length === 0 ? [] : [`${allowed.length} allowed by comments`]),
    ...(accepted.length === 0 ? [] : [`${accepted.length} accepted before`]),
  ];
  const what = found.length === 0 ? 'nothing found' : listed(found);
  return `${what} in ${count(files.length, 'file')}${aside.length === 0 ? '' : `; ${listed(aside)}`}`;
}
