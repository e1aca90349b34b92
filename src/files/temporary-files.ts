/** Temporary files that exist only while something is written: their names, and their removal. */
import {
  closeSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  rmdirSync,
  statSync,
  unlinkSync,
} from 'node:fs';
import { hostname } from 'node:os';
import { dirname, join } from 'node:path';
import { defined } from '../text/optional.js';

/** A process of this or another machine. */
export interface ProcessMark {
  readonly pid: number;
  readonly host: string;
  /** When it began, as its system counts, since process ids are reused. Only where the system tells. */
  readonly began?: string;
}

/** This very process. */
export function thisProcess(): ProcessMark {
  const began = statusOf(process.pid)?.began;
  return { pid: process.pid, host: hostname(), ...defined({ began }) };
}

/** Whether a process has ended for certain; of other machines nothing is certain. */
export function isGone({ pid, host, began }: ProcessMark): boolean {
  if (host !== hostname()) return false;
  try {
    process.kill(pid, 0);
  } catch (error) {
    return (error as { code?: string }).code === 'ESRCH';
  }
  const now = statusOf(pid);
  // A zombie: ended, but its parent has not collected it yet.
  return now !== undefined && (now.state === 'Z' || (began !== undefined && began !== now.began));
}

/** The third and the 22nd field of /proc/PID/stat (proc(5)); the name of the program, in brackets, may hold blanks. */
function statusOf(pid: number): { readonly state: string; readonly began: string } | undefined {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    return { state: fields[0] ?? '', began: fields[19] ?? '' };
  } catch {
    return undefined; // Not Linux, or gone this moment.
  }
}

const TEMPORARY_NAME = /^\.keywright-(\d+)-(.*)-\d+\.part$/;

let count = 0;

/** Opens a new temporary file in a folder; its name says which process it belongs to. */
export function openTemporary(
  folder: string,
  mode = 0o666,
): { readonly path: string; readonly file: number } {
  for (;;) {
    const path = join(folder, `.keywright-${process.pid}-${hostMark()}-${count++}.part`);
    try {
      return { path, file: openSync(path, 'wx+', mode) };
    } catch (error) {
      if ((error as { code?: string }).code !== 'EEXIST') throw error;
    }
  }
}

/** Removes a temporary file, if it is there. */
export function removeTemporary(path: string): void {
  try {
    unlinkSync(path);
  } catch {
    // Gone already, or on a disk that went away: the next run tries again.
  }
}

/** Closes a file whose content no longer matters. */
export function closeTemporary(file: number): void {
  try {
    closeSync(file);
  } catch {
    // What it held was given up anyway.
  }
}

const swept = new Set<string>();

/** Removes what a killed keywright has left in a folder; looks once in a run. */
export function removeLeftovers(folder: string): void {
  if (swept.has(folder)) return;
  swept.add(folder);
  try {
    for (const name of readdirSync(folder)) {
      const [, pid, host] = TEMPORARY_NAME.exec(name) ?? [];
      if (host === hostMark() && isGone({ pid: Number(pid), host: hostname() }))
        removeTemporary(join(folder, name));
    }
  } catch {
    // A folder that may not be looked into may still be written to.
  }
}

function hostMark(): string {
  return hostname()
    .replace(/[^A-Za-z0-9.]+/g, '_')
    .slice(0, 64);
}

/** Makes a folder and its parents; returns a function that removes the new ones again, as far as they are empty. */
export function makeFolder(folder: string): () => void {
  const first = makeAll(folder);
  return () => {
    if (first === undefined) return;
    try {
      for (let at = folder; ; at = dirname(at)) {
        rmdirSync(at);
        if (at === first || at === dirname(at)) return;
      }
    } catch {
      // Something lies in it by now.
    }
  };
}

function makeAll(folder: string): string | undefined {
  try {
    return mkdirSync(folder, { recursive: true });
  } catch (error) {
    // Of a file that stands in the way it is only said that it exists; this says ENOTDIR.
    if ((error as { code?: string }).code === 'EEXIST') statSync(`${folder}/.`);
    throw error;
  }
}
