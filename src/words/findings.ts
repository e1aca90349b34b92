import type { Finding, Level, Place } from '../diagnostic/finding.js';
import { harmless } from '../text/harmless.js';
import { count } from '../text/words.js';

/** Findings as plain lines: `file:line:column level message [rule]`, with the other places below. */
export function findingLines(findings: readonly Finding[]): string[] {
  return findings.flatMap((f) => [
    `${placeText(f.place)} ${f.level}: ${f.message} [${f.rule}]`,
    ...(f.related ?? []).map((r) => `    ${placeText(r.place)} ${r.message}`),
  ]);
}

/** `file:line:column`; the name of a file is untrusted. */
function placeText({ file, start }: Place): string {
  return `${harmless(file)}:${start.line}:${start.column}`;
}

/** `3 errors and 1 warning`. */
export function findingCount(findings: readonly Finding[]): string {
  const of = (level: Level) => findings.filter((f) => f.level === level).length;
  const parts = [
    count(of('error'), 'error'),
    ...(of('warning') > 0 ? [count(of('warning'), 'warning')] : []),
  ];
  return parts.join(' and ');
}
