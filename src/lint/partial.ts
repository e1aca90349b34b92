import type { Finding } from '../diagnostic/finding.js';

/**
 * Whether a key can be judged in spite of an error. What is wrong in one lead, character or taxon takes that one away, and
 * a lead that goes nowhere may go anywhere; what the rules cannot do without are the two lists of couplets and taxa, and that
 * it is known which of two things of one name is meant.
 */
export function isPartial({ rule, place: { path }, expected }: Finding): boolean {
  const [section] = path;
  if (rule === 'character-same') return false;
  if (rule === 'id-unique') return path.length > 1 || section === 'uses' || section === 'characters';
  if (section === undefined)
    return rule === 'property-needed' && expected !== 'couplets' && expected !== 'taxa';
  return path.length > 1 || (section !== 'couplets' && section !== 'taxa');
}

/** Whether an error lies in the lists of couplets and taxa as such, or in the file as a whole. */
function isOfList({ rule, place: { path }, expected }: Finding): boolean {
  const [section] = path;
  if (section === undefined) return rule !== 'id-unique' || expected === undefined;
  return path.length === 1 && (section === 'couplets' || section === 'taxa');
}

/** The first error for which a key is not judged at all: what rules said of it would be echoes. */
export function misshapen(file: string, findings: readonly Finding[]): Finding | undefined {
  return findings.find(
    (f) =>
      f.level === 'error' &&
      f.place.file === file &&
      !isPartial(f) &&
      (f.rule === 'yaml-syntax' || isOfList(f)),
  );
}
