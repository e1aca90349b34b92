import type { Finding, Level } from '../diagnostic/finding.js';
import { count } from '../text/words.js';

/** Findings as plain lines: `file:line:column level message [rule]`, with the other places below. */
export function findingLines(findings: readonly Finding[]): string[] {
  return findings.flatMap((f) => [
    `${f.place.file}:${f.place.start.line}:${f.place.start.column} ${f.level}: ${f.message} [${f.rule}]`,
    ...(f.related ?? []).map(
      (r) => `    ${r.place.file}:${r.place.start.line}:${r.place.start.column} ${r.message}`,
    ),
  ]);
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
