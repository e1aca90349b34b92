import { distance } from 'fastest-levenshtein';
import type { Finding } from '../diagnostic/finding.js';
import type { Key } from '../key/key.js';
import { harmless } from '../text/harmless.js';

/** What a lead may name, by the property that names it. */
const NAMED: Readonly<Record<string, 'couplets' | 'taxa'>> = {
  to: 'couplets',
  start: 'couplets',
  taxon: 'taxa',
  reaches: 'taxa',
  within: 'taxa',
  alike: 'taxa',
};

/**
 * Adds to the finding of an unknown couplet or taxon the fix of its spelling, when exactly one known id is so near that
 * it can only be a slip of the pen.
 */
export function withSpellingFix(finding: Finding, key: Key): Finding {
  const { rule, found, nearest, place } = finding;
  if ((rule !== 'target-exists' && rule !== 'taxon-known') || found === undefined || nearest === undefined)
    return finding;
  const property = place.path.findLast((step) => typeof step === 'string');
  const section = NAMED[String(property)];
  // Every number is near to every other: a couplet that is not there is the author's to find.
  if (section === undefined || !/[a-z]{3}/i.test(nearest)) return finding;
  if (rivals(found, key[section].keys()) !== 1) return finding;
  const { start, end } = place;
  const written = key.yaml.lines.text.slice(start.offset, end.offset);
  const quote = /^(["']?)(.*)\1$/s.exec(written);
  // Through an alias or an escape something else stands there; that is left to the author.
  if (quote === null || quote[2] !== found) return finding;
  const text = `${quote[1] ?? ''}${nearest}${quote[1] ?? ''}`;
  return {
    ...finding,
    fix: {
      title: `write ${harmless(nearest)}`,
      edits: [{ start: start.offset, end: end.offset, text }],
    },
  };
}

// The fix is made without asking, so it looks for rivals a step further than the hint of the message does.
function rivals(word: string, known: Iterable<string>): number {
  const wanted = word.toLowerCase();
  const far = wanted.length <= 3 ? 2 : Math.max(2, Math.floor(wanted.length / 3)) + 1;
  let near = 0;
  for (const candidate of known) {
    if (Math.abs(candidate.length - wanted.length) > far) continue;
    if (distance(wanted, candidate.toLowerCase()) <= far) near++;
  }
  return near;
}
