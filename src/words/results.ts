import type { Analysis } from '../analysis/analysis.js';
import type { CompiledKey } from '../engine/compile.js';
import type { Determination } from '../engine/determine.js';
import type { Candidate, EndPoint, Verdict } from '../engine/outcome.js';
import type { ConcernLevel } from '../key/key.js';
import type { Entry } from '../tables/entry.js';
import { quoted } from '../text/harmless.js';
import { count, listed } from '../text/words.js';
import { type AnalysisData, analysisData } from './analysis-data.js';

/** One collection of a table: determined, or not readable. */
export type Identified =
  | { readonly kind: 'found'; readonly found: Determination; readonly analysis?: Analysis }
  | { readonly kind: 'failed'; readonly entry: Entry };

/** A taxon in a result, as it is written for programs. */
export interface ResultCandidate {
  readonly taxon: string;
  readonly name: string;
  readonly concern: ConcernLevel;
  readonly ends: readonly EndPoint[];
  readonly path: readonly string[];
  readonly slips: number;
}

/** A taxon some slips away, with the characters to look at again. */
export interface ResultNear extends ResultCandidate {
  readonly recheck: readonly string[];
}

/** One collection as it is written for programs: the order of the properties is part of the format. */
export interface Result {
  readonly collection: string;
  readonly key: string;
  readonly version: string;
  readonly name: string | null;
  readonly qualifier: string | null;
  readonly candidates: readonly ResultCandidate[];
  readonly near: readonly ResultNear[];
  readonly verdict: Verdict;
  readonly warnings: readonly { readonly kind: string; readonly message: string }[];
  /** Only where it was asked for. */
  readonly analysis?: AnalysisData;
}

/** Of a collection that could not be read, nothing is known. */
const UNREAD: Verdict = { word: 'not cleared', worst: 'unknown', settled: false };

/** The result for a collection, for programs. */
export function resultOf(identified: Identified, key: CompiledKey): Result {
  const { id, version } = key.chain.main;
  if (identified.kind === 'failed')
    return {
      collection: identified.entry.collection.id,
      key: id,
      version,
      name: null,
      qualifier: null,
      candidates: [],
      near: [],
      verdict: UNREAD,
      warnings: mistakesOf(identified.entry).map((message) => ({ kind: 'error', message })),
    };
  const { found, analysis } = identified;
  return {
    collection: found.collection.id,
    key: id,
    version,
    name: found.name ?? null,
    qualifier: found.qualifier ?? null,
    candidates: found.candidates.map(candidate),
    near: found.near.map((n) => ({ ...candidate(n), recheck: n.recheck })),
    verdict: found.verdict,
    warnings: found.warnings.map(({ kind, message }) => ({ kind, message })),
    ...(analysis === undefined ? {} : { analysis: analysisData(analysis) }),
  };
}

function candidate({ taxon, ends, path, slips }: Candidate): ResultCandidate {
  return { taxon: taxon.id, name: taxon.name, concern: taxon.concern.level, ends, path, slips };
}

/** What is wrong with a collection that could not be read, each with its place. */
export function mistakesOf(entry: Entry): string[] {
  return entry.findings.map(({ place, message }) => {
    const { line, column } = place.start;
    const file = entry.manyFiles === true ? `${place.file.slice(place.file.lastIndexOf('/') + 1)}, ` : '';
    return `${file}line ${line}, column ${column}: ${message}`;
  });
}

/** The verdict on a collection. */
export function verdictOf(identified: Identified): Verdict {
  return identified.kind === 'failed' ? UNREAD : identified.found.verdict;
}

/** The characters (by id) and couplets that should be looked at next. */
interface ToCheck {
  readonly characters: readonly string[];
  readonly couplets: readonly string[];
}

/**
 * What to look at next: what would separate the candidates; where nothing fits, what speaks against the nearest ends.
 * The warnings name what hides a deadly or severe taxon one slip away.
 */
export function toCheck(found: Determination): ToCheck {
  if (found.possible.length > 0) return found.undecided;
  const characters = new Set(found.near.flatMap((n) => n.recheck));
  return { characters: [...characters], couplets: [] };
}

/** Counts collections by result. */
export class Tally {
  collections = 0;
  one = 0;
  several = 0;
  none = 0;
  failed = 0;
  leave = 0;

  add(identified: Identified): void {
    this.collections++;
    if (identified.kind === 'failed') {
      this.failed++;
      return;
    }
    const { possible, verdict } = identified.found;
    if (possible.length === 0) this.none++;
    else if (possible.length === 1) this.one++;
    else this.several++;
    if (verdict.word === 'leave it') this.leave++;
  }

  /** `43 collections: 30 down to one taxon, 9 with several still possible, 4 that fit nothing; 12 to leave`. */
  text(key: CompiledKey): string {
    const { main } = key.chain;
    const with_ = `with ${quoted(main.id).slice(1, -1)} ${quoted(main.version).slice(1, -1)}`;
    if (this.collections === 0) return `No collections to identify ${with_}.`;
    const parts = [
      `${this.one} down to one taxon`,
      `${this.several} with several still possible`,
      `${this.none} that ${this.none === 1 ? 'fits' : 'fit'} nothing`,
      ...(this.failed > 0 ? [`${this.failed} that could not be read`] : []),
    ];
    return `${count(this.collections, 'collection')} ${with_}: ${listed(parts)}; ${this.leave} to leave.`;
  }
}
