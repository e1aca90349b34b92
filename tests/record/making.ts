/** Makes determinations and records without a disk. */

import type { CompiledKey } from '../../src/engine/compile.js';
import { carryAnswers } from '../../src/record/carry.js';
import { type Changes, changesBetween } from '../../src/record/changes.js';
import { readFind, recordFind } from '../../src/record/find.js';
import { Keying, type KeyingStart } from '../../src/record/keying.js';
import { readRecord } from '../../src/record/read.js';
import { newFrame, type RecordedDetermination, writeRecord } from '../../src/record/write.js';
import type { Collection } from '../../src/traits/collection.js';

/** One answer for a keying that is made by a test: the number of a lead that is not ruled out, or can't tell. */
export type Said = number | '?';

/** A clock that goes on by a second each time it is looked at. */
export function clock(): () => Date {
  let seconds = 0;
  return () => new Date(Date.UTC(2026, 9, 18, 16, 0, seconds++));
}

/** A keying of a find with some answers, not finished. */
export function keyingOf(
  key: CompiledKey,
  find: Collection,
  said: readonly Said[],
  more: Partial<KeyingStart> = {},
): Keying {
  const now = clock();
  const start = { started: now().toISOString(), find: recordFind(find, key.chain), ...more };
  const keying = new Keying(key, find, start, 'keywright 0.0.0-test', now);
  for (const answer of said) {
    const { ask } = keying.standing;
    if (ask === undefined) break;
    const leads = ask.couplet.leads.flatMap((_, i) => (ask.ruledOut[i] === undefined ? [i] : []));
    keying.answer(answer === '?' ? undefined : leads[answer % leads.length]);
  }
  return keying;
}

/** The finished determination of a find with some answers. */
export function determined(
  key: CompiledKey,
  find: Collection,
  said: readonly Said[],
  more: Partial<KeyingStart> = {},
): RecordedDetermination {
  const keying = keyingOf(key, find, said, more);
  keying.finish();
  return keying.record();
}

/** The text of a record with these determinations, made as the program makes it: one after the other. */
export function recordOf(determinations: readonly RecordedDetermination[]): string {
  const [first] = determinations;
  if (first === undefined) throw new Error('no determination');
  let text = '';
  for (const d of determinations)
    text = writeRecord(text === '' ? newFrame(first.collection) : whole(text).frame('further'), d);
  return text;
}

/** A record that must be readable. */
export function whole(text: string): Extract<ReturnType<typeof readRecord>, { ok: true }> {
  const read = readRecord(text, 'rec.yaml');
  if (!read.ok) throw new Error(read.problems.join('\n'));
  return read;
}

/** A determination taken over to another key, as `redo` does it, and what is different. */
export function redone(
  before: RecordedDetermination,
  key: CompiledKey,
): { readonly after: RecordedDetermination; readonly changes: Changes } {
  const told = before.key.contents !== undefined;
  const { kept, dropped } = carryAnswers(before.answers, key.chain, told, before.dropped);
  const { collection, find, lost, otherwise } = readFind(before.collection, key.chain, told);
  const after = determined(key, collection, [], {
    find,
    answers: kept,
    dropped,
    unread: lost,
    otherwise,
    redoneFrom: 1,
  });
  return { after, changes: changesBetween(before, after) };
}
