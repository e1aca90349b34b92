import type { ConcernLevel } from '../key/key.js';
import { defined } from '../text/optional.js';
import type { Photograph } from '../traits/collection.js';
import type { DroppedAnswer, RecordedAnswer } from './answers.js';
import { DETAILS, type RecordedFind } from './find.js';
import type { KeyMark } from './key-mark.js';
import { type InOneLine, yamlText } from './yaml-text.js';

/** The version of the record format that is written; others are refused. */
export const RECORD_FORMAT = '1';

/** The last line of a whole record, as YAML ends a document: a record without it has been cut short. */
export const RECORD_END = '...';

/** What was noted at a couplet that has no answer (yet). */
export interface UnansweredNote {
  /** Its name. */
  readonly couplet: string;
  /** Absent where there is none. */
  readonly note?: string;
  /** Why the person was not sure; absent where they were. */
  readonly doubt?: string;
}

/** A taxon with what is recorded of the harm it does. */
export interface RecordedTaxon {
  /** Its id. */
  readonly taxon: string;
  /** Without authority. */
  readonly name: string;
  /** Absent where there are none. */
  readonly synonyms?: readonly string[];
  /** Common names; absent where there are none. */
  readonly common?: readonly string[];
  /** The worst recorded effect. */
  readonly concern: ConcernLevel;
  /** Absent where not recorded. */
  readonly effect?: string;
  /** Absent where not recorded. */
  readonly onset?: string;
}

/** A taxon that a finished keying ended at. */
export interface RecordedCandidate extends RecordedTaxon {
  /** The labels of the leads to it. */
  readonly path: readonly string[];
  /** How many leads of the path nothing decided; left out when none. */
  readonly open?: number;
}

/** A deadly or severe taxon that is one slip away. */
export interface RecordedNear extends RecordedTaxon {
  /** The characters to look at again, by their names, and the answers to reconsider. */
  readonly recheck: readonly string[];
}

/** A taxon that is possible only at worst. */
export interface RecordedFurther extends RecordedTaxon {
  /** The labels of the answers and the ids of the characters without which it is possible. */
  readonly doubted?: readonly string[];
  /** The specimens that may be it. */
  readonly specimens?: readonly string[];
}

/** One couplet on the path. */
export interface RecordedStep {
  /** Its name. */
  readonly couplet: string;
  /** The same for the same leads, in any version of the key. */
  readonly mark: string;
  /** By what. */
  readonly decided: 'answer' | 'evidence' | 'open';
  /** The leads that were not ruled out, and where each led: a couplet, or taxa. */
  readonly going: readonly RecordedLeadTaken[];
}

/** One lead that was followed. */
export interface RecordedLeadTaken {
  /** Its letter. */
  readonly lead: string;
  /** Its words. */
  readonly says: string;
  /** The couplet that it led to. */
  readonly to?: string;
  /** The ids of the taxa that it ended at. */
  readonly ends?: readonly string[];
}

/** The verdict: never more than that a find is to be left, or that it is not cleared. */
export interface RecordedVerdict {
  /** As it is shown. */
  readonly word: 'leave it' | 'not cleared';
  /** The worst recorded concern of the candidates. */
  readonly worst: ConcernLevel;
  /** Whether more keying cannot change it. */
  readonly settled: boolean;
}

/** The result of a finished keying. */
export interface RecordedResult {
  /** Absent where no name holds. */
  readonly name?: string;
  /** Never part of the name; absent where it needs none. */
  readonly qualifier?: string;
  /** By the worst of all that is possible. */
  readonly verdict: RecordedVerdict;
  /** What it may be; empty when it fits nothing. */
  readonly candidates: readonly RecordedCandidate[];
  /** What else is possible at worst, and counts for the verdict; absent where there is none. */
  readonly further?: readonly RecordedFurther[];
  /** Absent where there is none. */
  readonly near?: readonly RecordedNear[];
  /** Couplets left undecided. */
  readonly open?: readonly string[];
  /** Sentences; absent where there are none. */
  readonly warnings?: readonly string[];
  /** The couplets in the order of the key. */
  readonly way: readonly RecordedStep[];
}

/** One determination of a find with one key, kept while it is made and after. */
export interface RecordedDetermination {
  /** The program that wrote it, with its version. */
  readonly program: string;
  /** Who made it. */
  readonly by?: string;
  /** With which it was made. */
  readonly key: KeyMark;
  /** The versions of the key that it was begun with, where the key changed before it was finished. */
  readonly begunWith?: readonly KeyMark[];
  /** The number of the determination whose answers were taken over to this key. */
  readonly redoneFrom?: number;
  /** The time, as ISO 8601. */
  readonly started: string;
  /** Absent where it was not finished. */
  readonly ended?: string;
  /** The find as it was known then. */
  readonly collection: RecordedFind;
  /** The oldest first. */
  readonly answers: readonly RecordedAnswer[];
  /** Answers that no longer held; absent where there are none. */
  readonly dropped?: readonly DroppedAnswer[];
  /** Evidence that the key did not understand, a sentence each. */
  readonly unread?: readonly string[];
  /** Evidence whose meaning in this version of the key differs from when it was noted, a sentence each. */
  readonly otherwise?: readonly string[];
  /** Absent where there are none. */
  readonly notes?: readonly UnansweredNote[];
  /** A note on the find as a whole. */
  readonly note?: string;
  /** The ids of the taxa still possible. */
  readonly possible: readonly string[];
  /** Absent where it was not finished. */
  readonly result?: RecordedResult;
  /** Whether it was finished. */
  readonly status: 'open' | 'finished';
}

/** A find with all its determinations, oldest first. */
export interface FindRecord {
  /** The details of the find. */
  readonly collection: RecordedFind;
  /** The oldest first. */
  readonly determinations: readonly RecordedDetermination[];
}

/** The text of a record without its last determination: what stands before and after the place of that one. */
export interface RecordFrame {
  readonly before: string;
  readonly after: string;
  /** The details of the find that stand at its top. */
  readonly collection: RecordedFind;
}

/** The frame of a record that holds no determination yet. */
export function newFrame(find: RecordedFind): RecordFrame {
  const collection = detailsOfFind(find);
  const head = yamlText(headData(collection), IN_RECORDS);
  return { before: `${head}determinations:\n`, after: `${RECORD_END}\n`, collection };
}

/** A whole record as it stands in its file, as plain data. */
export function recordData({ collection, determinations }: FindRecord): object {
  return {
    ...headData(collection),
    determinations: determinations.map((d) => determinationData(d, collection)),
  };
}

function detailsOfFind({ evidence: _, leads: __, stages: ___, ...details }: RecordedFind): RecordedFind {
  return details;
}

function headData(collection: RecordedFind): object {
  return {
    'keywright-record': Number(RECORD_FORMAT),
    collection: { ...collection, ...photographData(collection) },
  };
}

/** The whole text of a record: what its frame holds, letter for letter, and one determination. */
export function writeRecord(frame: RecordFrame, determination: RecordedDetermination): string {
  // Split at line feeds only: other line separators may stand within a text.
  const lines = yamlText([determinationData(determination, frame.collection)], IN_RECORDS).split('\n');
  const item = lines.map((line) => (line === '' ? line : `  ${line}`)).join('\n');
  return frame.before + item + frame.after;
}

/** The properties of a determination as they stand in the file, in that order. */
function determinationData(d: RecordedDetermination, top: RecordedFind): object {
  const { program, by, key, begunWith, redoneFrom, started, ended, collection } = d;
  const { stages, evidence, leads } = collection;
  const differing = DETAILS.filter((p) => collection[p] !== undefined && collection[p] !== top[p]);
  const find = {
    ...Object.fromEntries(differing.map((p) => [p, collection[p]])),
    ...(JSON.stringify(collection.photographs) === JSON.stringify(top.photographs)
      ? {}
      : photographData(collection)),
    ...presentFields({ stages, evidence, leads: leads?.map(answerData) }),
  };
  return presentFields({
    program,
    by,
    key,
    'begun-with': begunWith,
    'redone-from': redoneFrom,
    started,
    ended,
    find: Object.keys(find).length === 0 ? undefined : find,
    answers: d.answers.map(answerData),
    dropped: d.dropped?.map(answerData),
    'not-understood': d.unread,
    'means-otherwise': d.otherwise,
    notes: d.notes,
    note: d.note,
    possible: d.possible,
    result: d.result,
    status: d.status,
  });
}

/** A photograph of which nothing else is known is its file name alone. */
function photographData({ photographs }: RecordedFind): { readonly photographs?: readonly unknown[] } {
  if (photographs === undefined) return {};
  return { photographs: photographs.map((p) => photographItem(p)) };
}

function photographItem({ file, specimen, caption, date }: Photograph): string | object {
  const known = defined({ specimen, caption, date });
  return Object.keys(known).length === 0 ? file : { file, ...known };
}

function answerData<T extends { readonly says: readonly string[] }>({ says, ...rest }: T): object {
  const { couplet, lead, ...more } = rest as unknown as RecordedAnswer;
  return { couplet, lead, ...presentFields({ says: says[0] }), ...more };
}

function presentFields(fields: Readonly<Record<string, unknown>>): object {
  return Object.fromEntries(
    Object.entries(fields).filter(
      ([name, v]) => v !== undefined && (!isEmpty(v) || ALWAYS_WRITTEN.has(name)),
    ),
  );
}

function isEmpty(value: unknown): boolean {
  return Array.isArray(value) && value.length === 0;
}

// Written even when empty, since that means something.
const ALWAYS_WRITTEN = new Set(['answers', 'possible']);

// Short lists, and lists of short things, read best in one line each.
const IN_ONE_LINE = new Set([
  'path',
  'possible',
  'stages',
  'through',
  'open',
  'ends',
  'synonyms',
  'recheck',
  'verdict',
]);
const ITEMS_IN_ONE_LINE = new Set(['beside', 'going', 'shows', 'photographs']);
const LONGEST_ITEM = 80;

const IN_RECORDS: InOneLine = {
  whole: (property) => IN_ONE_LINE.has(property),
  item: (property, item) =>
    ITEMS_IN_ONE_LINE.has(property) && !Array.isArray(item) && JSON.stringify(item).length <= LONGEST_ITEM,
};
