/** Random keys, and printers that set them in the layouts of printed keys. Independent of what reads them. */
import fc from 'fast-check';

export interface PlainLead {
  words: string;
  /** The index of a couplet, or a name. */
  to: number | string;
}
/** Couplets in reading order, each before those that it leads to. */
export type PlainKey = PlainLead[][];

const ORGANS = ['Stem', 'Cap', 'Ring', 'Leaves', 'Flowers', 'Bark', 'Wings', 'Shell', 'Fruit', 'Thallus'];
const QUALITIES = [
  'smooth and shining',
  'rough to the touch',
  'with a dense coat of short hairs',
  'banded in two colours',
  'longer than the body and curved at the tip',
  'short, blunt, never forked',
  'pale when young, darkening with age until it is nearly black',
  'divided to the base into narrow lobes which are again toothed along both edges',
  'without any mark',
  'set close together, touching each other, in the upper half clearly swollen',
];
const STEMS = [
  'tarn',
  'holl',
  'marl',
  'fell',
  'bruck',
  'sorn',
  'velt',
  'krum',
  'dossi',
  'luber',
  'querv',
  'nembr',
];
const ENDS_A = ['ia', 'us', 'ella', 'um', 'ina'];
const ENDS_B = [
  'alba',
  'nigra',
  'vulgaris',
  'palustris',
  'montanus',
  'tenuis',
  'crassipes',
  'ruber',
  'viridis',
  'saxatilis',
];

/** A key that is a tree, or with `joins` one in which some leads meet again. */
export function plainKey(options: { joins?: boolean; most?: number } = {}): fc.Arbitrary<PlainKey> {
  const { most = 14 } = options;
  return fc
    .record({
      size: fc.integer({ min: 1, max: most }),
      picks: fc.array(fc.nat(), { minLength: 200, maxLength: 200 }),
    })
    .map(({ size, picks }) => grow(size, picks, options.joins === true));
}

function grow(size: number, picks: readonly number[], joins: boolean): PlainKey {
  let at = 0;
  const pick = (n: number) => (picks[at++ % picks.length] as number) % n;
  let names = 0;
  const name = () => {
    const stem = STEMS[names % STEMS.length] as string;
    const genus =
      stem[0]?.toUpperCase() + stem.slice(1) + ENDS_A[Math.floor(names / STEMS.length) % ENDS_A.length];
    const epithet = ENDS_B[(names * 7 + pick(3)) % ENDS_B.length] as string;
    names++;
    return `${genus} ${epithet}`;
  };
  interface Tree {
    leads: { words: string; below: Tree | undefined }[];
  }
  let made = 0;
  const couplet = (): Tree => {
    made++;
    const organ = ORGANS[pick(ORGANS.length)] as string;
    const leads = pick(5) === 0 ? 3 : 2;
    const from = pick(QUALITIES.length);
    return {
      leads: Array.from({ length: leads }, (_, i) => ({
        words: `${organ} ${QUALITIES[(from + i * 3) % QUALITIES.length]}`,
        below: undefined,
      })),
    };
  };
  const root = couplet();
  const open = root.leads.map((lead) => lead);
  while (made < size && open.length > 0) {
    const lead = open.splice(pick(open.length), 1)[0] as Tree['leads'][number];
    lead.below = couplet();
    open.push(...lead.below.leads);
  }
  const key: PlainKey = [];
  const set = (tree: Tree): number => {
    const index = key.length;
    const leads: PlainLead[] = [];
    key.push(leads);
    for (const lead of tree.leads) {
      const entry: PlainLead = { words: lead.words, to: '' };
      leads.push(entry);
      entry.to = lead.below === undefined ? name() : set(lead.below);
    }
    return index;
  };
  set(root);
  if (joins) {
    key.forEach((leads, i) => {
      const lead = leads[leads.length - 1] as PlainLead;
      const later = key.length - i - 1;
      if (typeof lead.to === 'string' && later > 0 && pick(6) === 0) lead.to = i + 1 + pick(later);
    });
  }
  return key;
}

/** How the end of a lead is set apart from its words. */
export type EndStyle = 'dots' | 'spaced dots' | 'column' | 'arrow' | 'sentence' | 'dash';

export interface Setting {
  end: EndStyle;
  width: number;
  hang: number;
  stop: string;
  blank: 'none' | 'couplets' | 'leads';
  italic: boolean;
  pages: boolean;
  heads: boolean;
}

export const setting: fc.Arbitrary<Setting> = fc.record({
  end: fc.constantFrom<EndStyle>('dots', 'spaced dots', 'column', 'arrow', 'sentence', 'dash'),
  width: fc.integer({ min: 56, max: 96 }),
  hang: fc.constantFrom(0, 2, 4, 8),
  stop: fc.constantFrom('.', ')', '', ':'),
  blank: fc.constantFrom('none', 'couplets', 'leads'),
  italic: fc.boolean(),
  pages: fc.boolean(),
  heads: fc.boolean(),
});

/** Words filled into lines, the first after `first`, the others after `hang` spaces. */
function filled(words: string, first: string, hang: number, width: number): string[] {
  const lines: string[] = [];
  let line = first;
  let fresh = true;
  for (const word of words.split(' ')) {
    if (!fresh && line.length + 1 + word.length > width) {
      lines.push(line);
      line = ' '.repeat(hang);
      fresh = true;
    }
    line += fresh ? word : ` ${word}`;
    fresh = false;
  }
  return [...lines, line];
}

/** One lead with its end. */
export function setLead(
  lead: PlainLead,
  label: string,
  end: string | undefined,
  { end: style, width, hang }: Setting,
  indent = 0,
): string[] {
  const first = `${' '.repeat(indent)}${label}${label === '' ? '' : ' '}`;
  const rest = indent + hang;
  if (end === undefined) return filled(lead.words, first, rest, width);
  if (style === 'sentence') return filled(`${lead.words}. ${end}`, first, rest, width);
  if (style === 'dash') return filled(`${lead.words} – ${end}`, first, rest, width);
  if (style === 'arrow')
    return filled(`${lead.words} → ${end}`.replace('→ ', '→\u0001'), first, rest, width).map((l) =>
      l.replace('\u0001', ' '),
    );
  const lines = filled(lead.words, first, rest, width - 6);
  const last = lines[lines.length - 1] as string;
  const column = width - 26;
  if (style === 'column') {
    if (last.length + 3 <= column) return [...lines.slice(0, -1), `${last.padEnd(column)}${end}`];
    // Too long for the column: broken before it, as a printer does.
    const narrow = filled(lead.words, first, rest, column - 3);
    const tail = narrow[narrow.length - 1] as string;
    if (tail.length + 3 > column) return [...narrow, `${' '.repeat(Math.max(column, rest + 24))}${end}`];
    return [...narrow.slice(0, -1), `${tail.padEnd(column)}${end}`];
  }
  const dot = style === 'dots' ? '.' : ' .';
  const space = width - last.length - end.length - 2;
  if (space >= 8)
    return [...lines.slice(0, -1), `${last} ${dot.repeat(Math.ceil(space / dot.length))} ${end}`];
  return [
    ...lines,
    `${' '.repeat(rest)}${dot.repeat(Math.max(4, Math.ceil((width - rest - end.length - 2) / dot.length))).trimStart()} ${end}`,
  ];
}

/** The end of a lead as text, with a page behind a name when pages are set. */
export function endText(
  lead: PlainLead,
  at: Setting,
  number: (couplet: number) => string,
  page: number,
): string {
  if (typeof lead.to === 'number') return number(lead.to);
  const name = at.italic ? `_${lead.to}_` : lead.to;
  return at.pages ? `${name} (p. ${page})` : name;
}

/** Puts running heads between the lines of a text. */
export function withHeads(lines: readonly string[], at: Setting): string[] {
  if (!at.heads) return [...lines];
  const out: string[] = [];
  lines.forEach((line, i) => {
    out.push(line);
    if (i % 17 === 16 && i < lines.length - 1) {
      const page = 101 + Math.floor(i / 17);
      out.push(
        '',
        page % 2 === 0 ? `${page}      FLORA OF TARN HOLLOW` : `KEY TO THE GENERA      ${page}`,
        '',
      );
    }
  });
  return out;
}
