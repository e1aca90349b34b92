/** A table of finds, wherever it comes from: text as it comes in, an archive of several files, or one of records. */
import { createReadStream } from 'node:fs';
import type { Readable } from 'node:stream';
import { TextDecoder } from 'node:util';
import type { Archive } from '../archive/archive.js';
import { type ByteSource, isArchive } from '../archive/directory.js';

import { Failure } from '../diagnostic/failure.js';
import { utf8Text } from '../diagnostic/utf8.js';
import type { ArchiveTexts } from '../tables/dwc/data-rows.js';
import { harmless, quoted } from '../text/harmless.js';
import { filePieces, streamBytes, textOf } from './pieces.js';
import { noteRead } from './run-files.js';
import { statOf } from './texts.js';
import { fileStart, isArchiveFile } from './zip-start.js';

/** A table as it was found. */
export type TableSource =
  | {
      readonly kind: 'text';
      readonly pieces: AsyncIterable<string>;
      /** What it is written in where that is not UTF-8. */
      readonly encoding: string | undefined;
    }
  | { readonly kind: 'archive'; readonly texts: ArchiveTexts; close(): void }
  | { readonly kind: 'finds'; readonly records: readonly RecordInArchive[]; close(): void };

/** A record in an archive of finds. */
interface RecordInArchive {
  /** Its name in messages. */
  readonly file: string;
  /** Throws a Failure when it cannot be read. */
  text(): string;
}

/** What a table must be; without it, its first bytes tell. Which archive it is, its files tell. */
type TableKind = 'text' | 'archive' | undefined;

/** An archive that comes as a stream is held in memory, up to this. */
const MOST_STREAMED = 512 * 1024 * 1024;

/** The table in a file. Throws a Failure when it cannot be read. */
export async function fileTable(path: string, shown: string, kind: TableKind): Promise<TableSource> {
  const found = statOf(path, harmless(shown));
  noteRead(path);
  // What is neither file nor folder (`<(command)` of a shell) can be read once only, from its start.
  if (found !== undefined && !found.isFile() && !found.isDirectory())
    return streamTable(createReadStream(path), shown, kind);
  // What reads archives is loaded only for them.
  if (found?.isFile() === true && (kind === 'archive' || (kind === undefined && isArchiveFile(path)))) {
    const { fileSource } = await import('./file-source.js');
    return archiveTable(fileSource(path, shown), shown);
  }
  const encoding = found?.isFile() === true ? wideEncoding(fileStart(path, 4)) : undefined;
  if (encoding !== undefined)
    return {
      kind: 'text',
      encoding,
      pieces: wideText(streamBytes(createReadStream(path), shown), shown, encoding),
    };
  return { kind: 'text', encoding, pieces: filePieces(path, shown) };
}

/** The table in a stream, such as the standard input. */
export async function streamTable(stream: Readable, shown: string, kind: TableKind): Promise<TableSource> {
  const pieces = streamBytes(stream, shown);
  const first: Uint8Array[] = [];
  let size = 0;
  const more = async (): Promise<boolean> => {
    const { done, value } = await pieces.next();
    if (done === true) return false;
    first.push(value);
    size += value.length;
    return true;
  };
  while (size < 4 && (await more()));
  if (kind === 'archive' || (kind === undefined && isArchive(Buffer.concat(first).subarray(0, 4)))) {
    while (await more())
      if (size > MOST_STREAMED)
        throw new Failure(`${harmless(shown)} cannot be read: an archive is larger than 512 MB`, {
          hint: 'give it as a file',
        });
    const { bytesSource } = await import('../archive/archive.js');
    return archiveTable(bytesSource(Buffer.concat(first)), shown);
  }
  const encoding = wideEncoding(Buffer.concat(first).subarray(0, 4));
  const all = rest(first, pieces);
  return {
    kind: 'text',
    encoding,
    pieces: encoding === undefined ? textOf(all, shown) : wideText(all, shown, encoding),
  };
}

/** Text in UTF-16 that says so by a byte order mark, as spreadsheets write it; UTF-32 begins alike and is not read. */
function wideEncoding(start: Uint8Array): 'UTF-16LE' | 'UTF-16BE' | undefined {
  const [a, b, c, d] = start;
  if (a === 0xff && b === 0xfe) return c === 0 && d === 0 ? undefined : 'UTF-16LE';
  return a === 0xfe && b === 0xff ? 'UTF-16BE' : undefined;
}

/** Text of whole letters: a decoder takes the byte order mark away and refuses half a letter. */
async function* wideText(
  pieces: AsyncIterable<Uint8Array>,
  shown: string,
  encoding: string,
): AsyncGenerator<string, void> {
  for await (const text of decodedText(pieces, shown, encoding)) {
    if (text.includes('\0'))
      throw new Failure(`${harmless(shown)} is not text: it holds characters that no text has`);
    if (text !== '') yield text;
  }
}

async function* rest(
  first: Uint8Array[],
  pieces: AsyncIterable<Uint8Array>,
): AsyncGenerator<Uint8Array, void> {
  yield* first.splice(0);
  yield* pieces;
}

async function archiveTable(source: ByteSource, shown: string): Promise<TableSource> {
  try {
    const { Archive, LARGE_ARCHIVE } = await import('../archive/archive.js');
    const archive = new Archive(source, shown, LARGE_ARCHIVE);
    const close = () => archive.close();
    const { findsIn, holdsFinds } = await import('../record/finds-archive.js');
    if (!holdsFinds(archive.names)) return { kind: 'archive', texts: textsOf(archive), close };
    const records = findsIn(archive).map(({ name, record }): RecordInArchive => {
      const file = `${shown}/${name}`;
      return { file, text: () => utf8Text(record(), file) };
    });
    return { kind: 'finds', records, close };
  } catch (error) {
    source.close();
    throw error;
  }
}

function textsOf(archive: Archive): ArchiveTexts {
  return {
    shown: archive.shown,
    names: archive.names,
    text: (name, encoding) => {
      const shown = `${archive.shown}/${name}`;
      const pieces = archive.pieces(name);
      return /^utf-?8$/i.test(encoding) ? textOf(pieces, shown) : decodedText(pieces, shown, encoding);
    },
  };
}

/** Text in another encoding than UTF-8. */
async function* decodedText(
  pieces: Iterable<Uint8Array> | AsyncIterable<Uint8Array>,
  shown: string,
  encoding: string,
): AsyncGenerator<string, void> {
  let decoder: TextDecoder;
  try {
    decoder = new TextDecoder(encoding, { fatal: true });
  } catch (error) {
    throw new Failure(`${harmless(shown)} cannot be read: ${quoted(encoding)} is not a known encoding`, {
      cause: error,
    });
  }
  try {
    for await (const piece of pieces) yield decoder.decode(piece, { stream: true });
    yield decoder.decode();
  } catch (error) {
    if (error instanceof Failure) throw error;
    throw new Failure(`${harmless(shown)} is not text in ${encoding}`, { cause: error });
  }
}
