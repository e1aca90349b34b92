import type { Position } from './finding.js';

/** Finds line and column of offsets in one text; the line starts are found on first use. */
export class Lines {
  readonly text: string;
  #starts: number[] | undefined;

  constructor(text: string) {
    this.text = text;
  }

  /** Line and column (from 1) of an offset; offsets past the end give the end. */
  at(offset: number): Position {
    const starts = this.#lineStarts();
    const at = Math.max(0, Math.min(offset, this.text.length));
    let low = 0;
    let high = starts.length - 1;
    while (low < high) {
      const mid = (low + high + 1) >> 1;
      if ((starts[mid] ?? 0) <= at) low = mid;
      else high = mid - 1;
    }
    return { line: low + 1, column: at - (starts[low] ?? 0) + 1, offset: at };
  }

  /** The text of a line (from 1), without its line break. */
  line(number: number): string {
    const starts = this.#lineStarts();
    const start = starts[number - 1];
    if (start === undefined) return '';
    const next = starts[number];
    return this.text.slice(start, next).replace(/\r?\n$/, '');
  }

  /** The offset at which a line (from 1) starts. */
  start(number: number): number {
    return this.#lineStarts()[number - 1] ?? this.text.length;
  }

  #lineStarts(): number[] {
    if (this.#starts === undefined) {
      const starts = [0];
      for (let i = this.text.indexOf('\n'); i !== -1; i = this.text.indexOf('\n', i + 1)) starts.push(i + 1);
      this.#starts = starts;
    }
    return this.#starts;
  }
}
