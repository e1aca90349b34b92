import { Graphviz } from '@hpcc-js/wasm-graphviz';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { drawDot } from '../../src/commands/draw/dot.js';
import { drawMermaid } from '../../src/commands/draw/mermaid.js';
import type { Finding } from '../../src/diagnostic/finding.js';
import { type Drawing, type DrawnLine, type Rectangle, SIZES } from '../../src/drawn/drawing.js';
import { drawing } from '../../src/drawn/layout.js';
import { marksFor, NO_MARKS } from '../../src/drawn/marks.js';
import { inkOf } from '../../src/drawn/scheme.js';
import { drawSvg } from '../../src/drawn/svg.js';
import { spanLines, textLength, textLines } from '../../src/drawn/text.js';
import { concernLevels } from '../../src/key/key.js';
import { indentedBlocks, splitPoints } from '../../src/printed/indented-blocks.js';
import { type PrintedKey, toPrinted } from '../../src/printed/key.js';
import { concernWords } from '../../src/words/cautions.js';
import { PATTERNS } from '../../src/words/harm-inks.js';
import { chainOf, NASTY, shelfOf, xmlFaults } from '../support/markup.js';
import { keyData } from '../support/random-keys.js';

const SVG = { caution: 'Any doubt means: leave it.', signature: 'Drawn by keywright 0 from test 1.' };
const GRAPH = { ...SVG, marks: NO_MARKS, leads: 'full' } as const;

const anyKey = keyData(24, 'reticulate').map((key) => {
  Object.values(key.couplets).forEach((leads, c) => {
    leads.forEach((lead, i) => {
      lead.lead = `${'words of some length '.repeat((c * 7 + i * 3) % 5)}${c}.${i}`;
    });
  });
  return key;
});

/** Everything in a picture that must not lie over another thing of its kind. */
function labels(drawn: Drawing): Rectangle[] {
  return drawn.keys.flatMap(({ couplets, title }) => [
    ...(title === undefined ? [] : [lineBox(title)]),
    ...couplets.flatMap((c) => [
      ...c.from.map(lineBox),
      ...c.leads.flatMap((l) => [lineBox(l.label), ...l.words.map(lineBox), ...l.bands.map((b) => b.box)]),
    ]),
  ]);
}

function lineBox({ spans, x, y, style }: DrawnLine): Rectangle {
  const size = { title: 18, label: SIZES.type, words: SIZES.type, name: SIZES.large, small: SIZES.small }[
    style
  ];
  const bold = style === 'title' || style === 'label' || style === 'name';
  const width = spans.reduce((sum, s) => sum + textLength(s.text, size, bold), 0);
  return { x, y: y - 0.75 * size, width, height: 0.95 * size };
}

function overlaps(a: Rectangle, b: Rectangle): boolean {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

function inside(a: Rectangle, b: Rectangle): boolean {
  const slack = 0.01;
  return (
    a.x >= b.x - slack &&
    a.y >= b.y - slack &&
    a.x + a.width <= b.x + b.width + slack &&
    a.y + a.height <= b.y + b.height + slack
  );
}

/** Pairs of boxes that overlap, found along a sorted row. */
function clashes(boxes: readonly Rectangle[]): [Rectangle, Rectangle][] {
  const sorted = [...boxes].sort((a, b) => a.y - b.y);
  return sorted.flatMap((a, i) => {
    const found: [Rectangle, Rectangle][] = [];
    for (let j = i + 1; j < sorted.length; j++) {
      const b = sorted[j] as Rectangle;
      if (b.y >= a.y + a.height) break;
      if (overlaps(a, b)) found.push([a, b]);
    }
    return found;
  });
}

describe('the layout of a picture', () => {
  it('has every couplet and lead once, no label over another, and everything on its card and in the picture', () => {
    fc.assert(
      fc.property(
        anyKey,
        fc.integer({ min: 2, max: 9 }),
        fc.integer({ min: 2, max: 30 }),
        fc.constantFrom('full' as const, 'short' as const),
        (key, levels, together, leads) => {
          const drawn = drawing(toPrinted(chainOf(key)), { levels, together, leads, concernWords });
          const [only] = drawn.keys as [Drawing['keys'][0]];
          expect(only.couplets.map((c) => c.couplet.id).sort()).toEqual(Object.keys(key.couplets).sort());
          for (const { couplet, leads: own } of only.couplets)
            expect(own.map((l) => l.lead)).toEqual(couplet.leads);
          expect(clashes(labels(drawn))).toEqual([]);
          expect(clashes(only.couplets.map((c) => c.box))).toEqual([]);
          expect(clashes(only.couplets.map((c) => c.number))).toEqual([]);
          const whole = { x: 0, y: 0, width: drawn.width, height: drawn.height };
          for (const { box, number, leads: own, from } of only.couplets) {
            expect(
              [box, number].filter((b) => !inside(b, whole)),
              JSON.stringify(whole),
            ).toEqual([]);
            for (const line of from) expect(inside(lineBox(line), box)).toBe(true);
            for (const lead of own) {
              expect(inside(lead.box, box)).toBe(true);
              for (const text of [lead.label, ...lead.words]) {
                expect(inside(lineBox(text), box)).toBe(true);
                expect(overlaps(lineBox(text), number)).toBe(false);
              }
              for (const band of lead.bands) {
                expect(inside(band.box, box)).toBe(true);
                for (const text of band.lines) expect(inside(lineBox(text), band.box)).toBe(true);
              }
            }
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  it('joins each lead to its couplet, or says where that is', () => {
    fc.assert(
      fc.property(anyKey, fc.integer({ min: 2, max: 9 }), (key, levels) => {
        const drawn = drawing(toPrinted(chainOf(key)), { levels, concernWords });
        const [{ couplets, branches }] = drawn.keys as [Drawing['keys'][0]];
        const anchors = new Set(couplets.map((c) => c.anchor));
        for (const { leads } of couplets) {
          for (const { lead, box, bands } of leads) {
            const { end } = lead;
            const right: [number, number] = [box.x + box.width, box.y + box.height / 2];
            const joined = branches.filter((b) => b.from[0] === right[0] && b.from[1] === right[1]);
            if (end.kind !== 'couplet') {
              expect(joined).toEqual([]);
              expect(bands.length).toBe(end.kind === 'taxa' ? end.taxa.length : 1);
              continue;
            }
            const target = couplets.find((c) => c.couplet.id === end.id);
            if (joined.length === 0) {
              expect(bands.map((b) => b.to)).toEqual([target?.anchor]);
              expect(anchors.has(bands[0]?.to ?? '')).toBe(true);
            } else expect(joined.map((b) => b.to[1])).toEqual([(target?.number.y ?? 0) + SIZES.disc / 2]);
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  it('parts a large key so that no part has many more couplets than asked for', () => {
    fc.assert(
      fc.property(keyData(60, 'tree'), fc.integer({ min: 4, max: 20 }), (key, most) => {
        const [print] = toPrinted(chainOf(key)).keys as [PrintedKey];
        const blocks = indentedBlocks(print, Number.POSITIVE_INFINITY, splitPoints(print, most));
        // Each of the few leads of a couplet can keep a branch of three.
        for (const { rows } of blocks)
          expect(new Set(rows.map((r) => r.couplet)).size).toBeLessThanOrEqual(most + 9);
        expect(blocks.flatMap((b) => b.rows).length).toBe(Object.values(key.couplets).flat().length);
      }),
    );
  });
});

describe('the measure of text', () => {
  it('fills lines without losing a letter, and none too long', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: 'grapheme', maxLength: 120 }),
        fc.integer({ min: 30, max: 200 }),
        (text, most) => {
          const lines = textLines(text, 12, most);
          expect(lines.join('').replace(/\s+/g, '')).toBe(text.replace(/\s+/g, ''));
          for (const line of lines)
            expect([...line].length <= 1 || textLength(line, 12) <= most + 1e-9).toBe(true);
        },
      ),
    );
  });

  it('keeps italics', () => {
    const spans = [
      { text: 'Galera tenera', italic: true },
      { text: ' f. ', italic: false },
      { text: 'minor', italic: true },
    ];
    expect(spanLines(spans, 12, 60)).toEqual([
      [{ text: 'Galera', italic: true }],
      [
        { text: 'tenera', italic: true },
        { text: ' f.', italic: false },
      ],
      [{ text: 'minor', italic: true }],
    ]);
  });
});

/** Two keys, with every text replaced by those given. */
function nastyKeys(text: (n: number) => string) {
  let n = 0;
  const t = () => text(n++);
  const other = {
    keywright: 1,
    id: 'other',
    title: t(),
    version: '1',
    couplets: {
      'A.1': [
        { lead: t(), taxon: 'c' },
        { lead: t(), taxon: 'c' },
      ],
    },
    taxa: { c: { name: t(), rank: 'genus', concern: { level: 'none-recorded' } } },
  };
  const main = {
    keywright: 1,
    id: 'main',
    title: t(),
    version: '1',
    scope: { group: t(), regions: ['GB-CMA'] },
    couplets: {
      end: [
        { lead: t(), to: '2' },
        { lead: t(), key: 'other', reaches: 'a' },
      ],
      2: [
        { lead: t(), taxon: ['a', 'b'] },
        { lead: t(), taxon: 'b' },
      ],
    },
    taxa: { a: { name: t(), concern: { level: 'deadly' } }, b: { name: t() } },
  };
  return chainOf(main, shelfOf({ other }));
}

const SHIFTS = NASTY.map((_, i) => i);

/** Findings at a couplet, a lead, a taxon and the file, with a text. */
function findings(message: string): Finding[] {
  const at = (...path: (string | number)[]): Finding['place'] => ({
    file: 'test.key.yaml',
    path,
    start: { line: 1, column: 1, offset: path.length },
    end: { line: 1, column: 1, offset: path.length },
  });
  return [
    { rule: 'r1', level: 'error', message, place: at('couplets', '2', 1, 'when') },
    { rule: 'r2', level: 'warning', message, place: at('couplets', 'end') },
    { rule: 'r3', level: 'note', message, place: at('taxa', 'a', 'name') },
    { rule: 'r4', level: 'warning', message, place: at() },
  ];
}

describe('texts that try to break out', () => {
  let graphviz: Graphviz;
  beforeAll(async () => {
    graphviz = await Graphviz.load();
  });

  it('SVG is well-formed by an XML parser, and nothing in it is run or loaded', () => {
    for (const shift of SHIFTS) {
      const text = (n: number) => NASTY[(n + shift) % NASTY.length] as string;
      for (const chain of [true, false]) {
        const key = toPrinted(nastyKeys(text), { chain });
        const marks = marksFor(findings(text(3)), key);
        const svg = drawSvg(drawing(key, { marks, concernWords }), SVG);
        expect(xmlFaults(svg)).toEqual([]);
        const tags = [...svg.matchAll(/<[^>]+>/g)].map((m) => m[0]);
        expect(
          tags.filter((t) => /^<(script|image|foreignObject|style|use|iframe)|\son\w+=|href="[^#]/i.test(t)),
        ).toEqual([]);
        const ids = [...svg.matchAll(/ id="([^"]*)"/g)].map((m) => m[1]);
        expect(new Set(ids).size).toBe(ids.length);
        for (const [, to] of svg.matchAll(/href="#([^"]*)"/g)) expect(ids).toContain(to);
      }
    }
  });

  it('DOT is read by Graphviz, with the nodes and labels of the key', () => {
    for (const shift of SHIFTS) {
      const text = (n: number) => NASTY[(n + shift) % NASTY.length] as string;
      const key = toPrinted(nastyKeys(text), { chain: shift % 2 === 0 });
      const dot = drawDot(key, { ...GRAPH, marks: marksFor(findings(text(5)), key) });
      const read = JSON.parse(graphviz.layout(dot, 'json', 'dot')) as {
        objects: { name: string; label?: string }[];
        edges: { label: string }[];
      };
      const nodes = read.objects.filter((o) => !o.name.startsWith('cluster'));
      // Couplets; then an end for every lead that does not go on.
      expect(nodes.length).toBe(shift % 2 === 0 ? 3 + 4 : 2 + 3);
      expect(read.edges.length).toBe(shift % 2 === 0 ? 6 : 4);
      const shown = graphviz.layout(dot, 'svg', 'dot');
      expect(xmlFaults(shown)).toEqual([]);
      const said = shown.replace(/<!--[\s\S]*?-->/g, '').replace(/<[^>]+>/g, ' ');
      for (const word of ['click', 'back', '日本語の鍵'])
        if (dot.replace(/^\/\/.*$/gm, '').includes(word)) expect(said).toContain(word);
      // An escape that Graphviz would have replaced is shown as it was written.
      if (dot.replace(/^\/\/.*$/gm, '').includes('slash')) expect(said).toContain('slash \\N \\G \\l');
    }
  });

  it('Mermaid keeps every text between quotes, on one line, as letters and codes', () => {
    for (const shift of SHIFTS) {
      const text = (n: number) => NASTY[(n + shift) % NASTY.length] as string;
      const key = toPrinted(nastyKeys(text), { chain: true });
      const lines = drawMermaid(key, { ...GRAPH, marks: marksFor(findings(text(7)), key) })
        .trimEnd()
        .split('\n');
      const label = String.raw`"(?:[\p{L}\p{N}\p{M} ,]|#\d+;|<br\/>)*"`;
      const forms = [
        /^---$/,
        /^title: "(?:[^"\\]|\\.)*"$/,
        /^%% (?!.*[{}])/,
        /^flowchart LR$/,
        new RegExp(`^ {2}caution\\[${label}\\]$`, 'u'),
        new RegExp(`^ {2}subgraph k\\d\\[${label}\\]$`, 'u'),
        /^ {2}end$/,
        new RegExp(`^ {2}k\\dc\\w+\\(\\[${label}\\]\\)$`, 'u'),
        new RegExp(`^ {2}k\\de\\w+x[a-z]+\\[${label}\\]:::[a-z-]+$`, 'u'),
        new RegExp(`^ {2}k\\dc\\w+ -->\\|${label}\\| k\\d[ce]\\w+$`, 'u'),
        /^ {2}classDef [a-z-]+ fill:#[0-9a-f]{6},color:#[0-9a-f]{6},stroke:#[0-9a-f]{6}(,stroke-dasharray:4 3)?$/,
      ];
      expect(lines.filter((line) => !forms.some((form) => form.test(line)))).toEqual([]);
    }
  });

  it('DOT of random keys is read by Graphviz with every couplet, lead and end', () => {
    fc.assert(
      fc.property(anyKey, (key) => {
        const read = JSON.parse(
          graphviz.layout(drawDot(toPrinted(chainOf(key)), GRAPH), 'dot_json', 'dot'),
        ) as {
          objects: unknown[];
          edges: unknown[];
        };
        const leads = Object.values(key.couplets).flat();
        expect(read.edges.length).toBe(leads.length);
        expect(read.objects.length).toBe(
          Object.keys(key.couplets).length + leads.filter((l) => l.to === undefined).length,
        );
      }),
      { numRuns: 30 },
    );
  });
});

describe('marks of lint', () => {
  const key = toPrinted(nastyKeys((n) => `text ${n}`));
  const marks = marksFor(findings('something is wrong'), key);

  it('stand at their couplet, lead or taxon, worst levels told apart by their signs, and in a list', () => {
    expect(marks.all.map((m) => `${m.sign} ${m.about}`)).toEqual([
      'W1 ',
      'W2 couplet end',
      'N1 text 10',
      'E1 2b',
    ]);
    expect([...marks.atCouplet.keys()]).toEqual(['main/end']);
    expect([...marks.atLead].map(([lead, at]) => `${lead.label} ${at.map((m) => m.sign)}`)).toEqual([
      '2a N1',
      '2b E1',
    ]);
    const svg = drawSvg(drawing(key, { marks, concernWords }), SVG);
    for (const sign of ['W2', 'N1', 'E1']) expect(svg.split(`>${sign}</text>`).length).toBeGreaterThan(2);
    expect(svg).toContain('2b: something is wrong [r1]');
    for (const draw of [drawDot, drawMermaid]) {
      const text = draw(key, { ...GRAPH, marks });
      for (const sign of ['W2', 'E1']) expect(text.split(sign).length).toBeGreaterThan(2);
    }
  });
});

/** Relative luminance by WCAG 2.2, and the contrast of two colours by the same. */
function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const c = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return c <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [light, dark] = [Math.max(luminance(a), luminance(b)), Math.min(luminance(a), luminance(b))] as const;
  return (light + 0.05) / (dark + 0.05);
}

describe('the scheme for concern', () => {
  // 4.5:1 is what WCAG 2.2, success criterion 1.4.3, asks of text (from memory).
  it('keeps its order on grey paper, and its words can be read', () => {
    const inks = concernLevels.map(inkOf);
    for (const { fill, text } of [...inks, inkOf('key')]) expect(contrast(fill, text)).toBeGreaterThan(4.5);
    const greys = inks.map((i) => luminance(i.fill));
    expect(greys).toEqual([...greys].sort((a, b) => a - b));
    expect(new Set(concernLevels.map((l) => PATTERNS[l])).size).toBe(concernLevels.length);
  });

  it('says every harm in words as well', () => {
    const { keys, ...rest } = toPrinted(nastyKeys((n) => `text ${n}`));
    const svg = drawSvg(drawing({ keys, ...rest }, { concernWords }), SVG);
    expect(svg).toContain('>deadly<');
    expect(svg).toContain('>effects unknown<');
    expect(svg).toContain(SVG.caution);
    expect(svg).not.toMatch(/\b(safe|edible)\b/i);
  });
});
