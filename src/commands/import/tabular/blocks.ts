/** Paragraphs and lists of a marked-up text as lines of plain text, each with the line of the file that it comes from. */

import type { KeyTable } from './table.js';

/** A text of lines, and the line of the file of each. */
export interface PlainLines {
  readonly text: string;
  readonly numbers: readonly number[];
}

/** Gathers lines. */
export class LineBuilder {
  readonly #lines: string[] = [];
  readonly #numbers: number[] = [];

  /** A block of text; `depth` is how deep it lies in lists. */
  add(text: string, line: number, depth = 0): void {
    for (const part of text.split('\n')) {
      const words = part.replace(/[^\S\n]+/g, ' ').trim();
      if (words === '') continue;
      this.#lines.push(`${'    '.repeat(depth)}${words}`);
      this.#numbers.push(line);
    }
  }

  /** Lines that are set as they are, with their gaps. */
  addAsSet(text: string, line: number): void {
    text.split('\n').forEach((part, i) => {
      this.#lines.push(part.trimEnd());
      this.#numbers.push(line + i);
    });
  }

  /** An empty line, unless there is one. */
  gap(): void {
    if (this.#lines.length === 0 || this.#lines.at(-1) === '') return;
    this.#lines.push('');
    this.#numbers.push(this.#numbers.at(-1) ?? 1);
  }

  build(): PlainLines {
    return { text: `${this.#lines.join('\n')}\n`, numbers: this.#numbers };
  }
}

/** A table that is no key by its columns, as lines with gaps between the cells. */
export function addRows(lines: LineBuilder, { rows }: KeyTable): void {
  for (const { cells, line } of rows) {
    const texts = cells.map((c) => c.text).filter((t) => t !== '');
    lines.addAsSet(texts.join('      '), line);
  }
  lines.gap();
}

/** Words set apart, as plain texts of books mark them; nothing where the text has such signs itself. */
export function emphasised(text: string): string {
  const words = text.trim();
  if (words === '' || /[_\n]/.test(words)) return text;
  return text.replace(words, () => `_${words}_`);
}
