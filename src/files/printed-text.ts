import { isUtf8 } from 'node:buffer';
import { createReadStream } from 'node:fs';
import type { Readable } from 'node:stream';
import { TextDecoder } from 'node:util';
import { Failure } from '../diagnostic/failure.js';
import { harmless } from '../text/harmless.js';
import { count } from '../text/words.js';
import { streamBytes } from './pieces.js';
import { noteRead } from './run-files.js';
import { statOf } from './texts.js';

/** The text of a printed work, and how its bytes were read when they were not UTF-8. */
export interface PrintedText {
  readonly text: string;
  /** `Windows-1252`, `UTF-16`; undefined for UTF-8. */
  readonly encoding: string | undefined;
}

/** A printed key of ten thousand couplets has about 2 MB. */
const MOST_BYTES = 8 * 1024 * 1024;
/** Such a key has sixty thousand lines. */
const MOST_LINES = 150_000;

/**
 * Reads a whole text that may be older than UTF-8, as scanned and typed texts often are. Throws a Failure when it
 * cannot be read, is too large, empty, or no text.
 */
export async function readPrinted(path: string, shown: string): Promise<PrintedText> {
  const size = statOf(path, harmless(shown))?.size ?? 0;
  if (size > MOST_BYTES) throw tooLarge(shown, size);
  noteRead(path);
  const stream = createReadStream(path);
  try {
    return await printedFrom(stream, shown);
  } finally {
    stream.destroy();
  }
}

/** The same from a stream, such as the standard input. */
export async function printedFrom(stream: Readable, shown: string): Promise<PrintedText> {
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const bytes of streamBytes(stream, shown)) {
    size += bytes.length;
    if (size > MOST_BYTES) throw tooLarge(shown, undefined);
    chunks.push(bytes);
  }
  const read = decoded(Buffer.concat(chunks), shown);
  if (read.text.trim() === '') throw new Failure(`${harmless(shown)} is empty: there is no text in it`);
  const lines = lineCount(read.text);
  if (lines > MOST_LINES)
    throw new Failure(
      `${MOST_LINES} lines are the most that is read of a printed text, and ${harmless(shown)} has ${lines}`,
      { hint: 'cut the pages with the key out of it' },
    );
  return read;
}

function lineCount(text: string): number {
  let lines = 1;
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) lines++;
  return lines;
}

function decoded(bytes: Buffer, shown: string): PrintedText {
  const mark = bytes.length >= 2 ? bytes.readUInt16BE(0) : 0;
  if (mark === 0xfffe) return { text: new TextDecoder('utf-16le').decode(bytes), encoding: 'UTF-16' };
  if (mark === 0xfeff) return { text: new TextDecoder('utf-16be').decode(bytes), encoding: 'UTF-16' };
  const odd = controls(bytes);
  if (bytes.includes(0) || odd > bytes.length * 0.02 + 2)
    throw new Failure(
      `${harmless(shown)} is not plain text: ${count(odd, 'byte')} of it are none that a text has`,
      { hint: 'save the page, the scan or the document as plain text first' },
    );
  if (isUtf8(bytes)) return { text: bytes.toString('utf8').replace(/^\ufeff/, ''), encoding: undefined };
  return { text: new TextDecoder('windows-1252').decode(bytes), encoding: 'Windows-1252' };
}

/** How many bytes are control characters other than line and page breaks. */
function controls(bytes: Buffer): number {
  let found = 0;
  for (const byte of bytes)
    if (byte < 32 && byte !== 9 && byte !== 10 && byte !== 12 && byte !== 13 && byte !== 26) found++;
  return found;
}

function tooLarge(shown: string, size: number | undefined): Failure {
  const has = size === undefined ? 'is larger than that' : `has ${Math.round(size / 1048576)} MB`;
  return new Failure(
    `${MOST_BYTES / 1048576} MB is the most that is read of a printed text, and ${harmless(shown)} ${has}`,
    { hint: 'cut the pages with the key out of it' },
  );
}
