import type { Finding, Level } from '../../diagnostic/finding.js';
import type { Lines } from '../../diagnostic/lines.js';
import type { Key } from '../../key/key.js';
import { visibleJson } from '../../text/harmless.js';
import type { AllowedFinding, NotRun } from '../lint.js';
import type { Rule } from '../rule.js';

/** A file that could not be read, and why. */
export interface Unreadable {
  readonly file: string;
  readonly problem: string;
}

/** What lint has to report, whatever the format. */
export interface LintResult {
  /** The files that were checked. */
  readonly files: readonly string[];
  readonly findings: readonly Finding[];
  /** Findings that comments in the files allow. */
  readonly allowed: readonly AllowedFinding[];
  /** Findings accepted by a list of old findings. */
  readonly accepted: readonly AllowedFinding[];
  readonly notRun: readonly NotRun[];
  readonly unreadable: readonly Unreadable[];
  readonly keys: ReadonlyMap<string, Key>;
  readonly rules: readonly Rule[];
  /** What identifies each finding, allowed and accepted ones included, in a later run. */
  readonly fingerprints: ReadonlyMap<Finding, string>;
  /** The version of this program. */
  readonly version: string;
  /** The lines of a file, for files that can be shown. */
  source(file: string): Lines | undefined;
}

/** How many findings of each level there are. */
export function levelCounts(findings: readonly Finding[]): Readonly<Record<Level, number>> {
  const counts = { error: 0, warning: 0, note: 0 };
  for (const { level } of findings) counts[level]++;
  return counts;
}

/** What a finding is in, as the field calls it. */
interface Logical {
  readonly kind: 'couplet' | 'lead' | 'taxon' | 'character';
  /** `7`, `7b` or the id of a taxon or character. */
  readonly name: string;
  /** The same with the id of its key before it. */
  readonly whole: string;
}

/** The couplet, lead, taxon or character that a finding is in; undefined for one about the whole file. */
export function logicalOf({ place }: Finding, keys: ReadonlyMap<string, Key>): Logical | undefined {
  const key = keys.get(place.file);
  const [section, id, index] = place.path;
  if (key === undefined || id === undefined) return undefined;
  const made = (kind: Logical['kind'], name: string): Logical => ({ kind, name, whole: `${key.id}/${name}` });
  if (section === 'taxa') return made('taxon', String(id));
  if (section === 'characters') return made('character', String(id));
  const couplet = section === 'couplets' ? key.couplets.get(String(id)) : undefined;
  if (couplet === undefined) return undefined;
  const lead = index === undefined ? undefined : couplet.leads[Number(index)];
  return lead === undefined ? made('couplet', couplet.id) : made('lead', lead.label);
}

/** A path as other programs write it, with forward slashes. */
export function slashed(file: string): string {
  return file.replaceAll('\\', '/');
}

/** JSON that cannot steer a terminal: signs that could are written as their codes. */
export function harmlessJson(value: unknown): string {
  return `${visibleJson(JSON.stringify(value, undefined, 2))}\n`;
}
