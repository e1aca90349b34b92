import { defined } from '../text/optional.js';
import { Failure } from './failure.js';

/** An error of the operating system, or one that Node raises in its place. */
interface SystemError extends Error {
  /** `ENOENT`, `EACCES`, `ERR_STRING_TOO_LONG`. */
  readonly code: string;
  /** What was tried: `open`, `read`. */
  readonly syscall?: string;
  /** The file it was about, where there was one. */
  readonly path?: string;
}

/** What went wrong, and what to do about it. */
type Words = readonly [reason: string, hint?: string];

const PERMISSIONS = 'look at who may use it and the folders it lies in: ls -ld';

/** Every error of a file operation that a person can run into, in words; the names are those of POSIX and of node. */
const REASONS: Readonly<Record<string, Words>> = {
  EACCES: ['access is denied', PERMISSIONS],
  EAGAIN: ['it has nothing to read just now', 'try again'],
  EBADF: ['it is closed, or not open for this'],
  EBUSY: ['it is in use by another program', 'close that program, then try again'],
  EDQUOT: ['your quota on this disk is used up', 'make room, then try again'],
  EEXIST: ['something of that name is there already'],
  EFBIG: ['it is too large'],
  EINVAL: ['the system does not allow this with such a file', 'give a plain file'],
  EIO: ['the disk or the device fails', 'copy what is on it to another one'],
  EISDIR: ['it is a folder', 'give the name of a file in it'],
  ELOOP: ['its links lead round in a circle', 'give the file itself'],
  EMFILE: ['too many files are open', 'allow this shell more open files: ulimit -n'],
  EMLINK: ['it has too many links'],
  ENAMETOOLONG: ['its name is too long', 'give a shorter name'],
  ENFILE: ['too many files are open on this machine', 'end some programs, then try again'],
  ENODEV: ['there is no such device'],
  ENOENT: ['there is no such file'],
  ENOMEM: ['there is not enough memory', 'end some programs, then try again'],
  ENOSPC: ['the disk is full', 'make room, then try again'],
  ENOSYS: ['this file system does not allow it', 'take a folder on another disk'],
  ENOTDIR: ['part of its path is not a folder'],
  ENOTEMPTY: ['it is a folder that is not empty'],
  ENOTSUP: ['this file system does not allow it', 'take a folder on another disk'],
  ENXIO: ['there is no such device, or nobody is at its other end'],
  EOPNOTSUPP: ['this file system does not allow it', 'take a folder on another disk'],
  EPERM: ['the system does not allow it', PERMISSIONS],
  EPIPE: ['nobody reads it any more'],
  EROFS: ['the disk can only be read', 'take a folder on another disk'],
  ESTALE: ['the network folder that it lies in was cut off', 'connect the folder anew, then try again'],
  ETIMEDOUT: ['the network folder that it lies in does not answer', 'try again later'],
  ETXTBSY: ['it is a program that is running'],
  EXDEV: ['it lies on another disk'],
  ERR_FS_EISDIR: ['it is a folder', 'give the name of a file in it'],
  ERR_FS_FILE_TOO_LARGE: ['it is too large'],
  ERR_INVALID_ARG_VALUE: ['no file can have such a name'],
  ERR_STRING_TOO_LONG: ['it is too large'],
};

/** Whether the system refused something, which a person can understand and fix; any other error is a bug. */
export function isSystemError(error: unknown): error is SystemError {
  if (!(error instanceof Error) || !('code' in error) || typeof error.code !== 'string') return false;
  if ('syscall' in error) return true;
  return error.code !== 'ERR_INVALID_ARG_VALUE' && error.code in REASONS;
}

/** Why a file cannot be read or written, to stand after its name: `cannot be read: there is no such file`. */
export function whyNot(error: unknown, done: 'read' | 'written' = 'read'): string {
  const { code = '', message } = error as SystemError;
  // `EDOM: argument out of domain, read '/x'`: the sentence already names the file.
  const plain = String(message)
    .replace(/^[A-Z0-9_]+: /, '')
    .replace(/, \w+( '.*')?$/s, '');
  return `cannot be ${done}: ${REASONS[code]?.[0] ?? plain}`;
}

/**
 * A system error as a Failure that names the file as the person wrote it. A Failure is returned as it is; anything
 * else is a
 * bug, and thrown.
 */
export function systemFailure(error: unknown, shown: string, done: 'read' | 'written' = 'read'): Failure {
  if (error instanceof Failure) return error;
  const { code } = error as SystemError;
  if (!isSystemError(error) && code !== 'ERR_INVALID_ARG_VALUE') throw error;
  const hint = REASONS[code]?.[1];
  return new Failure(`${shown} ${whyNot(error, done)}`, {
    cause: error,
    ...defined({ hint }),
  });
}
