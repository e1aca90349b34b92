import { fingerprints } from '../../src/lint/fingerprint.js';
import { type LintInput, type LintOptions, lintAll } from '../../src/lint/lint.js';
import type { LintResult } from '../../src/lint/report/result.js';
import { rules } from '../../src/lint/rules/index.js';

/** What the reporters get for some files. */
export function resultOf(
  inputs: readonly LintInput[],
  options: LintOptions = {},
  more: Partial<LintResult> = {},
): LintResult {
  const report = lintAll(inputs, options);
  const all = [...report.findings, ...report.allowed.map((a) => a.finding)];
  return {
    ...report,
    accepted: [],
    unreadable: [],
    rules,
    fingerprints: fingerprints(all, report.keys),
    version: '0.0.0-test',
    source: (file) => report.texts.get(file)?.lines,
    ...more,
  };
}

/** A key with findings of every kind: an error with a fix, a warning with a witness, another place, one allowed. */
export const FAULTY = `keywright: 1
id: faulty
title: Faulty caps
version: 1.0.0
scope: {group: caps, regions: [GB-CMA], complete: true}
characters:
  cap: {name: cap, states: [red, brown, white]}
  width: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Cap red or brown, when: {cap: [red, brown]}, to: 2}
    - lead: Cap brown or white
      when: {cap: [brown, white]}
      taxon: volvariella
  # allow ranges-meet: printed so, 4 to 5 cm is nobody's
  2:
    - {lead: Cap under 4 cm, when: {width: "< 4"}, taxon: russula}
    - {lead: Cap over 5 cm, when: {width: "> 5"}, taxon: lactarus}
taxa:
  russula: {name: Russula, concern: {level: unknown}}
  lactarius: {name: Lactarius, concern: {level: unknown}}
  volvariella: {name: Volvariella, concern: {level: unknown}}
  xerocomus: {name: Xerocomus, concern: {level: unknown}}
`;
