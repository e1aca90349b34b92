import { open } from 'node:fs/promises';
import type { Readable } from 'node:stream';
import { Failure } from '../diagnostic/failure.js';
import { systemFailure } from '../diagnostic/system-error.js';
import { Utf8Reader, withoutMark } from '../diagnostic/utf8.js';
import { harmless } from '../text/harmless.js';
import { noteRead } from './run-files.js';

const PIECE = 65_536;

/**
 * A text file as it is read, piece by piece, without a byte order mark. Throws a Failure when it cannot be read or is
 * not text in UTF-8.
 */
export async function* filePieces(path: string, shown: string): AsyncGenerator<string, void> {
  try {
    yield* textOf(fileBytes(path), shown);
  } catch (error) {
    throw systemFailure(error, harmless(shown));
  }
}

/** The text of a stream, such as the standard input, piece by piece. */
function textPieces(stream: Readable, shown: string): AsyncGenerator<string, void> {
  return textOf(streamBytes(stream, shown), shown);
}

/** What comes through a stream, such as the standard input. Throws a Failure when it cannot be read. */
export async function* streamBytes(stream: Readable, shown: string): AsyncGenerator<Buffer, void> {
  try {
    for await (const piece of stream as AsyncIterable<Buffer | string>)
      yield typeof piece === 'string' ? Buffer.from(piece) : piece;
  } catch (error) {
    throw systemFailure(error, harmless(shown));
  }
}

/** The bytes of a file. Each piece lies in the same memory as the one before, so that a long file takes no more of it. */
async function* fileBytes(path: string): AsyncGenerator<Buffer, void> {
  noteRead(path);
  const file = await open(path, 'r');
  try {
    const piece = Buffer.allocUnsafeSlow(PIECE);
    for (;;) {
      const { bytesRead } = await file.read(piece, 0, PIECE, null);
      if (bytesRead === 0) return;
      yield piece.subarray(0, bytesRead);
    }
  } finally {
    await file.close();
  }
}

/** The text of bytes as they come, without a byte order mark. Throws a Failure when they are not text in UTF-8. */
export async function* textOf(
  pieces: AsyncIterable<Uint8Array | string> | Iterable<Uint8Array>,
  shown: string,
): AsyncGenerator<string, void> {
  const reader = new Utf8Reader(shown);
  let first = true;
  for await (const piece of pieces) {
    const text = reader.read(piece);
    if (text === '') continue;
    const plain = first ? withoutMark(text) : text;
    first = false;
    if (plain !== '') yield plain;
  }
  const text = reader.end();
  if (text !== '') yield text;
}

/** A whole text from a stream, such as the standard input, of at most so many letters. */
export async function wholeText(stream: Readable, shown: string, most: number): Promise<string> {
  let text = '';
  for await (const piece of textPieces(stream, shown)) {
    text += piece;
    if (text.length > most)
      throw new Failure(`${harmless(shown)} is longer than the ${most / 1048576} MB that are read of it`);
  }
  return text;
}
