import type { RecordedDetermination } from '../record/write.js';
import { defined } from '../text/optional.js';
import { messages as say } from './messages.js';
import type { KeptFind } from './model/find.js';
import { readRecordFile } from './record-file.js';

/** A record that was taken in, or why it was not. */
export type TakenIn =
  | { readonly ok: true; readonly find: Omit<KeptFind, 'id'> }
  | { readonly ok: false; readonly why: string };

/** Reads the text of a record as a find; a finished determination stays in it, and a further one begins with its answers. */
export function takeIn(text: string, name: string, key: string, now: Date): TakenIn {
  const read = readRecordFile(text, name);
  if (!read.ok) return { ok: false, why: read.problem };
  const determination = read.record.determinations.at(-1) as RecordedDetermination;
  if (determination.key.id !== key)
    return { ok: false, why: say.recordOfOtherKey(determination.key.id, key) };
  try {
    const frame = read.frame(determination.status === 'open' ? 'last' : 'further');
    return {
      ok: true,
      find: {
        revision: 1,
        changed: now.toISOString(),
        determination,
        readFrom: {},
        ...defined({ frame }),
      },
    };
  } catch (error) {
    if (error instanceof RangeError) return { ok: false, why: error.message };
    throw error;
  }
}
