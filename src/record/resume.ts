import { Failure } from '../diagnostic/failure.js';
import type { CompiledKey } from '../engine/compile.js';
import { defined, filled } from '../text/optional.js';
import { listed } from '../text/words.js';
import { carryAnswers } from './carry.js';
import { readFind } from './find.js';
import { type KeyMark, keyChanges, keyMark, keyVersions, sameMainKey } from './key-mark.js';
import { Keying } from './keying.js';
import type { RecordedDetermination } from './write.js';

/** A keying that goes on from a determination, and what the person should be told about it. */
export interface GoneOn {
  readonly keying: Keying;
  readonly news: readonly string[];
  /** Whether it continues that determination, or begins a further one from its answers. */
  readonly which: 'further' | 'last';
  /** Whether the key is another now than it was. */
  readonly changed: boolean;
}

/** Options for resuming. */
export interface ResumeOptions {
  readonly by?: string | undefined;
  /** Continue though the key has changed. */
  readonly changedKey?: boolean | undefined;
}

/**
 * Goes on with a determination; `file` is what it is called in messages. Throws a Failure when it belongs to another key, or
 * the key has changed and the person did not allow for that. With a changed key, the answers whose couplet still says the
 * same hold; the others are kept as dropped.
 */
export function goOnFrom(
  last: RecordedDetermination,
  file: string,
  key: CompiledKey,
  options: ResumeOptions,
  program: string,
  now: () => Date,
): GoneOn {
  const mark = keyMark(key.chain);
  if (last.key.id !== mark.id)
    throw new Failure(
      `${file} is a determination with the key ${last.key.id}, not with ${mark.id}; it is left as it is`,
      { hint: `run ${last.key.id} with --resume ${file}` },
    );
  const changed = last.key.hash !== mark.hash;
  if (changed && options.changedKey !== true)
    throw new Failure(`${changeOf(last.key, mark)} ${file} is left as it is.`, {
      hint: `keywright redo ${file} --key ${mark.id} lists what the change does to it; --changed-key continues from the answers that still hold`,
    });
  const { kept, dropped, lost, otherwise, collection, find } = validAnswers(last, key);
  const news: string[] = [];
  if (changed) {
    news.push(changeOf(last.key, mark));
    if (dropped.length + lost.length + otherwise.length === 0) news.push('All answers still hold.');
  }
  if (dropped.length > 0)
    news.push(
      `No longer used: ${listed(dropped.map((d) => `${d.couplet}${d.lead} (${d.why})`))}. You will be asked again where it matters.`,
    );
  if (lost.length > 0) news.push(`Evidence that the key does not understand: ${lost.join('; ')}.`);
  if (changed && otherwise.length > 0)
    news.push(`Evidence that means something else now: ${otherwise.join('; ')}.`);
  const which = last.status === 'open' ? 'last' : 'further';
  if (which === 'further')
    news.push(
      `${file} holds a finished determination of ${last.collection.id}. It stays as it is; a new one starts from its answers.`,
    );
  const { started, begunWith = [] } = last;
  const { notes, note } = changed ? notesApart(last) : last;
  const by = jointAuthors(which === 'last' ? last.by : undefined, options.by);
  const start = {
    started: which === 'last' ? started : now().toISOString(),
    ...defined({ by }),
    find,
    ...(which === 'last' && changed ? { begunWith: [...begunWith, last.key] } : { begunWith }),
    answers: kept,
    dropped: [...(last.dropped ?? []), ...dropped],
    ...filled({ unread: lost, otherwise }),
    ...defined({ notes, note }),
  };
  const keying = new Keying(key, collection, start, program, now);
  return { keying, news, which, changed };
}

/** The answers of a determination that hold with a key, when the person can be asked again. */
function validAnswers(last: RecordedDetermination, key: CompiledKey) {
  const told = last.key.contents !== undefined;
  const { kept, dropped } = carryAnswers(last.answers, key.chain, told);
  const again = readFind(last.collection, key.chain, told);
  // An answer of which only a part holds is dropped: the person can give it again.
  const half = kept.filter((a) => a.counts !== undefined);
  return {
    kept: kept.filter((a) => a.counts === undefined),
    dropped: [
      ...dropped,
      ...half.map((a) => ({ ...a, why: 'the wording of another lead of its couplet has changed' })),
    ],
    ...again,
  };
}

/**
 * Notes on couplets without an answer, put with the note on the find: the numbers of a changed key mean other
 * couplets.
 */
function notesApart({ notes = [], note, key }: RecordedDetermination): { notes?: undefined; note?: string } {
  const versions = keyVersions(key);
  const versionAt = (couplet: string) =>
    versions.get(couplet.slice(0, Math.max(0, couplet.lastIndexOf('/')))) ?? key.version;
  const texts = notes.map(
    (n) => `at couplet ${n.couplet} of version ${versionAt(n.couplet)}: ${n.note ?? n.doubt ?? ''}`,
  );
  const all = [...(note === undefined ? [] : [note]), ...texts];
  return defined({ note: all.join('; ') || undefined });
}

function changeOf(before: KeyMark, now: KeyMark): string {
  const what = sameMainKey(before, now) === true ? `What the key ${now.id} uses` : `The key ${now.id}`;
  return `${what} has changed since this record was made: ${keyChanges(before, now).join('; ')}.`;
}

/** Who began a determination and who continues it. */
function jointAuthors(before: string | undefined, now: string | undefined): string | undefined {
  if (before === undefined || now === undefined || before === now) return now ?? before;
  return before.split('; ').includes(now) ? before : `${before}; ${now}`;
}
