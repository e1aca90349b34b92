import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { Failure } from '../diagnostic/failure.js';
import { systemFailure } from '../diagnostic/system-error.js';
import { type Content, requireWritable, writeAtomically, writeNew } from './atomic-write.js';
import { withLock } from './lock.js';
import { wasRead, wasWritten } from './run-files.js';
import { isFile, isNoFile, readText } from './texts.js';

/**
 * The output file that a person named: the one guard of `--out`. An existing file is replaced only when the
 * person said so, and never one that this run reads or has written, under whatever name.
 */
export class OutFile {
  readonly path: string;
  /** What was written last; `--watch` writes again and again. */
  #last: string | undefined;

  constructor(
    cwd: string,
    /** As the person wrote it. */
    readonly shown: string,
    /** Whether the person said --overwrite. */
    readonly overwrite = false,
  ) {
    this.path = resolve(cwd, shown);
  }

  /** Throws a Failure where nothing may be written. Commands that work long check this first; `write` checks again. */
  check(): void {
    const { shown, path } = this;
    if (isNoFile(path, shown)) throw new Failure(`${shown} is not a file, so nothing can be written there`);
    if (wasRead(path))
      throw new Failure(`${shown} is read by this very command; it is left as it is`, {
        hint: 'give another name',
      });
    if (!isFile(path)) return;
    const ours = this.#last !== undefined && this.#stands() === this.#last;
    if (!ours && wasWritten(path))
      throw new Failure(`${shown} is written by this very command already; it is left as it is`, {
        hint: 'give another name',
      });
    if (!ours && !this.overwrite)
      throw new Failure(`${shown} is there already; it is left as it is`, { hint: TAKEN });
    requireWritable(path, shown);
  }

  /** Writes it, whole. Throws a Failure where it may not be written, or cannot. */
  write(content: Content): void {
    this.check();
    if (isFile(this.path)) writeAtomically(this.path, content, this.shown);
    else writeNew(this.path, content, this.shown, TAKEN);
    this.#last = typeof content === 'string' ? content : undefined;
  }

  #stands(): string | undefined {
    try {
      return readFileSync(this.path, 'utf8');
    } catch (error) {
      throw systemFailure(error, this.shown);
    }
  }
}

const TAKEN = 'give another name, or add --overwrite';

/**
 * Replaces a text that was read from the same file. Throws a Failure, and leaves the file alone, when somebody else has
 * changed it meanwhile.
 */
export function replaceText(path: string, before: string, after: string, shown = path): void {
  withLock(path, shown, () => {
    requireUnchanged(path, before, shown);
    writeAtomically(path, after, shown);
  });
}

/** Throws a Failure when a file no longer has the content `before` (undefined: when it exists). */
export function requireUnchanged(path: string, before: string | undefined, shown: string): void {
  if (readText(path, shown) !== before)
    throw new Failure(`${shown} was changed by somebody else meanwhile; it is left as it is`, {
      hint: 'look at what it holds now, then try again',
    });
}
