/** Locks: a file beside another one, by which processes take turns with it, also on network folders. */
import { createHash } from 'node:crypto';
import { readFileSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import { systemFailure } from '../diagnostic/system-error.js';
import { defined } from '../text/optional.js';
import { realPath, tryWriteNew } from './atomic-write.js';
import { isGone, makeFolder, type ProcessMark, removeTemporary, thisProcess } from './temporary-files.js';

/** Who has a lock, and since when. */
interface Holder extends ProcessMark {
  readonly since: string;
}

/** A lock that is held. */
export interface Lock {
  release(): void;
}

/** How long to wait for another process, in ms; changing a record takes a few. */
const LONGEST_WAIT = 10_000;
/** An empty lock older than this, in ms, was left by a process that ended while writing it. */
const EMPTY_LOCK_AGE = 10_000;

/**
 * Takes the lock of a file, so that no other keywright changes it until it is released. A lock whose process
 * is gone (`kill -9`, a crash) is taken over; that of another machine never, since it cannot be checked from
 * here. Throws a Failure when another process keeps it.
 */
export function lockFile(path: string, shown: string, patience = LONGEST_WAIT): Lock {
  const real = realPath(path);
  const lock = join(dirname(real), lockName(basename(real)));
  let undo: (() => void) | undefined;
  try {
    undo = makeFolder(dirname(lock));
    const own = take(lock, shown, patience);
    return {
      release: () => {
        if (textOf(lock) === own) removeTemporary(lock);
        undo?.();
      },
    };
  } catch (error) {
    undo?.();
    throw systemFailure(error, shown, 'written');
  }
}

/** Does something while a file is locked. */
export function withLock<T>(path: string, shown: string, work: () => T): T {
  const lock = lockFile(path, shown);
  try {
    return work();
  } finally {
    lock.release();
  }
}

/** `.find.yaml.lock`; no file system takes a name of more than 255 bytes. */
function lockName(name: string): string {
  const short = Buffer.byteLength(name) > 200 ? createHash('sha256').update(name).digest('hex') : name;
  return `.${short}.lock`;
}

function take(lock: string, shown: string, patience: number): string {
  const own = JSON.stringify({ ...thisProcess(), since: new Date().toISOString() } satisfies Holder);
  const until = Date.now() + patience;
  for (;;) {
    if (tryWriteNew(lock, own, shown)) return own;
    const text = textOf(lock);
    if (text === undefined) continue;
    const holder = holderIn(text);
    if (isStale(lock, holder)) removeStale(lock, text, shown);
    else if (Date.now() >= until) throw inUse(lock, holder, shown);
    // A random pause, so that not all try again at the same time.
    pause(10 + Math.random() * 30);
  }
}

/**
 * Removes the lock of a process that is gone. Of several processes only one does so: otherwise a slower one
 * could remove the lock that a quicker one has just made in its place.
 */
function removeStale(lock: string, text: string, shown: string): void {
  const guard = `${lock}.taking`;
  if (tryWriteNew(guard, JSON.stringify(thisProcess()), shown)) {
    if (textOf(lock) === text) removeTemporary(lock);
    removeTemporary(guard);
    return;
  }
  const other = textOf(guard);
  if (other !== undefined && isStale(guard, holderIn(other))) removeTemporary(guard);
}

/** Whether whoever made a lock is gone. */
function isStale(lock: string, holder: Partial<Holder> | undefined): boolean {
  const { pid, host, began } = holder ?? {};
  if (pid !== undefined && host !== undefined) return isGone({ pid, host, ...defined({ began }) });
  const made = statSync(lock, { throwIfNoEntry: false })?.mtimeMs;
  return made !== undefined && Date.now() - made > EMPTY_LOCK_AGE;
}

function holderIn(text: string): Partial<Holder> | undefined {
  try {
    const read: unknown = JSON.parse(text);
    if (typeof read !== 'object' || read === null) return undefined;
    const { pid, host, began, since } = read as Record<string, unknown>;
    return defined({
      pid: Number.isSafeInteger(pid) && (pid as number) > 0 ? (pid as number) : undefined,
      host: typeof host === 'string' ? host : undefined,
      began: typeof began === 'string' ? began : undefined,
      since: typeof since === 'string' ? since : undefined,
    });
  } catch {
    return undefined;
  }
}

function textOf(lock: string): string | undefined {
  try {
    return readFileSync(lock, 'utf8');
  } catch (error) {
    if ((error as { code?: string }).code === 'ENOENT') return undefined;
    throw error;
  }
}

function pause(ms: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}

function inUse(lock: string, holder: Partial<Holder> | undefined, shown: string): Failure {
  const { pid = '?', host = '?', since = '?' } = holder ?? {};
  return new Failure(
    `${shown} is in use by another keywright (process ${pid} on ${host}, since ${since}); it is left as it is`,
    { hint: `wait until that has ended; if it is no longer running, delete ${lock}` },
  );
}
