import { Document, isScalar, isSeq, visit } from 'yaml';
import type { ConcernLevel } from '../key/key.js';
import type { RecordedFind } from './recordfind.js';
import type { KeyMark } from './recordkey.js';

/** The version of the record format that is written; others are refused. */
export const RECORD_FORMAT = '1';

/** One answer of a person, with what was asked, so that the record can be read without the key. */
export interface RecordedAnswer {
  readonly couplet: string;
  /** The letter of the lead taken, or `?` for "can't tell". */
  readonly lead: string;
  /** The words of the lead taken; for "can't tell", those of all leads. */
  readonly says: readonly string[];
  readonly at: string;
  readonly note?: string;
}

/** An answer that no longer held when the key had changed: kept, no longer used. */
export interface DroppedAnswer extends RecordedAnswer {
  readonly why: string;
}

/** A note on a couplet that has no answer (yet). */
export interface LooseNote {
  readonly couplet: string;
  readonly note: string;
}

/** One of the taxa that a finished keying ended at. */
export interface RecordedCandidate {
  readonly taxon: string;
  readonly name: string;
  readonly concern: ConcernLevel;
  readonly path: readonly string[];
  /** How many leads of the path nothing decided; left out when none. */
  readonly open?: number;
}

/** What a finished keying came to. */
export interface RecordedResult {
  readonly name?: string;
  readonly qualifier?: string;
  readonly verdict: { readonly word: string; readonly worst: ConcernLevel; readonly settled: boolean };
  readonly candidates: readonly RecordedCandidate[];
  /** Couplets left undecided. */
  readonly open?: readonly string[];
  readonly warnings?: readonly string[];
}

/** A determination with one key, kept while it is made and after. */
export interface KeyRecord {
  /** The program that wrote it, with its version. */
  readonly program: string;
  readonly key: KeyMark;
  readonly started: string;
  readonly ended?: string;
  readonly collection: RecordedFind;
  readonly answers: readonly RecordedAnswer[];
  readonly dropped?: readonly DroppedAnswer[];
  readonly notes?: readonly LooseNote[];
  /** A note on the find as a whole. */
  readonly note?: string;
  /** The ids of the taxa still possible. */
  readonly possible: readonly string[];
  readonly result?: RecordedResult;
  readonly status: 'open' | 'finished';
}

// Short lists that read best in one line.
const IN_ONE_LINE = new Set(['path', 'possible', 'stages', 'through', 'open']);

/**
 * A record as YAML. `status` comes last: a record without it has been cut short.
 */
export function writeRecord(record: KeyRecord): string {
  const { answers, possible, result, status, ...rest } = record;
  const brief = answers.map(({ says, ...a }) => ({ ...a, says: says.length === 1 ? says[0] : says }));
  const document = new Document(
    {
      'keywright-record': Number(RECORD_FORMAT),
      ...rest,
      answers: brief,
      possible,
      ...(result === undefined ? {} : { result }),
      status,
    },
    { aliasDuplicateObjects: false },
  );
  visit(document, {
    Pair: (_, { key, value }) => {
      if (isScalar(key) && IN_ONE_LINE.has(String(key.value)) && isSeq(value)) value.flow = true;
    },
  });
  return document.toString({ lineWidth: 100, flowCollectionPadding: false });
}
