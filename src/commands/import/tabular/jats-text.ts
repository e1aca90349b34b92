/** Keys of an article that stand in lists and paragraphs: their sections as lines, which are read as a print is. */
import { SaxesParser } from 'saxes';
import { readLabel } from '../labels.js';
import { emphasised, LineBuilder, type PlainLines } from './blocks.js';

/** One paragraph, title or item, with the line of the file at which it begins. */
interface Block {
  readonly kind: 'title' | 'words';
  readonly text: string;
  readonly line: number;
  readonly depth: number;
}

/** No article nests deeper. */
const DEEPEST = 120;
const SECTIONS = new Set(['sec', 'treatment-sec', 'app', 'boxed-text', 'body']);
/** What holds no leads, or was read already. */
const SILENT = new Set([
  'front',
  'ref-list',
  'table-wrap',
  'fig',
  'fig-group',
  'fn',
  'object-id',
  'email',
  'alternatives',
  'ack',
  'glossary',
]);
const BLOCKS = new Set(['p', 'title', 'list-item', 'def-item', 'disp-quote', 'verse-line']);
const INLINE = new Set(['label', 'term', 'def']);

/** The sections that hold labelled lines. What stands behind a fault of the XML is left out. */
export function keySections(text: string): PlainLines {
  const sections = new SectionReader(text).read();
  const lines = new LineBuilder();
  for (const blocks of sections.filter(isKeySection)) {
    lines.gap();
    for (const { kind, text: words, line, depth } of blocks) {
      lines.add(words, line, depth);
      if (kind === 'title') lines.gap();
    }
  }
  return lines.build();
}

/** A key has at least two leads with labels; most of what stands in its section is labelled. */
function isKeySection(blocks: readonly Block[]): boolean {
  const words = blocks.filter((b) => b.kind === 'words');
  const labelled = words.filter((b) => readLabel(b.text.replace(/^_|_(?=[\s.)])/g, '')) !== undefined);
  return labelled.length >= 2 && labelled.length * 2 >= words.length;
}

class SectionReader {
  readonly #parser = new SaxesParser<{ xmlns: true; position: true }>({ xmlns: true, position: true });
  readonly #sections: Block[][] = [];
  readonly #open: Block[][] = [];
  readonly #stack: string[] = [];
  #silent = 0;
  #lists = 0;
  #text = '';
  #line = 1;
  /** Where the italics that are read now began. */
  #italic: number | undefined;

  constructor(readonly text: string) {
    this.#parser.on('opentag', ({ local }) => this.#opened(local));
    this.#parser.on('closetag', ({ local }) => this.#closed(local));
    const add = (words: string) => {
      if (this.#silent > 0 || this.#open.length === 0) return;
      if (this.#text.trim() === '') this.#line = this.#parser.line;
      this.#text += words.replace(/\s+/g, ' ');
    };
    this.#parser.on('text', add);
    this.#parser.on('cdata', add);
    this.#parser.on('error', (error) => {
      if (!/undefined entity/i.test(error.message)) throw error;
    });
  }

  read(): Block[][] {
    try {
      this.#parser.write(this.text).close();
    } catch {
      // The reader of tables has said what is wrong.
    }
    this.#flush('words');
    return this.#sections;
  }

  #opened(local: string): void {
    if (this.#stack.length >= DEEPEST) throw new Error('nested too deep');
    this.#stack.push(local);
    if (this.#silent > 0 || SILENT.has(local)) {
      this.#silent++;
      return;
    }
    if (SECTIONS.has(local)) {
      this.#flush('words');
      // A box without a title has that of its section.
      const above = this.#open.at(-1)?.findLast((b) => b.kind === 'title');
      const own: Block[] = local === 'boxed-text' && above !== undefined ? [above] : [];
      this.#open.push(own);
      this.#sections.push(own);
    }
    // A paragraph right behind the label of its item goes on with it.
    const behindLabel =
      local === 'p' && /^(?:list-item|def)$/.test(this.#stack.at(-2) ?? '') && this.#labelOnly();
    if (BLOCKS.has(local) && !behindLabel) this.#flush('words');
    if (local === 'list' || local === 'def-list') {
      this.#flush('words');
      this.#lists++;
    }
    if (INLINE.has(local)) this.#text += ' ';
    if (local === 'break') this.#flush('words');
    if (local === 'italic') this.#italic = this.#text.length;
  }

  /** Nothing but a label was read of the item so far. */
  #labelOnly(): boolean {
    return /^\s*[^\s]{1,12}\s*$/.test(this.#text);
  }

  #closed(local: string): void {
    this.#stack.pop();
    if (this.#silent > 0) {
      this.#silent--;
      return;
    }
    if (local === 'italic' && this.#italic !== undefined) {
      this.#text = this.#text.slice(0, this.#italic) + emphasised(this.#text.slice(this.#italic));
      this.#italic = undefined;
    }
    if (local === 'label' || local === 'term') this.#text += ' ';
    else if (local === 'title') this.#flush('title');
    else if (BLOCKS.has(local)) this.#flush('words');
    if (local === 'list' || local === 'def-list') this.#lists--;
    if (SECTIONS.has(local)) {
      this.#flush('words');
      this.#open.pop();
    }
  }

  #flush(kind: Block['kind']): void {
    const text = this.#text.replace(/\s+/g, ' ').trim();
    this.#text = '';
    this.#italic = undefined;
    if (text !== '')
      this.#open.at(-1)?.push({ kind, text, line: this.#line, depth: Math.max(0, this.#lists - 1) });
  }
}
