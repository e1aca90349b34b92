import type { Finding } from '../diagnostic/finding.js';
import { shapeRules } from './filerules/shape.js';

const SHAPE: ReadonlySet<string> = new Set(shapeRules.map((r) => r.id));

/**
 * Whether an error leaves the logic of a key whole: a lead that leads nowhere, or a line that says nothing of
 * characters, leads or descriptions.
 */
export function isPartial({ rule, place, expected }: Finding): boolean {
  if (rule === 'target-exists' || rule === 'taxon-known') return true;
  if (!SHAPE.has(rule)) return false;
  const [section, , property] = place.path;
  if (section === undefined)
    return rule === 'property-needed' && expected !== 'couplets' && expected !== 'taxa';
  if (section === 'taxa') return property !== undefined && property !== 'traits';
  return section !== 'characters' && section !== 'couplets' && section !== 'uses';
}

/** The first error that leaves too little of a key for rules to judge: what they said would be echoes of it. */
export function misshapen(file: string, findings: readonly Finding[]): Finding | undefined {
  return findings.find((finding) => {
    const { rule, place } = finding;
    if (place.file !== file || isPartial(finding)) return false;
    const [section] = place.path;
    if (rule === 'id-unique') return section === undefined || section === 'couplets';
    return SHAPE.has(rule) && (section === undefined || section === 'couplets' || section === 'taxa');
  });
}
