import { createReadStream } from 'node:fs';
import type { Readable } from 'node:stream';
import { StringDecoder } from 'node:string_decoder';
import { Failure } from '../diagnostic/failure.js';
import { harmless } from '../text/harmless.js';
import { whyNot } from './texts.js';

const PIECE = 65_536;

/**
 * A text file as it is read, piece by piece, without a byte order mark. Throws a Failure when it cannot be read or is
 * not text in UTF-8.
 */
export async function* filePieces(path: string, shown: string): AsyncGenerator<string, void> {
  const stream = createReadStream(path, { highWaterMark: PIECE });
  try {
    yield* textPieces(stream, shown);
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw new Failure(`${harmless(shown)} ${whyNot(error)}`, { cause: error });
  } finally {
    stream.destroy();
  }
}

/** The text of a stream, such as the standard input, piece by piece. */
export async function* textPieces(stream: Readable, shown: string): AsyncGenerator<string, void> {
  const decoder = new StringDecoder('utf8');
  let first = true;
  for await (const chunk of stream as AsyncIterable<Buffer | string>) {
    const bytes = typeof chunk === 'string' ? Buffer.from(chunk) : chunk;
    if (first) refuseUtf16(bytes, shown);
    let text = decoder.write(bytes);
    if (first && text.charCodeAt(0) === 0xfeff) text = text.slice(1);
    if (text !== '') first = false;
    check(text, bytes, shown);
    if (text !== '') yield text;
  }
  const rest = decoder.end();
  if (rest !== '') throw notUtf8(shown);
}

function refuseUtf16(bytes: Buffer, shown: string): void {
  const mark = bytes.length < 2 ? 0 : bytes.readUInt16BE(0);
  if (mark === 0xfffe || mark === 0xfeff)
    throw new Failure(`${harmless(shown)} is text in UTF-16; save it as UTF-8`);
}

/** What could not be decoded stands in the text as U+FFFD, more often than in the bytes. */
function check(text: string, bytes: Buffer, shown: string): void {
  if (bytes.includes(0)) throw new Failure(`${harmless(shown)} is not text: it holds bytes that no text has`);
  if (!text.includes('\ufffd')) return;
  let written = 0;
  for (let at = bytes.indexOf('\ufffd'); at >= 0; at = bytes.indexOf('\ufffd', at + 3)) written++;
  // One may lie across the border of two pieces.
  if (text.split('\ufffd').length - 1 > written + 1) throw notUtf8(shown);
  if (written === 0 && !bytes.subarray(0, 3).includes(0xbd)) throw notUtf8(shown);
}

function notUtf8(shown: string): Failure {
  return new Failure(
    `${harmless(shown)} is not text in UTF-8; save it as UTF-8 in the program that wrote it`,
  );
}
