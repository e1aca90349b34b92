/** The numbers that Word sets before the paragraphs of lists: they stand in no text, but follow from how lists are numbered. */
import { SaxesParser, type SaxesTagNS } from 'saxes';

/** How the paragraphs of one level are numbered. */
interface Level {
  start: number;
  format: string;
  /** `%1.`, `%1%2)`: what stands for the number of a level, and what is around it. */
  text: string;
}

/** Counts the paragraphs of all lists of a document. */
export class WordLists {
  /** The levels of each kind of list. */
  readonly #kinds = new Map<string, Map<number, Level>>();
  readonly #kindOf = new Map<string, string>();
  readonly #starts = new Map<string, Map<number, number>>();
  readonly #counts = new Map<string, number[]>();
  readonly #begun = new Set<string>();

  constructor(numbering: string | undefined) {
    if (numbering !== undefined) this.#read(numbering);
  }

  /** The label of the next paragraph of a list; empty for bullets and unknown lists. */
  next(list: string, level: number): string {
    const kind = this.#kindOf.get(list);
    const levels = kind === undefined ? undefined : this.#kinds.get(kind);
    const own = levels?.get(level);
    if (kind === undefined || levels === undefined || own === undefined) return '';
    if (own.format === 'bullet') return /^[-–—]$/.test(own.text) ? own.text : '';
    const counts = this.#counts.get(kind) ?? [];
    // A list of its own that begins anew says so by the number that it starts with.
    const fresh = this.#starts.get(list)?.get(level);
    if (fresh !== undefined && !this.#begun.has(`${list} ${level}`)) counts[level] = fresh;
    else counts[level] = counts[level] === undefined ? own.start : (counts[level] as number) + 1;
    this.#begun.add(`${list} ${level}`);
    counts.length = level + 1;
    this.#counts.set(kind, counts);
    return own.text.replace(/%(\d)/g, (_, n: string) => {
      const at = Number(n) - 1;
      const of = levels.get(at);
      return of === undefined ? '' : inFormat(counts[at] ?? of.start, of.format);
    });
  }

  #read(xml: string): void {
    const parser = new SaxesParser<{ xmlns: true }>({ xmlns: true });
    let depth = 0;
    let kind: string | undefined;
    let list: string | undefined;
    let level = 0;
    parser.on('opentagstart', () => {
      if (++depth > 60) throw new Error('nested too deep');
    });
    parser.on('closetag', ({ local }) => {
      depth--;
      if (local === 'abstractNum') kind = undefined;
      if (local === 'num') list = undefined;
    });
    parser.on('opentag', (tag) => {
      const value = attributeOf(tag, 'val') ?? '';
      if (tag.local === 'abstractNum') {
        kind = attributeOf(tag, 'abstractNumId') ?? '';
        this.#kinds.set(kind, new Map());
      } else if (tag.local === 'num') list = attributeOf(tag, 'numId') ?? '';
      else if (tag.local === 'lvl' || tag.local === 'lvlOverride') {
        level = Math.min(8, Math.max(0, Number(attributeOf(tag, 'ilvl')) || 0));
        if (kind !== undefined && list === undefined)
          this.#kinds.get(kind)?.set(level, { start: 1, format: 'decimal', text: '' });
      } else if (list !== undefined) {
        if (tag.local === 'abstractNumId') this.#kindOf.set(list, value);
        if (tag.local === 'startOverride') {
          const starts = this.#starts.get(list) ?? new Map<number, number>();
          this.#starts.set(list, starts.set(level, Number(value) || 1));
        }
      } else if (kind !== undefined) {
        const own = this.#kinds.get(kind)?.get(level);
        if (own === undefined) return;
        if (tag.local === 'start') own.start = Number(value) || 1;
        if (tag.local === 'numFmt') own.format = value;
        if (tag.local === 'lvlText') own.text = value;
      }
    });
    try {
      parser.on('error', (error) => {
        throw error;
      });
      parser.write(xml).close();
    } catch {
      // Without numbers, paragraphs are still read; what has no label is reported as such.
    }
  }
}

export function attributeOf(tag: SaxesTagNS, local: string): string | undefined {
  return Object.values(tag.attributes).find((a) => a.local === local)?.value;
}

function inFormat(n: number, format: string): string {
  if (format === 'lowerLetter' || format === 'upperLetter') {
    const letter = String.fromCharCode(97 + ((n - 1) % 26)).repeat(Math.min(4, Math.floor((n - 1) / 26) + 1));
    return format === 'upperLetter' ? letter.toUpperCase() : letter;
  }
  if (format === 'lowerRoman' || format === 'upperRoman') {
    const roman = inRoman(n);
    return format === 'upperRoman' ? roman : roman.toLowerCase();
  }
  return format === 'none' ? '' : String(n);
}

const ROMAN = [
  [100, 'C'],
  [90, 'XC'],
  [50, 'L'],
  [40, 'XL'],
  [10, 'X'],
  [9, 'IX'],
  [5, 'V'],
  [4, 'IV'],
  [1, 'I'],
] as const;

function inRoman(n: number): string {
  let left = Math.min(n, 400);
  let text = '';
  for (const [value, sign] of ROMAN)
    while (left >= value) {
      text += sign;
      left -= value;
    }
  return text;
}
