import type { ConcernLevel } from '../key/key.js';
import { escaped } from '../printed/markup.js';
import { imprint, levelsIn, scopeEntries } from '../printed/words.js';
import { concernWords } from '../words/cautions.js';
import { PATTERNS } from '../words/harm-inks.js';
import {
  type Drawing,
  type DrawnBand,
  type DrawnBranch,
  type DrawnCouplet,
  type DrawnKey,
  type DrawnLead,
  type DrawnLine,
  type LineStyle,
  type Rectangle,
  SIZES,
} from './drawing.js';
import type { FindingMark } from './marks.js';
import { inkOf } from './scheme.js';
import { textLength, textLines } from './text.js';

/** What stands round the picture. */
interface SvgSetting {
  /** One sentence below the title that holds for any picture of a key. */
  readonly caution: string;
  /** How the program signs what it draws. */
  readonly signature: string;
  /** Parts of the drawing that are outlined. */
  readonly outlined?: readonly Rectangle[];
}

const MARGIN = 28;
/** The least width of a column of findings. */
const COLUMN = 620;
const FONT = "Helvetica, Arial, 'Liberation Sans', 'Nimbus Sans', sans-serif";
const STYLE: Readonly<Record<LineStyle, string>> = {
  title: 'font-size="18" font-weight="700"',
  label: `font-size="${SIZES.type}" font-weight="700"`,
  words: `font-size="${SIZES.type}"`,
  name: `font-size="${SIZES.large}" font-weight="700"`,
  small: `font-size="${SIZES.small}"`,
};

/** A drawing as SVG: one picture that needs nothing from elsewhere. */
export function drawSvg(drawing: Drawing, setting: SvgSetting): string {
  const { printed } = drawing;
  const [first] = printed.keys;
  const title = first?.key.title ?? '';
  const { width, height, head, foot } = framed(drawing, setting);
  const levels = printed.harmStated ? levelsIn(printed.taxa) : [];
  const parts = [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" role="img" font-family="${escaped(FONT)}" fill="#17101e">`,
    `<title>${escaped(title)}</title>`,
    `<desc>${escaped(setting.signature)}</desc>`,
    `<defs>${levels.map(pattern).join('')}</defs>`,
    `<rect width="${width}" height="${height}" fill="#ffffff"/>`,
    `<g transform="translate(${MARGIN} ${MARGIN})">`,
    ...head.parts,
    `<g transform="translate(0 ${head.height})">`,
    ...drawing.keys.map(keyPart),
    ...(setting.outlined ?? []).map(outline),
    '</g>',
    `<g transform="translate(0 ${n(head.height + drawing.height)})">`,
    ...foot.parts,
    line('small', setting.signature, 0, foot.height + 24, '#5b5366'),
    '</g>',
    '</g>',
    '</svg>',
  ];
  return `${parts.join('\n')}\n`;
}

/** The size of the picture that `drawSvg` makes, in pixels. */
export function svgSize(drawing: Drawing, setting: SvgSetting): { width: number; height: number } {
  const { width, height } = framed(drawing, setting);
  return { width, height };
}

/** Where a part of a drawing lies in that picture. */
export function boxInSvg(box: Rectangle, drawing: Drawing, setting: SvgSetting): Rectangle {
  return { ...box, x: box.x + MARGIN, y: box.y + MARGIN + framed(drawing, setting).head.height };
}

/** A drawing with what stands above and below it. */
function framed(drawing: Drawing, setting: SvgSetting) {
  const width = Math.max(drawing.width, 560) + 2 * MARGIN;
  const head = headParts(drawing, width, setting);
  const foot = markList(drawing.marks.all, width);
  const height = Math.ceil(MARGIN + head.height + drawing.height + foot.height + MARGIN + 24);
  return { width, height, head, foot };
}

function outline({ x, y, width, height }: Rectangle): string {
  const around = `x="${n(x - 3)}" y="${n(y - 3)}" width="${n(width + 6)}" height="${n(height + 6)}"`;
  return `<rect ${around} fill="none" stroke="#17101e" stroke-width="3"/>`;
}

/** Numbers short: a hundredth of a pixel shows nowhere. */
function n(value: number): string {
  return String(Math.round(value * 100) / 100);
}

function line(style: LineStyle, text: string, x: number, y: number, fill?: string): string {
  return drawnLine({ style, spans: [{ text, italic: false }], x, y }, fill);
}

function drawnLine({ style, spans, x, y }: DrawnLine, fill?: string, attributes = ''): string {
  const colour = fill === undefined ? '' : ` fill="${fill}"`;
  const [only] = spans;
  const whole = spans.length === 1 && only?.italic === true ? ' font-style="italic"' : '';
  const inner =
    spans.length === 1
      ? escaped(only?.text ?? '')
      : spans
          .map(({ text, italic }) =>
            italic ? `<tspan font-style="italic">${escaped(text)}</tspan>` : escaped(text),
          )
          .join('');
  return `<text x="${n(x)}" y="${n(y)}" ${STYLE[style]}${whole}${colour}${attributes}>${inner}</text>`;
}

function pattern(level: ConcernLevel): string {
  const { edge, fill } = inkOf(level);
  // Dark ends have their pattern on white.
  const ground = level === 'deadly' || level === 'severe' ? '#ffffff' : fill;
  return `<pattern id="p-${level}" width="8" height="8" patternUnits="userSpaceOnUse"><rect width="8" height="8" fill="${ground}"/><path d="${PATTERNS[level]}" fill="${edge}"/></pattern>`;
}

function headParts(
  { printed, marks }: Drawing,
  width: number,
  { caution }: SvgSetting,
): { parts: string[]; height: number } {
  const room = width - 2 * MARGIN;
  const parts: string[] = [];
  let y = 0;
  const key = printed.keys[0]?.key;
  if (key !== undefined) {
    for (const text of textLines(key.title, 18, room, true)) {
      y += 22;
      parts.push(line('title', text, 0, y));
    }
    const scope = scopeEntries(key)
      .filter(([heading]) => heading === 'Group' || heading === 'Regions')
      .map(([heading, text]) => `${heading}: ${text}.`);
    for (const text of textLines([...scope, imprint(key)].join(' '), SIZES.type, room)) {
      y += 18;
      parts.push(line('words', text, 0, y));
    }
  }
  for (const text of textLines(caution, SIZES.type, room, true)) {
    y += 18;
    parts.push(line('label', text, 0, y));
  }
  y += 16;
  const legend = legendParts(printed.harmStated ? levelsIn(printed.taxa) : [], marks.all, y, room);
  return { parts: [...parts, ...legend.parts], height: legend.bottom + 28 };
}

function legendParts(
  levels: readonly ConcernLevel[],
  marks: readonly FindingMark[],
  top: number,
  room: number,
): { parts: string[]; bottom: number } {
  const parts: string[] = [];
  let [x, y] = [0, top];
  const place = (width: number): void => {
    if (x > 0 && x + width > room) {
      x = 0;
      y += 26;
    }
  };
  for (const level of levels) {
    const text = concernWords(level);
    const width = SIZES.swatch + textLength(text, SIZES.small) + 2 * SIZES.pad;
    place(width);
    const box = { x, y, width, height: 20 };
    const at = {
      style: 'small' as const,
      spans: [{ text, italic: false }],
      x: x + SIZES.swatch + SIZES.pad,
      y: y + 14,
    };
    parts.push(band({ kind: level, box, lines: [at], to: undefined }));
    x += width + 12;
  }
  if (levels.length > 0) {
    const text = 'the harm recorded in this key';
    place(textLength(text, SIZES.small));
    parts.push(line('small', text, x, y + 14));
    x += textLength(text, SIZES.small) + 20;
  }
  for (const level of ['error', 'warning', 'note'] as const) {
    const known = marks.filter((m) => m.level === level);
    if (known.length === 0) continue;
    const text = `${level === 'note' ? 'note' : level} of lint, listed below`;
    place(SIZES.mark * 2 + textLength(text, SIZES.small));
    parts.push(tag({ level, sign: `${level[0]?.toUpperCase()}1` }, x, y + 2));
    parts.push(line('small', text, x + 34, y + 14));
    x += 34 + textLength(text, SIZES.small) + 20;
  }
  return { parts, bottom: parts.length === 0 ? top : y + 20 };
}

function keyPart(drawn: DrawnKey): string {
  const { title, anchor, couplets, branches } = drawn;
  return [
    `<g id="${anchor}">`,
    ...(title === undefined ? [] : [drawnLine(title)]),
    `<path d="${branches.map(branch).join('')}" fill="none" stroke="#8d8698" stroke-width="1.5"/>`,
    ...couplets.map(card),
    '</g>',
  ].join('\n');
}

function branch({ from: [x1, y1], to: [x2, y2] }: DrawnBranch): string {
  const middle = n((x1 + x2) / 2);
  return `M${n(x1)} ${n(y1)}C${middle} ${n(y1)} ${middle} ${n(y2)} ${n(x2)} ${n(y2)}`;
}

function card({ couplet, anchor, box, number, from, leads, marks }: DrawnCouplet): string {
  const { x, y, width, height } = number;
  return [
    `<g id="${escaped(anchor)}">`,
    `<rect x="${n(box.x)}" y="${n(box.y)}" width="${n(box.width)}" height="${n(box.height)}" rx="6" fill="#ffffff" stroke="#aca5b8"/>`,
    ...from.map((l) => drawnLine(l, '#5b5366')),
    ...leads.map((lead, i) => leadPart(lead, i > 0)),
    `<rect x="${n(x)}" y="${n(y)}" width="${n(width)}" height="${height}" rx="${height / 2}" fill="#ffffff" stroke="#17101e" stroke-width="1.8"/>`,
    `<text x="${n(x + width / 2)}" y="${n(y + height / 2 + SIZES.large * 0.36)}" font-size="${SIZES.large}" font-weight="700" text-anchor="middle">${escaped(couplet.number)}</text>`,
    ...marksAt(marks, x + width / 2 + 16, y - SIZES.mark / 2),
    '</g>',
  ].join('');
}

function leadPart({ box, label, words, bands, marks }: DrawnLead, below: boolean): string {
  return [
    below
      ? `<path d="M${n(box.x + SIZES.disc / 2)} ${n(box.y)}H${n(box.x + box.width)}" stroke="#d9d4e0"/>`
      : '',
    drawnLine(label),
    ...words.map((w) => drawnLine(w)),
    ...bands.map(band),
    ...marksAt(marks, box.x + box.width + 8, box.y + SIZES.pad / 2 + SIZES.type * 0.64),
  ].join('');
}

function band({ kind, box, lines, to }: DrawnBand): string {
  const { fill, text, edge } = inkOf(kind);
  const { x, y, width, height } = box;
  const dashed =
    kind === 'missing' || kind === 'couplet' || kind === 'none-recorded' ? ' stroke-dasharray="4 3"' : '';
  const area = `<rect x="${n(x)}" y="${n(y)}" width="${n(width)}" height="${n(height)}" rx="3" fill="${fill}" stroke="${edge}"${dashed}/>`;
  const swatch =
    kind === 'key' || kind === 'couplet' || kind === 'missing'
      ? `<path d="${SIGNS[kind](x + SIZES.swatch / 2 + 1, y + height / 2)}" fill="none" stroke="${edge}" stroke-width="1.6"/>`
      : // Moved there, so that every swatch shows the same part of its pattern.
        `<rect transform="translate(${n(x + 3)} ${n(y + 3)})" width="${SIZES.swatch - 3}" height="${n(height - 6)}" fill="url(#p-${kind})" stroke="${edge}" stroke-width="0.8"/>`;
  const inside = [area, swatch, ...lines.map((l) => drawnLine(l, text))].join('');
  return to === undefined ? inside : `<a href="#${escaped(to)}">${inside}</a>`;
}

/** A small sign in the place of the pattern: a page, an arrow, a cross. */
const SIGNS: Readonly<Record<'key' | 'couplet' | 'missing', (x: number, y: number) => string>> = {
  key: (x, y) =>
    `M${n(x - 4)} ${n(y - 6)}H${n(x + 5)}V${n(y + 6)}H${n(x - 4)}ZM${n(x - 1)} ${n(y - 6)}V${n(y + 6)}`,
  couplet: (x, y) =>
    `M${n(x - 5)} ${n(y)}H${n(x + 5)}M${n(x + 1)} ${n(y - 4)}L${n(x + 5)} ${n(y)}L${n(x + 1)} ${n(y + 4)}`,
  missing: (x, y) =>
    `M${n(x - 4)} ${n(y - 4)}L${n(x + 4)} ${n(y + 4)}M${n(x + 4)} ${n(y - 4)}L${n(x - 4)} ${n(y + 4)}`,
};

const TAGS = {
  error: { fill: '#17101e', text: '#ffffff', edge: '#17101e', rx: 1 },
  warning: { fill: '#ffd970', text: '#17101e', edge: '#17101e', rx: 1 },
  note: { fill: '#ffffff', text: '#17101e', edge: '#17101e', rx: 7 },
} as const;

/** Tags in a row, by its right end and its middle. */
function marksAt(marks: readonly FindingMark[], right: number, middle: number): string[] {
  // More than these would cover the lead; all of them stand in the list.
  const shown = marks.slice(0, 4);
  let x = right;
  return shown.reverse().map((mark) => {
    x -= tagWidth(mark.sign) + 3;
    return tag(mark, x, middle - SIZES.mark / 2);
  });
}

function tagWidth(sign: string): number {
  return textLength(sign, 10, true) + 8;
}

function tag(mark: Pick<FindingMark, 'level' | 'sign'> & Partial<FindingMark>, x: number, y: number): string {
  const { fill, text, edge, rx } = TAGS[mark.level];
  const width = tagWidth(mark.sign);
  const title =
    mark.message === undefined ? '' : `<title>${escaped(`${mark.level}: ${mark.message}`)}</title>`;
  return (
    `<g>${title}<rect x="${n(x)}" y="${n(y)}" width="${n(width)}" height="${SIZES.mark}" rx="${rx}" fill="${fill}" stroke="${edge}"/>` +
    `<text x="${n(x + width / 2)}" y="${n(y + 11)}" font-size="10" font-weight="700" text-anchor="middle" fill="${text}">${escaped(mark.sign)}</text></g>`
  );
}

/** The list of what lint finds, in columns. */
function markList(marks: readonly FindingMark[], width: number): { parts: string[]; height: number } {
  if (marks.length === 0) return { parts: [], height: 0 };
  const room = width - 2 * MARGIN;
  const columns = Math.max(1, Math.min(Math.floor(room / COLUMN), Math.ceil(marks.length / 6)));
  const each = room / columns;
  const indent = 46;
  const entries = marks.map((mark) => {
    const about = mark.about === '' ? '' : `${mark.about}: `;
    return textLines(`${about}${mark.message} [${mark.rule}]`, SIZES.small, each - indent - 20);
  });
  const height = (lines: readonly string[]) => lines.length * SIZES.line + 4;
  const fair = entries.reduce((sum, lines) => sum + height(lines), 0) / columns;
  const parts = [line('name', 'What lint finds', 0, 44)];
  const top = 66;
  let [x, y, bottom] = [0, top, top];
  marks.forEach((mark, i) => {
    const lines = entries[i] as string[];
    if (y > top && y - top + height(lines) / 2 > fair && x + each < room) {
      x += each;
      y = top;
    }
    parts.push(tag(mark, x, y - 11));
    for (const text of lines) {
      parts.push(line('small', text, x + indent, y));
      y += SIZES.line;
    }
    y += 4;
    bottom = Math.max(bottom, y);
  });
  return { parts, height: bottom };
}
