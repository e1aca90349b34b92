import { type HierarchyPointNode, hierarchy, tree } from 'd3-hierarchy';
import { type ConcernLevel, concernLevels } from '../key/key.js';
import { type Mark, type Marks, NO_MARKS } from './drawmarks.js';
import { textLength, textLines, textShortened } from './drawtext.js';
import { type Beyond, DEEPEST, type IndentedBlock, indentedBlocks } from './printblocks.js';
import type { Printed, PrintedCouplet, PrintedKey, PrintedLead } from './printkey.js';
import { nameSpans, type Span } from './printnames.js';

/** A rectangle; x and y are its upper left corner. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A line of text in a picture. */
export interface DrawnLine {
  readonly spans: readonly Span[];
  /** Where its letters stand: left end of the base line. */
  readonly x: number;
  readonly y: number;
}

/** A lead as a card: its label and words, and in a band below them what it leads to. */
export interface DrawnLead {
  readonly lead: PrintedLead;
  readonly box: Box;
  readonly label: DrawnLine;
  readonly words: readonly DrawnLine[];
  readonly bands: readonly DrawnBand[];
  readonly marks: readonly Mark[];
}

/** What a lead leads to, where it is not the couplet drawn right beside it. */
export interface DrawnBand {
  readonly box: Box;
  readonly kind: ConcernLevel | 'key' | 'couplet' | 'missing';
  readonly lines: readonly DrawnLine[];
  /** The couplet to jump to. */
  readonly to: string | undefined;
}

/** The number of a couplet, from which its leads branch. */
export interface DrawnCouplet {
  readonly couplet: PrintedCouplet;
  /** Unlike in any other part of the picture. */
  readonly anchor: string;
  readonly box: Box;
  /** Where one comes from, where that is not the lead drawn beside it. */
  readonly from: DrawnLine | undefined;
  readonly marks: readonly Mark[];
}

/** A line from a couplet to a lead or from a lead to a couplet. */
export interface DrawnBranch {
  readonly from: readonly [x: number, y: number];
  readonly to: readonly [x: number, y: number];
}

/** One key of the picture. */
export interface DrawnKey {
  readonly key: PrintedKey;
  /** undefined for the key that the picture is named after. */
  readonly title: DrawnLine | undefined;
  readonly anchor: string;
  readonly couplets: readonly DrawnCouplet[];
  readonly leads: readonly DrawnLead[];
  readonly branches: readonly DrawnBranch[];
}

/** A whole picture, in pixels. */
export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly keys: readonly DrawnKey[];
  readonly printed: Printed;
  readonly marks: Marks;
}

/** How a key is to be drawn. */
export interface DrawOptions {
  /** How many couplets deep a branch goes before it goes on at the left. */
  readonly levels?: number;
  /** Leads with all their words, or on one line. */
  readonly text?: 'full' | 'short';
  readonly marks?: Marks;
  /** A level of concern in a few words. */
  readonly concernWords: (level: ConcernLevel) => string;
}

/** Measures that the picture is made by; the writer of the picture uses the same. */
export const SIZES = {
  /** Of the words of leads. */
  type: 12,
  /** Of the numbers of couplets and the names of taxa. */
  large: 13,
  /** Of what explains. */
  small: 11,
  line: 15.5,
  card: 250,
  pad: 8,
  swatch: 18,
  disc: 30,
  mark: 15,
} as const;

const {
  type: TYPE,
  large: LARGE,
  small: SMALL,
  line: LINE,
  card: CARD,
  pad: PAD,
  swatch: SWATCH,
  disc: DISC,
} = SIZES;
/** Between a couplet and its leads, and between a lead and the couplet it leads to. */
const [TO_LEADS, TO_COUPLET] = [30, 20];
const [BETWEEN_LEADS, BETWEEN_BRANCHES] = [10, 22];
const BETWEEN_BLOCKS = 46;
const TITLE = 40;

/** Lays a key out as a picture: from left to right, each lead beside the couplet it belongs to, in reading order. */
export function drawing(printed: Printed, options: DrawOptions): Drawing {
  const marks = options.marks ?? NO_MARKS;
  const keys: DrawnKey[] = [];
  let [width, y] = [0, 0];
  printed.keys.forEach((key, i) => {
    const title =
      i === 0 ? undefined : { spans: [{ text: key.key.title, italic: false }], x: 0, y: y + BETWEEN_BLOCKS };
    if (title !== undefined) {
      y += BETWEEN_BLOCKS + TITLE;
      width = Math.max(width, textLength(key.key.title, 18, true));
    }
    const drawn = new KeyDrawer(key, `k${i}`, printed, marks, options).draw(y);
    keys.push({ ...drawn.key, title });
    width = Math.max(width, drawn.width);
    y = drawn.bottom;
  });
  return { width: Math.ceil(width), height: Math.ceil(y), keys, printed, marks };
}

/** A couplet or a lead in the tree that is laid out. */
interface Part {
  readonly height: number;
  readonly width: number;
  readonly couplet?: PrintedCouplet;
  readonly card?: Card;
  readonly children: Part[];
}

/** A lead, measured. */
interface Card {
  readonly lead: PrintedLead;
  readonly words: readonly string[];
  readonly labelWidth: number;
  readonly bands: readonly {
    kind: DrawnBand['kind'];
    lines: readonly (readonly Span[])[];
    to: string | undefined;
    height: number;
  }[];
  readonly wordsHeight: number;
}

class KeyDrawer {
  readonly #couplets: DrawnCouplet[] = [];
  readonly #leads: DrawnLead[] = [];
  readonly #branches: DrawnBranch[] = [];

  constructor(
    readonly key: PrintedKey,
    readonly anchor: string,
    readonly printed: Printed,
    readonly marks: Marks,
    readonly options: DrawOptions,
  ) {}

  draw(top: number): { key: Omit<DrawnKey, 'title'>; width: number; bottom: number } {
    const blocks = indentedBlocks(this.key, this.options.levels ?? DEEPEST).map((b) => this.#laid(b));
    const widest = blocks.reduce((w, b) => Math.max(w, b.width), 0);
    // Small blocks stand beside each other where there is room.
    let [x, y, bottom] = [0, top, top];
    for (const block of blocks) {
      if (x > 0 && x + block.width > widest) {
        x = 0;
        y = bottom + BETWEEN_BLOCKS;
      }
      this.#place(block, x, y);
      x += block.width + BETWEEN_BLOCKS;
      bottom = Math.max(bottom, y + block.height);
    }
    const { key, anchor } = this;
    const drawn = { key, anchor, couplets: this.#couplets, leads: this.#leads, branches: this.#branches };
    return { key: drawn, width: widest, bottom };
  }

  #anchorOf(couplet: string): string {
    return `${this.anchor}c${couplet}`;
  }

  #laid(block: IndentedBlock): Laid {
    const root = this.#parts(block);
    const layout = tree<Part>()
      .nodeSize([1, 1])
      .separation((a, b) => {
        const apart = a.parent === b.parent ? BETWEEN_LEADS : BETWEEN_BRANCHES;
        return (a.data.height + b.data.height) / 2 + apart;
      });
    const laid = layout(hierarchy(root, (part) => part.children));
    const widths: number[] = [];
    let [low, high] = [Infinity, -Infinity];
    laid.each(({ depth, x, data }) => {
      widths[depth] = Math.max(widths[depth] ?? 0, data.width);
      low = Math.min(low, x - data.height / 2);
      high = Math.max(high, x + data.height / 2);
    });
    const lefts: number[] = [];
    let right = 0;
    widths.forEach((width, depth) => {
      lefts.push(right);
      right += width + (depth % 2 === 0 ? TO_LEADS : TO_COUPLET);
    });
    const last = widths.length - 1;
    const from = fromText(block.root, undefined);
    const back = from === undefined ? 0 : LINE + 4;
    // What stands above the first couplet must not stand above the whole block.
    const over = Math.max(0, laid.x - DISC / 2 - back - low < 0 ? low - (laid.x - DISC / 2 - back) : 0);
    const width = Math.max(right - (last % 2 === 0 ? TO_LEADS : TO_COUPLET), textLength(from ?? '', SMALL));
    return { laid, lefts, low: low - over, width, height: high - low + over, block };
  }

  #parts({ rows, root }: IndentedBlock): Part {
    const made = this.#coupletPart(root);
    const path: Part[] = [made];
    for (const { level, lead, beyond, couplet } of rows) {
      const part = this.#leadPart(lead, beyond);
      path.length = level + 1;
      const owner = path[level] as Part;
      if (owner.couplet !== couplet) throw new Error(`couplet ${couplet.id} is out of place in the picture`);
      owner.children.push(part);
      if (beyond !== 'here' || lead.end.kind !== 'couplet') continue;
      const below = this.#coupletPart(this.key.byId.get(lead.end.id) as PrintedCouplet);
      part.children.push(below);
      path.push(below);
    }
    return made;
  }

  #coupletPart(couplet: PrintedCouplet): Part {
    const width = Math.max(DISC, textLength(couplet.number, LARGE, true) + 14);
    const back = couplet.from.length > 1 ? LINE : 0;
    // The back-references stand above the number and must not reach into the lead beside it.
    const marks = this.#marksAt(couplet).length > 0 ? SIZES.mark : 0;
    return { height: DISC + 2 * Math.max(back, marks), width, couplet, children: [] };
  }

  #marksAt(couplet: PrintedCouplet): readonly Mark[] {
    return this.marks.atCouplet.get(`${this.key.key.id}/${couplet.id}`) ?? [];
  }

  #leadPart(lead: PrintedLead, beyond: Beyond | undefined): Part {
    const labelWidth = textLength(lead.label, TYPE, true) + 6;
    const room = CARD - 2 * PAD - labelWidth;
    const text = lead.words.map((s) => s.text).join('');
    const words =
      this.options.text === 'short' ? [textShortened(text, TYPE, room)] : textLines(text, TYPE, room);
    const bands = this.#bands(lead, beyond);
    const wordsHeight = words.length * LINE + PAD;
    const height = wordsHeight + bands.reduce((sum, b) => sum + b.height, 0);
    return { height, width: CARD, card: { lead, words, labelWidth, bands, wordsHeight }, children: [] };
  }

  #bands({ end }: PrintedLead, beyond: Beyond | undefined): Card['bands'] {
    const room = CARD - SWATCH - 2 * PAD;
    const band = (kind: DrawnBand['kind'], lines: readonly (readonly Span[])[], to?: string) => ({
      kind,
      lines,
      to,
      height: lines.length * LINE + 6,
    });
    const plainLines = (text: string) =>
      textLines(text, SMALL, room).map((t) => [{ text: t, italic: false }]);
    if (end.kind === 'couplet')
      return beyond === 'here'
        ? []
        : [band('couplet', plainLines(`goes on at ${end.number}, ${beyond}`), this.#anchorOf(end.id))];
    if (end.kind === 'missing') return [band('missing', plainLines(`${end.what} is missing`))];
    if (end.kind === 'key') {
      const at = end.at === undefined ? '' : `, couplet ${end.at}`;
      const group = end.group === undefined ? '' : `${end.group.name}: `;
      const other = this.printed.keys.findIndex((k) => k.key.id === end.keyId);
      const text = `${group}see the key “${end.title}”${at}${end.printed ? ', below' : ''}`;
      return [band('key', plainLines(text), end.printed ? `k${other}` : undefined)];
    }
    const worstFirst = [...end.taxa].sort(
      (a, b) => concernLevels.indexOf(a.concern.level) - concernLevels.indexOf(b.concern.level),
    );
    return worstFirst.map((taxon) => {
      const names = nameLines(nameSpans(taxon), room);
      const harm = this.printed.harmStated ? plainLines(this.options.concernWords(taxon.concern.level)) : [];
      return band(taxon.concern.level, [...names, ...harm]);
    });
  }

  #place({ laid, lefts, low, block }: Laid, x: number, y: number): void {
    const middle = (node: HierarchyPointNode<Part>) => node.x - low + y;
    laid.each((node) => {
      const { data, depth, parent } = node;
      const left = x + (lefts[depth] as number);
      const box = { x: left, y: middle(node) - data.height / 2, width: data.width, height: data.height };
      if (parent !== null) {
        const start = x + (lefts[depth - 1] as number) + parent.data.width;
        this.#branches.push({ from: [start, middle(parent)], to: [left, middle(node)] });
      }
      if (data.card !== undefined) this.#leads.push(this.#card(data.card, box));
      if (data.couplet !== undefined)
        this.#couplets.push(
          this.#disc(data.couplet, left, middle(node), data, node.depth === 0 ? block : undefined),
        );
    });
  }

  #disc(
    couplet: PrintedCouplet,
    x: number,
    middle: number,
    { width }: Part,
    root: IndentedBlock | undefined,
  ): DrawnCouplet {
    const box = { x, y: middle - DISC / 2, width, height: DISC };
    const text = fromText(couplet, root === undefined ? 'beside' : undefined);
    const from =
      text === undefined
        ? undefined
        : {
            spans: [{ text: textShortened(text, SMALL, CARD), italic: false }],
            x: root === undefined ? x : x,
            y: box.y - 5,
          };
    return { couplet, anchor: this.#anchorOf(couplet.id), box, from, marks: this.#marksAt(couplet) };
  }

  #card(card: Card, box: Box): DrawnLead {
    const { lead, words, labelWidth } = card;
    const base = (line: number) => box.y + PAD / 2 + line * LINE + TYPE;
    const left = box.x + PAD;
    let top = box.y + card.wordsHeight;
    const bands = card.bands.map(({ kind, lines, to, height }): DrawnBand => {
      const area = { x: box.x, y: top, width: box.width, height };
      top += height;
      return {
        kind,
        to,
        box: area,
        lines: lines.map((spans, i) => ({ spans, x: box.x + SWATCH + PAD, y: area.y + 3 + i * LINE + TYPE })),
      };
    });
    return {
      lead,
      box,
      label: { spans: [{ text: lead.label, italic: false }], x: left, y: base(0) },
      words: words.map((text, i) => ({ spans: [{ text, italic: false }], x: left + labelWidth, y: base(i) })),
      bands,
      marks: this.marks.atLead.get(lead) ?? [],
    };
  }
}

interface Laid {
  readonly laid: HierarchyPointNode<Part>;
  /** By depth, where the column begins. */
  readonly lefts: readonly number[];
  readonly low: number;
  readonly width: number;
  readonly height: number;
  readonly block: IndentedBlock;
}

/** Where one comes from; beside the lead that leads to a couplet only when there are others. */
function fromText({ from }: PrintedCouplet, beside: 'beside' | undefined): string | undefined {
  if (from.length === 0 || (beside !== undefined && from.length === 1)) return undefined;
  return `from ${from.join(', ')}`;
}

/** A name in lines, each with its own italics. */
function nameLines(spans: readonly Span[], room: number): Span[][] {
  const text = spans.map((s) => s.text).join('');
  const lines = textLines(text, LARGE, room, true);
  if (lines.length === 1) return [[...spans]];
  // A long name is set in one style, by what most of it is.
  const italic = spans.filter((s) => s.italic).reduce((n, s) => n + s.text.length, 0) * 2 > text.length;
  return lines.map((line) => [{ text: line, italic }]);
}
