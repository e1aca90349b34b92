/** A file that is to be imported, opened: a Word document, or a text of any other kind. */
import { printedFrom, readPrinted } from '../../files/printed-text.js';
import { isArchive, readWordDocument } from '../../files/word-document.js';
import { importDocument, importWord } from './document.js';
import type { Imported, ImportOptions } from './print.js';

/** A text that was read. */
interface OpenedText {
  /** How its bytes were read; undefined for UTF-8 and for documents. */
  readonly encoding: string | undefined;
  /** Makes key files of it, as often as asked. */
  keys(options: ImportOptions): Promise<Imported>;
}

/** Opens a file. Throws a Failure when it cannot be read, is too large, empty, or no text. */
export async function openText(path: string, shown: string): Promise<OpenedText> {
  if (isArchive(path)) {
    const document = readWordDocument(path, shown);
    return { encoding: undefined, keys: (options) => importWord(document, options) };
  }
  const { text, encoding } = await readPrinted(path, shown);
  return { encoding, keys: (options) => importDocument(text, options) };
}

/** The text that comes on a stream. */
export async function openStream(
  stream: Parameters<typeof printedFrom>[0],
  shown: string,
): Promise<OpenedText> {
  const { text, encoding } = await printedFrom(stream, shown);
  return { encoding, keys: (options) => importDocument(text, options) };
}
