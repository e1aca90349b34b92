import type { Finding, Place } from '../../diagnostic/finding.js';
import { defined } from '../../text/optional.js';
import { harmlessJson, type LintResult, levelCounts, logicalOf, slashed } from './result.js';

/** The version of the report format, described by `schemas/lint-report.schema.json`. */
const REPORT_VERSION = 1;

/** Everything as one JSON document. */
export function lintJson(result: LintResult): string {
  const finding = (f: Finding) => findingJson(f, result);
  return harmlessJson({
    version: REPORT_VERSION,
    tool: { name: 'keywright', version: result.version },
    files: result.files.map(slashed),
    counts: levelCounts(result.findings),
    findings: result.findings.map(finding),
    allowed: result.allowed.map((a) => ({ ...finding(a.finding), reason: a.reason })),
    accepted: result.accepted.map((a) => ({ ...finding(a.finding), reason: a.reason })),
    notRun: result.notRun.map((n) => ({ ...n, file: slashed(n.file) })),
    unreadable: result.unreadable.map((u) => ({ ...u, file: slashed(u.file) })),
  });
}

function findingJson(finding: Finding, result: LintResult): object {
  const { rule, level, message, place, related, witness, found, expected, nearest, fix } = finding;
  const logical = logicalOf(finding, result.keys);
  return {
    rule,
    level,
    message,
    ...placeJson(place),
    path: place.path,
    ...defined({ in: logical && { kind: logical.kind, name: logical.whole } }),
    related: (related ?? []).map((r) => ({ message: r.message, ...placeJson(r.place) })),
    witness,
    found,
    expected,
    nearest,
    fix,
    fingerprint: result.fingerprints.get(finding),
  };
}

function placeJson({ file, start, end }: Place): object {
  return { file: slashed(file), start, end };
}
