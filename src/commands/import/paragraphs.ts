import type { Item, TextSection } from './draft.js';
import { piece } from './items.js';
import type { Label } from './labels.js';
import type { Line } from './lines.js';

/** Answers about the paragraph that a line is in; each is worked out once. */
export class Paragraphs {
  readonly #columnEnd: boolean[];
  readonly #wordEnds = new Map<number, boolean>();

  constructor(
    readonly section: TextSection,
    readonly counts: (label: Label) => boolean,
  ) {
    const { lines, ended } = section;
    this.#columnEnd = new Array<boolean>(lines.length).fill(false);
    for (let i = lines.length - 1; i >= 0; i--) {
      const next = lines[i + 1];
      const continues = next !== undefined && (next.blank === 0 || next.afterPage) && !this.#labelled(i + 1);
      this.#columnEnd[i] = ended[i] === true || (continues && this.#columnEnd[i + 1] === true);
    }
  }

  #labelled(i: number): boolean {
    const label = this.section.labels[i];
    return label !== undefined && this.counts(label);
  }

  /** Whether there is an end in a column on the line or below it in its paragraph. */
  hasColumnEnd(i: number): boolean {
    return this.#columnEnd[i] === true;
  }

  /** The same, or the paragraph closes with a name. */
  hasEnd(i: number): boolean {
    return this.hasColumnEnd(i) || this.#closesWithName(i);
  }

  /** Whether a lead closes with a name among its words. */
  endsInWords(item: Item): boolean {
    const last = item.pieces[item.pieces.length - 1];
    return last !== undefined && this.section.wordEnd(item.pieces);
  }

  #closesWithName(i: number): boolean {
    const known = this.#wordEnds.get(i);
    if (known !== undefined) return known;
    const { lines } = this.section;
    const pieces = [piece(lines[i] as Line, 0)];
    for (let j = i + 1; j < lines.length && j < i + 20; j++) {
      const line = lines[j] as Line;
      if ((line.blank > 0 && !line.afterPage) || this.#labelled(j)) break;
      pieces.push(piece(line, 0));
    }
    const answer = this.section.wordEnd(pieces);
    this.#wordEnds.set(i, answer);
    return answer;
  }
}
