import type { CompiledKey } from '../engine/compile.js';
import { defined, filled } from '../text/optional.js';
import { carryAnswers } from './carry.js';
import { readFind } from './find.js';
import { Keying } from './keying.js';
import type { RecordedDetermination } from './write.js';

/** Who redoes a determination, and when. */
export interface Redoing {
  /** The number of the determination in its record, from 1. */
  readonly redoneFrom: number;
  readonly by: string | undefined;
  /** The program with its version. */
  readonly program: string;
  readonly clock: () => Date;
}

/** Takes the evidence and answers of a recorded determination through a key that may have changed since. */
export function redoDetermination(
  key: CompiledKey,
  before: RecordedDetermination,
  { redoneFrom, by, program, clock }: Redoing,
): RecordedDetermination {
  const told = before.key.contents !== undefined;
  const { kept, dropped } = carryAnswers(before.answers, key.chain, told, before.dropped);
  const { collection, find, lost, otherwise } = readFind(before.collection, key.chain, told);
  const start = {
    started: clock().toISOString(),
    ...defined({ by: by || undefined }),
    find,
    redoneFrom,
    answers: kept,
    dropped,
    ...filled({ unread: lost, otherwise }),
  };
  const keying = new Keying(key, collection, start, program, clock);
  keying.finish();
  return keying.record();
}

/** The last finished determination with a key of that id (without one, with any), or else one that was left off. */
export function lastWith(
  id: string | undefined,
  determinations: readonly RecordedDetermination[],
): RecordedDetermination | undefined {
  const own = id === undefined ? determinations : determinations.filter((d) => d.key.id === id);
  return own.filter((d) => d.status === 'finished').at(-1) ?? own.at(-1);
}
