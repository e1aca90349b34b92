import { isUtf8 } from 'node:buffer';
import { harmless } from '../text/harmless.js';
import { Failure } from './failure.js';

/**
 * The text of bytes that come piece by piece, as whole characters; anything but UTF-8 is refused, since a replacement
 * character would be written back. Throws a Failure
 * that names line and column of the first invalid byte, and what it may be.
 */
export class Utf8Reader {
  readonly #shown: string;
  #rest: Buffer = Buffer.alloc(0);
  #first = true;
  #line = 1;
  /** Of the line that is being read, in UTF-16 units. */
  #column = 1;

  /** `shown` is the name of the text in messages. */
  constructor(shown: string) {
    this.#shown = shown;
  }

  /** The text as far as it is certain; a byte order mark stays at its beginning. */
  read(piece: Uint8Array | string): string {
    const bytes =
      typeof piece === 'string'
        ? Buffer.from(piece)
        : Buffer.from(piece.buffer, piece.byteOffset, piece.byteLength);
    const whole = this.#rest.length === 0 ? bytes : Buffer.concat([this.#rest, bytes]);
    // A byte order mark reveals UTF-16, and may be split between two pieces.
    const end = this.#first && whole.length === 1 && (whole[0] ?? 0) >= 0xfe ? 0 : completeEnd(whole);
    this.#rest = Buffer.from(whole.subarray(end));
    return this.#text(whole.subarray(0, end));
  }

  /** What is left at the end. */
  end(): string {
    return this.#text(this.#rest, true);
  }

  #text(bytes: Buffer, ends = false): string {
    if (bytes.length === 0) return '';
    const shown = harmless(this.#shown);
    const mark = this.#first && bytes.length >= 2 ? bytes.readUInt16BE(0) : 0;
    if (mark === 0xfffe || mark === 0xfeff)
      throw new Failure(`${shown} is text in UTF-16, not in UTF-8`, { hint: hint('UTF-16') });
    const text = bytes.toString('utf8');
    const zero = bytes.indexOf(0);
    if (zero >= 0) {
      const wide = zero < 4 && this.#first && bytes.length > 3 && bytes.indexOf(0, zero + 1) === zero + 2;
      if (wide)
        throw new Failure(`${shown} is not text in UTF-8; it may be UTF-16`, { hint: hint('UTF-16LE') });
      const [line, column] = this.#at(bytes.toString('utf8', 0, zero));
      throw new Failure(
        `${shown} is not text: it holds bytes that no text has, the first in line ${line}, column ${column}`,
      );
    }
    if (!isUtf8(bytes)) throw this.#bad(bytes, text, ends);
    this.#first = false;
    [this.#line, this.#column] = this.#at(text);
    return text;
  }

  #bad(bytes: Buffer, text: string, ends: boolean): Failure {
    const { units, at } = firstLost(bytes, text);
    const [line, column] = this.#at(text.slice(0, units));
    const shown = harmless(this.#shown);
    const place = `line ${line}, column ${column}`;
    if (ends && completeEnd(bytes.subarray(at)) === 0)
      return new Failure(`${shown} is not text in UTF-8: it ends in ${place} in the middle of a letter`, {
        hint: hint(undefined),
      });
    const byte = bytes[at] ?? 0;
    const letter = WINDOWS[byte];
    const may = letter === undefined ? '' : `, which is ${letter} in Windows-1252`;
    return new Failure(
      `${shown} is not text in UTF-8: in ${place} stands the byte ${byte.toString(16).toUpperCase()}${may}`,
      { hint: hint(letter === undefined ? undefined : 'WINDOWS-1252') },
    );
  }

  /** Line and column behind a text that follows what was read. */
  #at(text: string): [line: number, column: number] {
    let line = this.#line;
    let start = -1;
    for (let i = text.indexOf('\n'); i >= 0; i = text.indexOf('\n', i + 1)) {
      line++;
      start = i;
    }
    return [line, start < 0 ? this.#column + text.length : text.length - start];
  }
}

/** The text of all bytes of a file; a byte order mark stays. Throws a Failure when they are not text in UTF-8. */
export function utf8Text(bytes: Uint8Array, shown: string): string {
  const reader = new Utf8Reader(shown);
  const text = reader.read(bytes);
  return text + reader.end();
}

/** A text without a byte order mark. */
export function withoutMark(text: string): string {
  return text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
}

function hint(encoding: string | undefined): string {
  const converts = encoding === undefined ? '' : `, or convert it: iconv -f ${encoding} -t UTF-8 OLD > NEW`;
  return `save it as UTF-8 in the program that wrote it${converts}`;
}

/** Where the first letter was lost: in the text, and in the bytes. A U+FFFD that the author wrote does not count. */
function firstLost(bytes: Buffer, text: string): { units: number; at: number } {
  let units = 0;
  let at = 0;
  for (;;) {
    const next = text.indexOf('\ufffd', units);
    if (next < 0) return { units: text.length, at: bytes.length };
    at += Buffer.byteLength(text.slice(units, next));
    if (bytes[at] !== 0xef || bytes[at + 1] !== 0xbf || bytes[at + 2] !== 0xbd) return { units: next, at };
    units = next + 1;
    at += 3;
  }
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

/** The letters of Windows-1252 from 0x80 on; five bytes stand for none (https://encoding.spec.whatwg.org/). */
const WINDOWS: Readonly<Record<number, string>> = Object.fromEntries(
  [...'€ ‚ƒ„…†‡ˆ‰Š‹Œ Ž  ‘’“”•–—˜™š›œ žŸ']
    .map((letter, i) => [0x80 + i, letter] as const)
    .filter(([, letter]) => letter !== ' ')
    .concat(Array.from({ length: 0x5f }, (_, i) => [0xa1 + i, String.fromCharCode(0xa1 + i)] as const)),
);
