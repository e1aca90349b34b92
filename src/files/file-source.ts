import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import type { ByteSource } from '../archive/directory.js';
import { systemFailure } from '../diagnostic/system-error.js';
import { harmless } from '../text/harmless.js';
import { noteRead } from './run-files.js';

/** A file as a source of bytes; it stays open until it is closed. Throws a Failure when it cannot be read. */
export function fileSource(path: string, shown: string): ByteSource {
  const attempt = <T>(work: () => T): T => {
    try {
      return work();
    } catch (error) {
      throw systemFailure(error, harmless(shown));
    }
  };
  return attempt(() => {
    noteRead(path);
    const file = openSync(path, 'r');
    return {
      size: fstatSync(file).size,
      read: (at, length) =>
        attempt(() => {
          const bytes = new Uint8Array(length);
          let got = 0;
          while (got < length) {
            const more = readSync(file, bytes, got, length - got, at + got);
            if (more === 0) break;
            got += more;
          }
          return bytes.subarray(0, got);
        }),
      close: () => closeSync(file),
    };
  });
}
