import { stringify } from 'yaml';
import type { Finding, Place } from '../diagnostic/finding.js';
import { readYaml } from '../key/document.js';
import { asList, asMap, asText, Reporter } from '../key/fields.js';
import { checkShape } from '../key/load.js';
import { validateLintBaseline } from '../key/validate.generated.js';
import { harmless } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { byCodeUnit } from '../text/words.js';
import { fingerprints } from './fingerprint.js';
import type { AllowedFinding, LintReport } from './lint.js';

/** One accepted finding of a baseline. */
interface Accepted {
  readonly rule: string;
  /** The id of the key it is in. */
  readonly key: string;
  readonly says: string | undefined;
  readonly fingerprint: string;
  readonly reason: string;
  readonly place: Place;
}

/** Old findings that are accepted, as their file lists them. */
export interface Baseline {
  readonly entries: readonly Accepted[];
  /** What is wrong with the file. */
  readonly findings: readonly Finding[];
}

/** Reads a list of accepted findings. */
export function readBaseline(text: string, file: string): Baseline {
  const yaml = readYaml(text, file);
  const report = new Reporter(yaml);
  report.findings.push(...yaml.findings);
  if (yaml.data === undefined) return { entries: [], findings: report.findings };
  checkShape(yaml, validateLintBaseline, 'lint-baseline', report);
  const entries = asList(asMap(yaml.data).accepted).map((item, i): Accepted => {
    const fields = asMap(item);
    return {
      rule: asText(fields.rule) ?? '',
      key: asText(fields.key) ?? '',
      says: asText(fields.says),
      fingerprint: asText(fields.fingerprint) ?? '',
      reason: harmless(asText(fields.reason) ?? ''),
      place: yaml.place(['accepted', i]),
    };
  });
  return { entries, findings: report.findings };
}

/** A report after a baseline: what is new, what was accepted before, and which entries no longer belong to anything. */
interface BaselineResult {
  readonly findings: readonly Finding[];
  readonly accepted: readonly AllowedFinding[];
  /** Entries of keys that were checked and whose finding is gone. */
  readonly stale: readonly Accepted[];
}

/** Takes the findings away that a baseline accepts. What a key cannot be read or run with is never accepted. */
export function compareBaseline(report: LintReport, { entries }: Baseline): BaselineResult {
  const marks = fingerprints(report.findings, report.keys);
  const byMark = new Map(entries.map((e) => [`${e.rule} ${e.fingerprint}`, e]));
  const used = new Set<Accepted>();
  const accepted: AllowedFinding[] = [];
  const findings = report.findings.filter((finding) => {
    const entry = report.binding.has(finding)
      ? undefined
      : byMark.get(`${finding.rule} ${marks.get(finding) ?? ''}`);
    if (entry === undefined) return true;
    used.add(entry);
    accepted.push({ finding, reason: entry.reason });
    return false;
  });
  const checked = wholly(report);
  return { findings, accepted, stale: entries.filter((e) => !used.has(e) && checked.has(e.key)) };
}

/** The keys that were checked as a whole: with an error, what is not found may only not have been judged. */
function wholly({ files, keys, binding }: LintReport): Set<string> {
  const unsound = new Set([...binding].map((f) => f.place.file));
  return new Set(files.flatMap((file) => (unsound.has(file) ? [] : (keys.get(file)?.id ?? []))));
}

/** What is said of an entry that no longer belongs to anything. */
export function staleFinding({ rule, key, says, place }: Accepted): Finding {
  return {
    rule: 'baseline-used',
    level: 'warning',
    message: harmless(
      `what this entry accepts is no longer found in ${key}: ${rule}${says === undefined ? '' : ` (${says})`}`,
    ),
    place,
  };
}

const HEAD = `# Findings of lint that are accepted, written by \`keywright lint --baseline FILE --update-baseline\`.
# Give each its reason; a reason that is written here is kept when the list is written again.
`;

/**
 * The text of a new baseline: everything that is found now and may be accepted, with the reasons it had, and the
 * entries of keys that were not checked.
 */
export function baselineText(report: LintReport, before: Baseline, day: string): string {
  const marks = fingerprints(report.findings, report.keys);
  const reasons = new Map(before.entries.map((e) => [`${e.rule} ${e.fingerprint}`, e.reason]));
  const checked = wholly(report);
  const now = report.findings.flatMap((finding) => {
    const key = report.keys.get(finding.place.file)?.id;
    if (key === undefined || report.binding.has(finding)) return [];
    const fingerprint = marks.get(finding) ?? '';
    const reason = reasons.get(`${finding.rule} ${fingerprint}`) ?? `accepted on ${day}`;
    return [{ rule: finding.rule, key, says: finding.message, fingerprint, reason }];
  });
  const written = new Set(now.map((e) => `${e.rule} ${e.fingerprint}`));
  const others = before.entries
    .filter((e) => !checked.has(e.key) && !written.has(`${e.rule} ${e.fingerprint}`))
    .map(({ rule, key, says, fingerprint, reason }) => ({
      rule,
      key,
      ...defined({ says }),
      fingerprint,
      reason,
    }));
  const accepted = [...now, ...others].sort((a, b) => byCodeUnit(a.key, b.key));
  return HEAD + stringify({ 'keywright-baseline': 1, accepted }, { lineWidth: 0 });
}
