import type { Finding } from '../diagnostic/finding.js';
import type { Key } from '../key/key.js';

/** By what a finding of two runs is known to be the same: its rule, its places, and what it says. */
export function markOf(finding: Finding, keys: ReadonlyMap<string, Key>): string {
  const places = [finding.place, ...(finding.related ?? []).map((r) => r.place)];
  const at = places.map((p) => `${p.file}\0${p.start.offset}\0${p.end.offset}`);
  // The same couplet is 7 where its key is the main one and key-id/7 where another leads to it.
  const id = keys.get(finding.place.file)?.id ?? '';
  const message = id === '' ? finding.message : finding.message.replaceAll(`${id}/`, '');
  return [finding.rule, ...at, message].join('\0\0');
}

// A couplet of a hundred equal leads has five thousand pairs that overlap; a person reads the first few.
const MOST_AT_A_PLACE = 10;

/** Findings, sorted, without those past the tenth of one rule at one place, which are only counted. */
export function withoutCrowds(findings: readonly Finding[]): Finding[] {
  const placeMark = ({ rule, place }: Finding) => `${rule} ${place.start.offset} ${place.file}`;
  const crowds = new Map<string, number>();
  for (const f of findings) crowds.set(placeMark(f), (crowds.get(placeMark(f)) ?? 0) + 1);
  const shown = new Map<string, number>();
  return findings.flatMap((finding) => {
    const mark = placeMark(finding);
    const left = (crowds.get(mark) ?? 0) - MOST_AT_A_PLACE;
    const before = shown.get(mark) ?? 0;
    shown.set(mark, before + 1);
    if (left <= 0 || before < MOST_AT_A_PLACE) return [finding];
    if (before > MOST_AT_A_PLACE) return [];
    const { rule, level, place } = finding;
    return [{ rule, level, place, message: `${left} more findings of ${rule} at this place are left out` }];
  });
}
