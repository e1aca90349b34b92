/** A key that is reviewed, as it stands: what is marked at its couplets, what is wrong with them, and what is left to look at. */
import type { Finding } from '../../../diagnostic/finding.js';
import { keyReader, loadChain } from '../../../key/chain.js';
import { valueAt } from '../../../key/data-path.js';
import type { DataMap } from '../../../key/document.js';
import { asMap } from '../../../key/fields.js';
import type { Couplet, Key, Lead } from '../../../key/key.js';
import type { Shelf } from '../../../key/load.js';
import { isPartial, misshapen } from '../../../lint/partial.js';
import { type CoupletMarks, reviewMarks, waiting } from '../../../lint/review-marks.js';

/** Why a person should look at a couplet, in the order in which they are shown. */
export const CAUSES = ['doubtful', 'likely', 'proposed', 'no end', 'fault'] as const;
/** Why a person should look at a couplet. */
export type Cause = (typeof CAUSES)[number];

/** A key in review. */
export interface ReviewedKey {
  /** As the file holds it. */
  readonly text: string;
  readonly key: Key;
  readonly marks: ReadonlyMap<string, CoupletMarks>;
  /** Errors in the key, by couplet. */
  readonly faults: ReadonlyMap<string, readonly Finding[]>;
  /** Errors elsewhere in its file. */
  readonly faultsElsewhere: readonly Finding[];
}

/** The key as far as it can be reviewed, or what stands against that. */
export type ReadForReview =
  | { readonly ok: true; readonly reviewed: ReviewedKey }
  | { readonly ok: false; readonly findings: readonly Finding[] };

/** Reads key files of one name, again and again. */
export type ReviewReader = (text: string) => ReadForReview;

/** Reads a key for its review: with all its faults, as long as couplets and leads are known. */
export function reviewReader(file: string, shelf: Shelf): ReviewReader {
  const read = keyReader(shelf, 'written');
  return (text) => {
    const { loaded, findings } = loadChain(text, file, shelf, { read, tolerate: isPartial });
    const errors = findings.filter((f) => f.level === 'error' && f.place.file === file);
    const key = loaded[0]?.key;
    const obstacle = misshapen(file, findings);
    if (key === undefined || obstacle !== undefined)
      return { ok: false, findings: obstacle === undefined ? errors : [obstacle] };
    const faults = new Map<string, Finding[]>();
    const faultsElsewhere: Finding[] = [];
    for (const finding of errors) {
      const [section, id] = finding.place.path;
      if (section !== 'couplets' || id === undefined) {
        faultsElsewhere.push(finding);
        continue;
      }
      const own = faults.get(String(id)) ?? [];
      own.push(finding);
      faults.set(String(id), own);
    }
    return { ok: true, reviewed: { text, key, marks: reviewMarks(key), faults, faultsElsewhere } };
  };
}

/** Why a person should look at a couplet; undefined when there is no need. */
export function causeOf({ key, marks, faults }: ReviewedKey, id: string): Cause | undefined {
  const couplet = key.couplets.get(id);
  if (couplet === undefined) return undefined;
  const own = marks.get(id);
  const sure = own === undefined ? undefined : waiting(own);
  if (sure === 'doubtful' || sure === 'likely') return sure;
  if (sure !== undefined) return 'proposed';
  if (couplet.leads.some((lead) => isOpen(key, lead))) return 'no end';
  return (faults.get(id)?.length ?? 0) > 0 ? 'fault' : undefined;
}

/** Whether a lead has no end at all. */
export function isOpen(key: Key, lead: Lead): boolean {
  const fields = asMap(valueAt(key.yaml.data, lead.path) as DataMap);
  return ['to', 'taxon', 'key'].every((name) => fields[name] === undefined || fields[name] === null);
}

/** The couplets to look at, those with the weightiest cause first, else in the order of the file. */
export function coupletsLeft(state: ReviewedKey): { readonly id: string; readonly cause: Cause }[] {
  const left = [...state.key.couplets.keys()].flatMap((id) => {
    const cause = causeOf(state, id);
    return cause === undefined ? [] : [{ id, cause }];
  });
  return CAUSES.flatMap((cause) => left.filter((c) => c.cause === cause));
}

/** The lead of that letter; undefined when the couplet has none. */
export function leadOf(couplet: Couplet | undefined, letter: string): Lead | undefined {
  return couplet?.leads.find((l) => l.letter === letter);
}
