import type { Analysis } from '../analysis/analysis.js';
import type { CompiledKey } from '../engine/compile.js';
import type { Determination } from '../engine/determine.js';
import type { Candidate, EndPoint, Verdict } from '../engine/outcome.js';
import type { ConcernLevel } from '../key/key.js';
import type { Entry } from '../tables/entry.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { count, listed } from '../text/words.js';
import type { Collection } from '../traits/collection.js';
import { type AnalysisData, analysisData } from './analysis-data.js';

/** One collection of a table: determined, or not readable. */
export type Identified =
  | { readonly kind: 'found'; readonly found: Determination; readonly analysis?: Analysis }
  | { readonly kind: 'failed'; readonly entry: Entry };

/** A taxon in a result, as it is written for programs. */
export interface ResultCandidate {
  /** Its id. */
  readonly taxon: string;
  /** Without authority. */
  readonly name: string;
  /** The worst recorded effect. */
  readonly concern: ConcernLevel;
  /** Where it is keyed out, the fewest slips first. */
  readonly ends: readonly EndPoint[];
  /** The labels of the leads to the first end. */
  readonly path: readonly string[];
  /** How many wrong observations away it is. */
  readonly slips: number;
}

/** A taxon some slips away, with the characters to look at again. */
export interface ResultNear extends ResultCandidate {
  /** The ids of the characters to look at again. */
  readonly recheck: readonly string[];
}

/** What to bear in mind of a result. */
export interface ResultWarning {
  /** What it is about, as in `Warning`; `error` for why the collection could not be read. */
  readonly kind: string;
  /** One sentence. */
  readonly message: string;
}

/** A taxon that the find as a whole rules out, and that is possible all the same. */
export interface ResultFurther {
  /** Its id. */
  readonly taxon: string;
  /** Without authority. */
  readonly name: string;
  /** The worst recorded effect. */
  readonly concern: ConcernLevel;
  /** The labels of the answers and the ids of the characters without which it is possible; empty where no doubt is behind it. */
  readonly doubted: readonly string[];
  /** The specimens that may be it. */
  readonly specimens: readonly string[];
}

/** A specimen on which not all was looked at that would decide. */
export interface ResultOpenSpecimen {
  /** What it is called. */
  readonly specimen: string;
  /** The ids of what it may be besides the candidates, the worst first. */
  readonly taxa: readonly string[];
  /** The ids of the characters that it could show at its age and that are not known of it. */
  readonly unseen: readonly string[];
}

/** One collection as it is written for programs: the order of the properties is part of the format. */
export interface Result {
  /** The id of the find. */
  readonly collection: string;
  /** The id of the key. */
  readonly key: string;
  /** Of the key. */
  readonly version: string;
  /** The lowest that holds for all candidates; null when there is none. */
  readonly name: string | null;
  /** `cf.`, `sp.`, `spp.` or `indet.`; null where the name needs none. */
  readonly qualifier: string | null;
  /** What it may be; empty when it fits nothing. */
  readonly candidates: readonly ResultCandidate[];
  /** What it would be with some wrong observations. */
  readonly near: readonly ResultNear[];
  /** What else is possible at worst: by what was doubted, and specimen by specimen. It counts for the verdict. */
  readonly further: readonly ResultFurther[];
  /** The specimens that by themselves leave more possible than the find as a whole. */
  readonly openSpecimens: readonly ResultOpenSpecimen[];
  /** By the worst of all that is possible. */
  readonly verdict: Verdict;
  /** Sentences to be shown with it. */
  readonly warnings: readonly ResultWarning[];
  /** What stood in columns that mean nothing to the key, by their names; absent where nothing did. */
  readonly others?: Readonly<Record<string, string>>;
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
      further: [],
      openSpecimens: [],
      verdict: UNREAD,
      warnings: mistakesOf(identified.entry).map((message) => ({ kind: 'error', message })),
      ...othersOf(identified),
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
    further: found.further.map(({ taxon, doubted, specimens }) => ({
      taxon: taxon.id,
      name: taxon.name,
      concern: taxon.concern.level,
      doubted,
      specimens,
    })),
    openSpecimens: found.openSpecimens.map(({ specimen, taxa, unseen }) => ({
      specimen,
      taxa: taxa.map((t) => t.id),
      unseen,
    })),
    verdict: found.verdict,
    warnings: found.warnings.map(({ kind, message }) => ({ kind, message })),
    ...othersOf(identified),
    ...defined({ analysis: analysis && analysisData(analysis) }),
  };
}

/** The find of a result as it was read. */
export function collectionOf(identified: Identified): Collection {
  return identified.kind === 'failed' ? identified.entry.collection : identified.found.collection;
}

function othersOf(identified: Identified): Pick<Result, 'others'> {
  const { others } = collectionOf(identified);
  return others === undefined ? {} : { others };
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
