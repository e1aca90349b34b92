/** A file that is to be imported, opened: a Word document, or a text of any other kind. */
import { printedFrom, readPrinted } from '../../files/printed-text.js';
import { isArchive, readWordDocument } from '../../files/word-document.js';
import { importDocument, importWord } from './document.js';
import type { Imported, ImportOptions } from './print.js';
import { type Printed, printed, withPrint } from './review/printed.js';

/** A text that was read. */
export interface OpenedText {
  /** How its bytes were read; undefined for UTF-8 and for documents. */
  readonly encoding: string | undefined;
  /** The lines to which the places in its keys belong. */
  readonly print: Printed;
  /** Makes key files of it, as often as asked. */
  keys(options: ImportOptions): Promise<Imported>;
}

/** Opens a file. Throws a Failure when it cannot be read, is too large, empty, or no text. */
export async function openText(path: string, shown: string): Promise<OpenedText> {
  if (isArchive(path)) {
    const document = readWordDocument(path, shown);
    const { readWord } = await import('./tabular/word.js');
    const print = printed(shown, readWord(document.body, document.numbering).text);
    return {
      encoding: undefined,
      print,
      keys: async (options) => noted(await importWord(document, options), print),
    };
  }
  return opened(await readPrinted(path, shown), shown);
}

/** The text that comes on a stream. */
export async function openStream(
  stream: Parameters<typeof printedFrom>[0],
  shown: string,
): Promise<OpenedText> {
  return opened(await printedFrom(stream, shown), shown);
}

function opened(read: Awaited<ReturnType<typeof printedFrom>>, shown: string): OpenedText {
  const print = printed(shown, read.text);
  return {
    encoding: read.encoding,
    print,
    keys: async (options) => noted(await importDocument(read.text, options), print),
  };
}

/** Keys that say which print they come from, so that a review finds its lines again. */
function noted({ keys, findings }: Imported, print: Printed): Imported {
  return { keys: keys.map((key) => ({ ...key, text: withPrint(key.text, print) })), findings };
}
