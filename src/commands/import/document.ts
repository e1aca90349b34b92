/** Imports a text of any kind that is read: its kind is told from what it holds. */
import type { Finding } from '../../diagnostic/finding.js';
import { Lines } from '../../diagnostic/lines.js';
import type { WordDocument } from '../../files/word-document.js';
import { quoted } from '../../text/harmless.js';
import { type Imported, type ImportOptions, importText } from './print.js';
import type { PlainLines } from './tabular/blocks.js';

/** Turns a text into key files: articles in XML, HTML, Markdown, tables, or the plain text of a print. */
export async function importDocument(written: string, options: ImportOptions): Promise<Imported> {
  const text = written.replace(/\r\n?/g, '\n');
  if (isArticle(text)) return importArticle(text, options);
  if (isHtml(text)) return importHtml(text, options);
  if (options.layout !== undefined) return importText(text, options);
  if (isMarkdown(text)) return importMarkdown(text, options);
  return (await importDelimited(text, options)) ?? importText(text, options);
}

/** Turns a Word document into key files. */
export async function importWord(
  { body, numbering }: WordDocument,
  options: ImportOptions,
): Promise<Imported> {
  const [{ readWord }, { keysOf }] = await Promise.all([
    import('./tabular/word.js'),
    import('./tabular/read.js'),
  ]);
  const { text, tables, plain, remarks } = readWord(body, numbering);
  const found = keysOf(text, { tables, remarks }, options);
  if (found.keys.length > 0) return found;
  const read = importLines(text, plain, options);
  return { keys: read.keys, findings: [...found.findings, ...read.findings] };
}

async function importArticle(text: string, options: ImportOptions): Promise<Imported> {
  const [{ readArticle }, { keysOf, licenceRemarks }, { keySections }] = await Promise.all([
    import('./tabular/jats.js'),
    import('./tabular/read.js'),
    import('./tabular/jats-text.js'),
  ]);
  const article = readArticle(text);
  const found = keysOf(text, article, options);
  const { text: plain, numbers } = keySections(text);
  if (plain.trim() === '') return found;
  const { about } = article;
  const language = options.language ?? about?.language;
  const read = importText(plain, {
    ...options,
    ...(language === undefined ? {} : { language }),
    source: { text, numbers, about },
  });
  if (found.keys.length > 0) {
    const further = read.keys.map(({ title }) => furtherKey(text, numbers[0] ?? 1, title, options.file));
    return { keys: found.keys, findings: [...found.findings, ...further] };
  }
  const licence = read.keys.length === 0 ? [] : licenceRemarks(text, about, options.file);
  return { keys: read.keys, findings: [...found.findings, ...licence, ...read.findings] };
}

/** Keys of an article are read in one way: those in its lists are named when others stand in tables. */
function furtherKey(text: string, line: number, title: string, file: string): Finding {
  const places = new Lines(text);
  const start = places.at(places.start(line));
  return {
    rule: 'table-read',
    level: 'warning',
    message: `a key seems to stand in lists or paragraphs, and is not read beside those in tables: ${quoted(title)}`,
    place: { file, path: [], start, end: start },
  };
}

async function importHtml(text: string, options: ImportOptions): Promise<Imported> {
  const [{ readHtml }, { keysOf }, { ownKeys }] = await Promise.all([
    import('./tabular/html.js'),
    import('./tabular/read.js'),
    import('./tabular/own.js'),
  ]);
  const { tables, own, plain } = readHtml(text);
  const back = own === undefined ? undefined : ownKeys(text, own, options);
  if (back !== undefined) return back;
  const found = keysOf(text, { tables }, options);
  return found.keys.length > 0 ? found : importLines(text, plain, options);
}

async function importMarkdown(text: string, options: ImportOptions): Promise<Imported> {
  const [{ readMarkdown }, { keysOf }, { ownKeys }] = await Promise.all([
    import('./tabular/markdown.js'),
    import('./tabular/read.js'),
    import('./tabular/own.js'),
  ]);
  const { tables, own, plain } = readMarkdown(text);
  const back = own === undefined ? undefined : ownKeys(text, own, options);
  if (back !== undefined) return back;
  const found = keysOf(text, { tables }, options);
  if (found.keys.length > 0) return found;
  const read = importLines(text, plain, options);
  return read.keys.length > 0 ? read : importText(text, options);
}

/** A table whose cells are parted by a sign; undefined when the text is none, or no key. */
async function importDelimited(text: string, options: ImportOptions): Promise<Imported | undefined> {
  const { delimitedTables } = await import('./tabular/delimited.js');
  for (const table of delimitedTables(text)) {
    const { keysOf } = await import('./tabular/read.js');
    const found = keysOf(text, { tables: [table], strict: true }, options);
    if (found.keys.length > 0) return found;
  }
  return undefined;
}

/** Paragraphs and lists are read as a print is; places are those of the file. */
function importLines(text: string, { text: plain, numbers }: PlainLines, options: ImportOptions): Imported {
  if (plain.trim() === '') return { keys: [], findings: [] };
  return importText(plain, { ...options, source: { text, numbers } });
}

function isArticle(text: string): boolean {
  const head = text.slice(0, 4000).trimStart();
  return /^(?:<\?xml\b[^>]*\?>\s*)?(?:<!--[\s\S]*?-->\s*)*(?:<!DOCTYPE\s+article\b[^>]*>\s*)?<article\b[^>]*(?:article-type|xmlns|dtd-version|xml:lang)?[^>]*>\s*<(?:front|processing-meta|body|sec|!--|\?)/.test(
    head,
  );
}

function isHtml(text: string): boolean {
  const head = text.slice(0, 20_000).trimStart();
  if (/^(?:<\?xml\b[^>]*\?>\s*)?(?:<!--[\s\S]*?-->\s*)*<(?:!DOCTYPE\s+html|html)\b/i.test(head)) return true;
  // A piece of a page.
  return (
    /^</.test(head) && /<\/?(?:table|tr|td|p|div|ul|ol|li|h[1-6]|body|article|section|dl)\b[^>]*>/i.test(head)
  );
}

function isMarkdown(text: string): boolean {
  if (
    /^\s*\|?(?:\s*:?-{2,}:?\s*\|)+\s*(?::?-{2,}:?\s*)?\|?\s*$/m.test(text) &&
    /^\s*\|?[^|\n]*\|/m.test(text)
  )
    return true;
  if (/^\*Printed by keywright \d/m.test(text)) return true;
  const labels =
    text.match(/^\s*(?:[-*+]\s+|\d{1,3}[.)]\s+)?\*\*\(?\d{1,4}[a-h]?['’]?[.)]?\*\*/gm)?.length ?? 0;
  const items = text.match(/^\s*[-*+]\s+\(?(?:\d{1,4}|[A-Za-z])[a-h]?['’]?[.)]?\s/gm)?.length ?? 0;
  return labels >= 2 || (items >= 4 && /^#{1,6} \S/m.test(text));
}
