import { type HierarchyPointNode, hierarchy, tree } from 'd3-hierarchy';
import { type ConcernLevel, concernLevels } from '../key/key.js';
import {
  type BlockPosition,
  DEEPEST,
  type IndentedBlock,
  indentedBlocks,
  splitPoints,
} from '../printed/indented-blocks.js';
import type { Printed, PrintedCouplet, PrintedKey, PrintedLead } from '../printed/key.js';
import { nameSpans, type Span } from '../printed/names.js';
import {
  type Drawing,
  type DrawnBand,
  type DrawnBranch,
  type DrawnCouplet,
  type DrawnKey,
  type DrawnLead,
  type DrawnLine,
  type Rectangle,
  SIZES,
} from './drawing.js';
import { type Marks, NO_MARKS } from './marks.js';
import { spanLines, textLength, textLines, textShortened } from './text.js';

/** How a key is to be drawn. */
interface DrawOptions {
  /** How many couplets deep a branch goes before it continues at the left. */
  readonly levels?: number;
  /** About how many couplets are drawn together before branches continue at the left. */
  readonly together?: number;
  /** Leads with all their words, or on one line. */
  readonly leads?: 'full' | 'short';
  readonly marks?: Marks;
  /** A level of concern in a few words. */
  readonly concernWords: (level: ConcernLevel) => string;
}

/** More couplets than these are too many to follow their branches by eye. */
export const TOGETHER = 32;

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
/** Between a card and those that it leads to; room for the curves and for half a number. */
const TO_NEXT = 74;
const [BETWEEN_CARDS, BETWEEN_BRANCHES] = [16, 24];
const BETWEEN_BLOCKS = 50;
const TITLE = 44;
/** What marks take from the words of a lead. */
const MARKS = 26;

/**
 * Lays a key out as a picture: from left to right and in reading order, the leads of each couplet together in a card, the
 * branches without crossings. A couplet that several leads lead to is drawn once and referred to.
 */
export function drawing(printed: Printed, options: DrawOptions): Drawing {
  const marks = options.marks ?? NO_MARKS;
  const keys: DrawnKey[] = [];
  let [width, y] = [0, 0];
  printed.keys.forEach((key, i) => {
    let title: DrawnLine | undefined;
    if (i > 0) {
      const text = key.key.title;
      title = { style: 'title', spans: [{ text, italic: false }], x: 0, y: y + BETWEEN_BLOCKS };
      y += BETWEEN_BLOCKS + TITLE;
      width = Math.max(width, textLength(text, SIZES.title, true));
    }
    const drawn = new KeyDrawer(key, `k${i}`, printed, marks, options).draw(y);
    keys.push({ ...drawn.key, title });
    width = Math.max(width, drawn.width);
    y = drawn.bottom;
  });
  return { width: Math.ceil(width), height: Math.ceil(y), keys, printed, marks };
}

/** A couplet, measured, in the tree that is laid out. */
interface Card {
  readonly couplet: PrintedCouplet;
  readonly height: number;
  readonly from: readonly string[];
  readonly leads: readonly MeasuredLead[];
  /** The cards that its leads lead to, each with the number of the lead. */
  readonly next: { readonly card: Card; readonly lead: number }[];
}

interface MeasuredLead {
  readonly lead: PrintedLead;
  readonly labelWidth: number;
  readonly words: readonly (readonly Span[])[];
  readonly bands: readonly MeasuredBand[];
  readonly height: number;
}

interface MeasuredBand {
  readonly kind: DrawnBand['kind'];
  readonly lines: readonly { readonly style: 'name' | 'small'; readonly spans: readonly Span[] }[];
  readonly to: string | undefined;
  readonly height: number;
}

/** A block laid out; `low` is where its upper edge lies in the coordinates of the layout. */
interface Laid {
  readonly root: HierarchyPointNode<Card>;
  readonly low: number;
  readonly width: number;
  readonly height: number;
}

class KeyDrawer {
  readonly #couplets: DrawnCouplet[] = [];
  readonly #branches: DrawnBranch[] = [];
  /** By how much the longest number of the key is longer than a short one: room that every card leaves at its left. */
  readonly #extra: number;

  constructor(
    readonly key: PrintedKey,
    readonly anchor: string,
    readonly printed: Printed,
    readonly marks: Marks,
    readonly options: DrawOptions,
  ) {
    let widest: number = DISC;
    for (const couplet of key.couplets) widest = Math.max(widest, numberWidth(couplet));
    this.#extra = widest - DISC;
  }

  draw(top: number): { key: Omit<DrawnKey, 'title'>; width: number; bottom: number } {
    const { levels = DEEPEST, together = TOGETHER } = this.options;
    const apart = splitPoints(this.key, together);
    const blocks = indentedBlocks(this.key, levels, apart).map((b) => this.#laid(b));
    const widest = blocks.reduce((w, b) => Math.max(w, b.width), 0);
    // Blocks stand beside each other as long as the whole is not much broader than high.
    const area = blocks.reduce((sum, b) => sum + (b.width + BETWEEN_BLOCKS) * (b.height + BETWEEN_BLOCKS), 0);
    const room = Math.max(widest, 1.2 * Math.sqrt(area));
    let [x, y, bottom, width] = [0, top, top, 0];
    for (const block of blocks) {
      if (x > 0 && x + block.width > room) {
        x = 0;
        y = bottom + BETWEEN_BLOCKS;
      }
      this.#place(block, x, y);
      width = Math.max(width, x + block.width);
      x += block.width + BETWEEN_BLOCKS;
      bottom = Math.max(bottom, y + block.height);
    }
    const { key, anchor } = this;
    return {
      key: { key, anchor, couplets: this.#couplets, branches: this.#branches },
      width,
      bottom,
    };
  }

  #laid(block: IndentedBlock): Laid {
    const layout = tree<Card>()
      .nodeSize([1, this.#extra + CARD + TO_NEXT])
      .separation((a, b) => {
        const apart = a.parent === b.parent ? BETWEEN_CARDS : BETWEEN_BRANCHES;
        return (a.data.height + b.data.height) / 2 + apart;
      });
    const root = layout(hierarchy(this.#cards(block), (card) => card.next.map((n) => n.card)));
    let [low, high, right] = [Infinity, -Infinity, 0];
    root.each(({ x, y, data }) => {
      low = Math.min(low, x - data.height / 2);
      high = Math.max(high, x + data.height / 2);
      right = Math.max(right, y + this.#extra + CARD);
    });
    return { root, low, width: right, height: high - low };
  }

  /** The cards of a block; those that its rows show below each other are joined. */
  #cards({ root, rows }: IndentedBlock): Card {
    const beyond = new Map(rows.map((row) => [row.lead, row.beyond]));
    const first = this.#card(root, beyond, root.from.length > 0);
    const path: Card[] = [first];
    for (const { level, lead, couplet, beyond: where } of rows) {
      path.length = level + 1;
      if (where !== 'here' || lead.end.kind !== 'couplet') continue;
      const below = this.key.byId.get(lead.end.id) as PrintedCouplet;
      // The lead that is joined to the card need not be named, unless there are others.
      const card = this.#card(below, beyond, below.from.length > 1);
      (path[level] as Card).next.push({ card, lead: couplet.leads.indexOf(lead) });
      path.push(card);
    }
    return first;
  }

  #card(
    couplet: PrintedCouplet,
    beyond: ReadonlyMap<PrintedLead, BlockPosition | undefined>,
    withBack: boolean,
  ): Card {
    const leads = couplet.leads.map((lead) => this.#lead(lead, beyond.get(lead)));
    const from = withBack
      ? textLines(`from ${couplet.from.join(', ')}`, SMALL, CARD - DISC / 2 - 2 * PAD)
      : [];
    const height = Math.max(
      DISC + 8,
      leads.reduce((sum, l) => sum + l.height, 0) + (from.length === 0 ? 0 : from.length * 14 + 4),
    );
    return { couplet, height, from, leads, next: [] };
  }

  #lead(lead: PrintedLead, beyond: BlockPosition | undefined): MeasuredLead {
    const labelWidth = textLength(lead.label, TYPE, true) + 6;
    const marks = (this.marks.atLead.get(lead)?.length ?? 0) > 0 ? MARKS : 0;
    const room = CARD - DISC / 2 - 2 * PAD - labelWidth - marks;
    const text = lead.words.map((s) => s.text).join('');
    const short = this.options.leads === 'short' && textLength(text, TYPE) > room;
    const words = short
      ? [[{ text: textShortened(text, TYPE, room), italic: false }]]
      : spanLines(lead.words, TYPE, room);
    const bands = this.#bands(lead, beyond);
    const height = words.length * LINE + PAD + bands.reduce((sum, b) => sum + b.height + 3, 0);
    return { lead, labelWidth, words, bands, height };
  }

  #bands({ end }: PrintedLead, beyond: BlockPosition | undefined): MeasuredBand[] {
    const room = CARD - DISC / 2 - SWATCH - 4 * PAD;
    const band = (kind: DrawnBand['kind'], lines: MeasuredBand['lines'], to?: string): MeasuredBand => ({
      kind,
      lines,
      to,
      height: lines.length * LINE + 6,
    });
    const small = (text: string) =>
      textLines(text, SMALL, room).map((t) => ({
        style: 'small' as const,
        spans: [{ text: t, italic: false }],
      }));
    if (end.kind === 'couplet') {
      if (beyond === 'here') return [];
      return [band('couplet', small(`continues at ${end.number}, ${beyond ?? ''}`), this.#anchorOf(end.id))];
    }
    if (end.kind === 'missing') return [band('missing', small(`${end.what} is missing`))];
    if (end.kind === 'key') {
      const at = end.at === undefined ? '' : `, couplet ${end.at}`;
      const group = end.group === undefined ? '' : `${end.group.name}: `;
      const other = this.printed.keys.findIndex((k) => k.key.id === end.keyId);
      const text = `${group}see the key “${end.title}”${at}${end.printed ? ', below' : ''}`;
      return [band('key', small(text), end.printed ? `k${other}` : undefined)];
    }
    const worstFirst = [...end.taxa].sort(
      (a, b) => concernLevels.indexOf(a.concern.level) - concernLevels.indexOf(b.concern.level),
    );
    return worstFirst.map((taxon) => {
      const names = spanLines(nameSpans(taxon), LARGE, room, true);
      const harm = this.printed.harmStated ? small(this.options.concernWords(taxon.concern.level)) : [];
      return band(taxon.concern.level, [
        ...names.map((spans) => ({ style: 'name' as const, spans })),
        ...harm,
      ]);
    });
  }

  #anchorOf(couplet: string): string {
    return `${this.anchor}c${couplet}`;
  }

  #place({ root, low }: Laid, left: number, top: number): void {
    const placed = new Map<HierarchyPointNode<Card>, DrawnCouplet>();
    root.each((node) => {
      const { data, parent } = node;
      const box = {
        x: left + node.y + this.#extra + DISC / 2,
        y: top + node.x - low - data.height / 2,
        width: CARD - DISC / 2,
        height: data.height,
      };
      const drawn = this.#couplet(data, box);
      placed.set(node, drawn);
      this.#couplets.push(drawn);
      if (parent === null) return;
      const lead = parent.data.next.find((n) => n.card === data)?.lead ?? 0;
      const from = (placed.get(parent) as DrawnCouplet).leads[lead]?.box as Rectangle;
      const { number } = drawn;
      this.#branches.push({
        from: [from.x + from.width, from.y + from.height / 2],
        to: [number.x, number.y + number.height / 2],
      });
    });
  }

  #couplet({ couplet, from, leads }: Card, box: Rectangle): DrawnCouplet {
    const width = numberWidth(couplet);
    // A long number grows to the left, where no words are.
    const number = {
      x: box.x + DISC / 2 - width,
      y: box.y + box.height / 2 - DISC / 2,
      width,
      height: DISC,
    };
    const left = box.x + DISC / 2;
    let y = box.y;
    const lines = from.map((text): DrawnLine => {
      y += 14;
      return { style: 'small', spans: [{ text, italic: false }], x: left + PAD, y: y + 1 };
    });
    if (lines.length > 0) y += 4;
    const drawn = leads.map((lead) => {
      const area = { x: box.x, y, width: box.width, height: lead.height };
      y += lead.height;
      return this.#drawnLead(lead, area, left);
    });
    const marks = this.marks.atCouplet.get(`${this.key.key.id}/${couplet.id}`) ?? [];
    return { couplet, anchor: this.#anchorOf(couplet.id), box, number, from: lines, leads: drawn, marks };
  }

  #drawnLead({ lead, labelWidth, words, bands }: MeasuredLead, box: Rectangle, left: number): DrawnLead {
    const base = (line: number) => box.y + PAD / 2 + line * LINE + TYPE;
    let y = box.y + words.length * LINE + PAD;
    const drawn = bands.map(({ kind, lines, to, height }): DrawnBand => {
      const area = { x: left + PAD, y, width: box.x + box.width - left - 2 * PAD + 4, height };
      y += height + 3;
      return {
        kind,
        to,
        box: area,
        lines: lines.map((line, i) => ({
          ...line,
          x: area.x + SWATCH + PAD,
          y: area.y + 3 + i * LINE + TYPE,
        })),
      };
    });
    return {
      lead,
      box,
      label: { style: 'label', spans: [{ text: lead.label, italic: false }], x: left + PAD, y: base(0) },
      words: words.map((spans, i) => ({ style: 'words', spans, x: left + PAD + labelWidth, y: base(i) })),
      bands: drawn,
      marks: this.marks.atLead.get(lead) ?? [],
    };
  }
}

function numberWidth({ number }: PrintedCouplet): number {
  return Math.max(DISC, textLength(number, LARGE, true) + 14);
}
