import type { Finding } from '../../src/diagnostic/finding.js';
import { lintKey } from '../../src/lint/lint.js';

/** What lint has against a drafted key, besides the stand-ins that its author is to replace. */
export function faultsOf(text: string): readonly Finding[] {
  return lintKey(text, 'drafted.key.yaml').findings.filter((f) => f.rule !== 'stand-ins-replaced');
}
