import { isUtf8 } from 'node:buffer';
import { open } from 'node:fs/promises';
import type { Readable } from 'node:stream';
import { Failure } from '../diagnostic/failure.js';
import { systemFailure } from '../diagnostic/systemerror.js';
import { harmless } from '../text/harmless.js';
import { noteRead } from './reads.js';

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
export function textPieces(stream: Readable, shown: string): AsyncGenerator<string, void> {
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
  let rest: Buffer = Buffer.alloc(0);
  let first = true;
  for await (const piece of pieces) {
    const bytes =
      typeof piece === 'string'
        ? Buffer.from(piece)
        : Buffer.from(piece.buffer, piece.byteOffset, piece.byteLength);
    const whole = rest.length === 0 ? bytes : Buffer.concat([rest, bytes]);
    // Less than three bytes are too little to tell a mark at the beginning.
    const end = first && whole.length < 3 ? 0 : completeEnd(whole);
    rest = Buffer.from(whole.subarray(end));
    if (end === 0) continue;
    const text = decoded(whole.subarray(0, end), first, shown);
    first = false;
    if (text !== '') yield text;
  }
  const text = decoded(rest, first, shown);
  if (text !== '') yield text;
}

function decoded(bytes: Buffer, first: boolean, shown: string): string {
  const mark = first && bytes.length >= 2 ? bytes.readUInt16BE(0) : 0;
  if (mark === 0xfffe || mark === 0xfeff)
    throw new Failure(`${harmless(shown)} is text in UTF-16; save it as UTF-8`);
  if (bytes.includes(0)) throw new Failure(`${harmless(shown)} is not text: it holds bytes that no text has`);
  if (!isUtf8(bytes))
    throw new Failure(
      `${harmless(shown)} is not text in UTF-8; save it as UTF-8 in the program that wrote it`,
    );
  const text = bytes.toString('utf8');
  return first && text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
}

/** Where the last whole character ends: a piece may end in the middle of one. */
function completeEnd(bytes: Buffer): number {
  for (let back = 1; back <= Math.min(3, bytes.length); back++) {
    const byte = bytes[bytes.length - back] as number;
    if (byte < 0x80) break;
    if (byte < 0xc0) continue;
    const needed = byte >= 0xf0 ? 4 : byte >= 0xe0 ? 3 : 2;
    return needed > back ? bytes.length - back : bytes.length;
  }
  return bytes.length;
}
