import type { Finding } from '../../src/diagnostic/finding.js';
import { type LintOptions, lintAll } from '../../src/lint/lint.js';

/** The lines of a key that a comment `#! rule-id ...` marks: `rule-id:7`, in order. */
export function marked(text: string): string[] {
  return text
    .split('\n')
    .flatMap((line, i) =>
      (line.split('#!')[1] ?? '')
        .trim()
        .split(/\s+/)
        .filter((word) => word !== '')
        .map((rule) => `${rule}:${i + 1}`),
    )
    .sort();
}

/** Where findings start, written as marks are; each line once. */
export function places(findings: readonly Finding[]): string[] {
  return [...new Set(findings.map((f) => `${f.rule}:${f.place.start.line}`))].sort();
}

/** What lint finds in one key that stands alone. */
export function lintText(text: string, options: LintOptions = {}, file = 'x.key.yaml') {
  return lintAll([{ file, text }], options);
}
