import type { Finding } from '../../diagnostic/finding.js';
import { lintKey } from '../../lint/lint.js';
import { leadWordsOf } from './lead-words.js';

const HARM = 'harm-well-separated';

/**
 * Where nothing else that is described separates a harmful taxon from one without recorded harm, lint would warn, and rightly;
 * the key says so in a comment at each such place.
 */
export function withAllowances(
  text: string,
  exposed: boolean,
  language?: string,
  within: (finding: Finding) => boolean = () => true,
): string {
  if (!exposed) return text;
  const found = lintKey(text, 'draft.key.yaml').findings.filter((f) => f.rule === HARM && within(f));
  const lines = text.split('\n');
  const at = [...new Set(found.map((f) => f.place.start.line))].sort((a, b) => b - a);
  for (const line of at) {
    const indent = /^ */.exec(lines[line - 1] ?? '')?.[0] ?? '';
    lines.splice(line - 1, 0, `${indent}# allow ${HARM}: ${leadWordsOf(language).noSecond}`);
  }
  return lines.join('\n');
}
