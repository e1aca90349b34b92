/** Imports a text of any kind that is read: its kind is told from what it holds. */
import { type Imported, type ImportOptions, importText } from './print.js';

/** Turns a text into key files: an article in XML, or the plain text of a print. */
export async function importDocument(text: string, options: ImportOptions): Promise<Imported> {
  if (isXml(text)) {
    const [{ readArticle }, { keysOf }] = await Promise.all([
      import('./tabular/jats.js'),
      import('./tabular/read.js'),
    ]);
    return keysOf(text, readArticle(text), options);
  }
  return importText(text, options);
}

function isXml(text: string): boolean {
  const head = text.slice(0, 4000).trimStart();
  return /^(?:<\?xml\b[^>]*\?>\s*)?(?:<!--[\s\S]*?-->\s*)*(?:<!DOCTYPE\s+article\b[^>]*>\s*)?<article[\s>]/.test(
    head,
  );
}
