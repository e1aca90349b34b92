import { Parser } from 'commonmark';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { printHtml } from '../../src/commands/print/html.js';
import { printMarkdown } from '../../src/commands/print/markdown.js';
import { type PrintSetting, printText } from '../../src/commands/print/text.js';
import type { Taxon } from '../../src/key/key.js';
import { indentedBlocks } from '../../src/printed/indented-blocks.js';
import { type PrintedKey, toPrinted } from '../../src/printed/key.js';
import { NameFinder, nameSpans } from '../../src/printed/names.js';
import { monthsText } from '../../src/printed/words.js';
import { PLAIN } from '../../src/text/paint.js';
import { displayWidth } from '../../src/text/wrap.js';
import { cautions } from '../../src/words/cautions.js';
import { chainOf, htmlDangers, htmlFaults, NASTY, shelfOf, xmlFaults } from '../support/markup.js';
import { type KeyData, keyData } from '../support/random-keys.js';

const SETTING: PrintSetting = {
  layout: 'bracketed',
  levels: 8,
  cautions: cautions(undefined),
  brief: true,
  signature: 'Printed by keywright 0 from test 1.',
};
const WIDE = { ...SETTING, width: 300, paint: PLAIN };
const INDENTED = { ...SETTING, layout: 'indented' } as const;

/** Random keys whose leads can be told apart, and of which nothing is unreachable by mistake of the generator. */
const anyKey = fc.tuple(keyData(14, 'reticulate'), fc.boolean()).map(([key, shuffled]): KeyData => {
  for (const [id, leads] of Object.entries(key.couplets))
    leads.forEach((lead, i) => {
      lead.lead = `words of ${id}${'abc'[i]}`;
    });
  // Numbers in an order that is not that of reading.
  return shuffled ? renamed(key) : key;
});

function renamed(key: KeyData): KeyData {
  const ids = Object.keys(key.couplets);
  const name = (id: string) => String(ids.length - ids.indexOf(id));
  const couplets = Object.fromEntries(
    Object.entries(key.couplets).map(([id, leads]) => [
      name(id),
      leads.map((lead) => (lead.to === undefined ? lead : { ...lead, to: name(lead.to) })),
    ]),
  );
  return { ...key, couplets, start: name('1') } as KeyData;
}

/** By the words of each lead of the data, what it leads to: the words of the first lead there, or names. */
function truth(key: KeyData): Map<string, string> {
  return new Map(
    Object.values(key.couplets).flatMap((leads) =>
      leads.map((lead) => {
        const to = lead.to === undefined ? undefined : key.couplets[lead.to]?.[0]?.lead;
        return [
          lead.lead,
          to ??
            [lead.taxon ?? []]
              .flat()
              .map((t) => key.taxa[t]?.name)
              .join(' or '),
        ] as const;
      }),
    ),
  );
}

interface Row {
  label: string;
  back: string[];
  words: string;
  end: string;
  indent: number;
}

/** Reads a print of one key again, as a reader would. */
function rowsOf(text: string): Row[] {
  const row = /^( *)(\d+[a-z])(?: \(([^)]*)\))? +(words of \S+)(?: \.{3,} (.*))?$/;
  // A label with many back-references has a line of its own.
  const joined = text.replace(/^(\d+[a-z] \([^)]*\))\n +(?=words)/gm, '$1 ');
  return joined.split('\n').flatMap((line): Row[] => {
    const m = row.exec(line);
    if (m === null) return [];
    const [, indent = '', label = '', back = '', words = '', end = ''] = m;
    const bare = end.replace(/ \([^)]*\)/g, '');
    return [{ label, back: back === '' ? [] : back.split(', '), words, end: bare, indent: indent.length }];
  });
}

describe('the bracketed layout', () => {
  it('says every lead once, where it leads, and from where every couplet is reached', () => {
    fc.assert(
      fc.property(anyKey, fc.boolean(), (key, renumber) => {
        const rows = rowsOf(printText(toPrinted(chainOf(key), { renumber }), WIDE));
        const wanted = truth(key);
        expect(new Set(rows.map((r) => r.words))).toEqual(new Set(wanted.keys()));
        expect(rows.length).toBe(wanted.size);
        const byLabel = new Map(rows.map((r) => [r.label, r]));
        for (const { words, end } of rows)
          expect(/^\d+$/.test(end) ? byLabel.get(`${end}a`)?.words : end).toBe(wanted.get(words));
        // The back-references are just the leads that lead there: found by looking forward instead.
        for (const { label, back } of rows) {
          const number = label.slice(0, -1);
          const pointing = rows.filter((r) => r.end === number).map((r) => r.label);
          expect(back).toEqual(label.endsWith('a') ? pointing : []);
        }
      }),
      { numRuns: 150 },
    );
  });

  it('numbers in reading order: from the lowest on, without gaps, every pointer forward', () => {
    fc.assert(
      fc.property(anyKey, (key) => {
        const [print] = toPrinted(chainOf(key), { renumber: true }).keys as [PrintedKey];
        expect(print.couplets.map((c) => c.number)).toEqual(print.couplets.map((_, i) => String(i + 1)));
        const reached = new Set([print.start?.number]);
        for (const { number, leads } of print.couplets) {
          if (!reached.has(number)) continue;
          for (const { end } of leads) {
            if (end.kind !== 'couplet') continue;
            expect(Number(end.number)).toBeGreaterThan(Number(number));
            reached.add(end.number);
          }
        }
      }),
      { numRuns: 150 },
    );
  });

  it('keeps to its width, in any window, with every word', () => {
    fc.assert(
      fc.property(anyKey, fc.integer({ min: 40, max: 120 }), fc.boolean(), (key, width, indented) => {
        const layout = indented ? 'indented' : 'bracketed';
        const text = printText(toPrinted(chainOf(key)), { ...SETTING, layout, width, paint: PLAIN });
        for (const line of text.split('\n')) expect(displayWidth(line)).toBeLessThanOrEqual(width);
        const flat = text.replace(/\s+/g, ' ');
        for (const words of truth(key).keys()) expect(flat).toContain(words);
      }),
      { numRuns: 80 },
    );
  });
});

describe('the indented layout', () => {
  it('sets every lead once, everything under a lead right below it, and refers to what stands elsewhere', () => {
    fc.assert(
      fc.property(anyKey, fc.integer({ min: 2, max: 6 }), (key, levels) => {
        const rows = rowsOf(printText(toPrinted(chainOf(key)), { ...WIDE, layout: 'indented', levels }));
        const wanted = truth(key);
        expect(rows.map((r) => r.words).sort()).toEqual([...wanted.keys()].sort());
        const place = new Map(rows.map((r, i) => [r.label, i]));
        const words = new Map(rows.map((r) => [r.label, r.words]));
        rows.forEach((row, i) => {
          const elsewhere = /^(\d+), (above|below)$/.exec(row.end);
          if (elsewhere !== null) {
            const [, number, where] = elsewhere;
            expect(words.get(`${number}a`)).toBe(wanted.get(row.words));
            const there = place.get(`${number}a`) as number;
            expect(there < i ? 'above' : 'below').toBe(where);
          } else if (row.end === '') {
            const next = rows[i + 1] as Row;
            expect(next.words).toBe(wanted.get(row.words));
            expect(next.indent).toBe(row.indent + 2);
          } else expect(row.end).toBe(wanted.get(row.words));
        });
      }),
      { numRuns: 150 },
    );
  });

  it('continues at the margin where it would be set too deep, and not for a last couplet of ends alone', () => {
    const ladder = (n: number): KeyData => {
      const couplets = Object.fromEntries(
        Array.from({ length: n }, (_, i) => [
          String(i + 1),
          [
            { lead: `words of ${i + 1}a`, taxon: 't' },
            i + 1 < n
              ? { lead: `words of ${i + 1}b`, to: String(i + 2) }
              : { lead: `words of ${i + 1}b`, taxon: 't' },
          ],
        ]),
      );
      return {
        keywright: 1,
        id: 'l',
        title: 'L',
        version: '1',
        characters: {},
        couplets,
        taxa: { t: { name: 'T' } },
      };
    };
    const blocks = (n: number) => indentedBlocks(toPrinted(chainOf(ladder(n))).keys[0] as PrintedKey, 8);
    expect(blocks(9).map((b) => b.root.number)).toEqual(['1']);
    expect(blocks(20).map((b) => b.root.number)).toEqual(['1', '9', '17']);
    expect(Math.max(...blocks(20).flatMap((b) => b.rows.map((r) => r.level)))).toBe(7);
    const rows = rowsOf(printText(toPrinted(chainOf(ladder(20))), { ...WIDE, layout: 'indented' }));
    expect(rows.find((r) => r.label === '8b')?.end).toBe('9, below');
    expect(rows.find((r) => r.label === '9a')).toMatchObject({ indent: 0, back: ['8b'] });
  });

  it('is no danger to the stack', () => {
    const n = 12_000;
    const couplets = Object.fromEntries(
      Array.from({ length: n }, (_, i) => [
        i + 1,
        [
          { lead: 'x', taxon: 't' },
          { lead: 'y', ...(i + 1 < n ? { to: `${i + 2}` } : { taxon: 't' }) },
        ],
      ]),
    );
    const key = { keywright: 1, id: 'l', title: 'L', version: '1', couplets, taxa: { t: { name: 'T' } } };
    const blocks = indentedBlocks(toPrinted(chainOf(key)).keys[0] as PrintedKey, 1_000_000);
    expect(blocks.flatMap((b) => b.rows).length).toBe(2 * n);
  });
});

/** Two keys, one continuing in the other, with every text replaced by those given. */
function nastyKeys(text: (n: number) => string) {
  let n = 0;
  const t = () => text(n++);
  const main = {
    keywright: 1,
    id: 'main',
    title: t(),
    version: '1',
    date: '2026-01-02',
    licence: 'CC0-1.0',
    language: 'en',
    authors: [t(), t()],
    sources: { s: { cite: t(), note: t(), url: 'https://example.org/?a=1&b="2"' } },
    scope: { group: t(), regions: ['GB-CMA'], months: [11, 12, 1], stages: ['mature'], note: t() },
    note: t(),
    couplets: {
      1: [
        { lead: t(), to: '2', note: t() },
        { lead: t(), key: 'other', reaches: 'a' },
      ],
      2: [
        { lead: t(), taxon: ['a', 'b'] },
        { lead: t(), taxon: 'b' },
      ],
    },
    taxa: {
      a: {
        name: t(),
        authority: t(),
        rank: 'species',
        common: [t()],
        concern: { level: 'deadly', effect: t(), onset: t(), source: t() },
        alike: ['b'],
        synonyms: [t()],
        duties: [{ kind: 'protected', note: t() }],
        habitat: t(),
        note: t(),
      },
      b: { name: t(), rank: 'family' },
    },
    glossary: { 'term one': t() },
  };
  const other = {
    keywright: 1,
    id: 'other',
    title: t(),
    version: '1',
    couplets: {
      1: [
        { lead: t(), taxon: 'c' },
        { lead: t(), taxon: 'c' },
      ],
    },
    taxa: { c: { name: t(), rank: 'genus', concern: { level: 'none-recorded' } } },
  };
  return { main, shelf: shelfOf({ other }) };
}

const SHIFTS = [0, 1, 2, 3, 5, 7, 11, 13, 17, 19];

describe('texts that try to break out', () => {
  for (const layout of ['bracketed', 'indented'] as const) {
    it(`HTML (${layout}) is well-formed by an XML parser and without error by the HTML standard`, () => {
      for (const shift of SHIFTS) {
        const { main, shelf } = nastyKeys((n) => NASTY[(n + shift) % NASTY.length] as string);
        const key = toPrinted(chainOf(main, shelf), { chain: true });
        const html = printHtml(key, { ...SETTING, layout, brief: false, paper: 'a5' });
        expect(xmlFaults(html)).toEqual([]);
        expect(htmlFaults(html)).toEqual([]);
        expect(htmlDangers(html)).toEqual([]);
        const ids = new Set([...html.matchAll(/ id="([^"]*)"/g)].map((m) => m[1]));
        const inside = [...html.matchAll(/ href="#([^"]*)"/g)].map((m) => m[1]);
        expect(inside.length).toBeGreaterThan(2);
        expect(inside.filter((id) => !ids.has(id))).toEqual([]);
      }
    });

    it(`Markdown (${layout}) shows just the text`, () => {
      for (const shift of SHIFTS) {
        const { main, shelf } = nastyKeys((n) => NASTY[(n + shift) % NASTY.length] as string);
        const key = toPrinted(chainOf(main, shelf), { chain: true });
        const shown = markdownText(printMarkdown(key, { ...SETTING, layout, brief: false }));
        const plain = printText(key, { ...WIDE, layout, brief: false });
        for (const lead of Object.values(main.couplets).flat())
          for (const word of harmlessWords(lead.lead)) {
            expect(shown).toContain(word);
            expect(plain).toContain(word);
          }
      }
    });
  }

  it('text has no control character but the ends of its lines', () => {
    const { main, shelf } = nastyKeys((n) => NASTY[n % NASTY.length] as string);
    const key = toPrinted(chainOf(main, shelf), { chain: true });
    for (const text of [
      printText(key, { ...WIDE, brief: false }),
      printMarkdown(key, { ...SETTING, brief: false }),
    ])
      expect([...text].filter((c) => c !== '\n' && /[\p{Cc}\p{Cf}]/u.test(c))).toEqual([]);
  });
});

/** The words of a text that have nothing in them that is shown as a code. */
function harmlessWords(text: string): string[] {
  return text.split(/\s+/).filter((w) => /^[\x21-\x7e]+$/.test(w));
}

/** What Markdown shows, by a general parser: no markup, no HTML, no links. */
function markdownText(markdown: string): string {
  const walker = new Parser().parse(markdown).walker();
  let text = '';
  for (let step = walker.next(); step !== null; step = walker.next()) {
    const { node, entering } = step;
    if (!entering) continue;
    expect(['html_inline', 'html_block', 'link', 'image', 'code', 'code_block', 'block_quote']).not.toContain(
      node.type,
    );
    if (node.type === 'text') text += node.literal ?? '';
    else text += ' ';
  }
  return text.replaceAll(' ', ' ');
}

describe('a printed key', () => {
  const { main, shelf } = nastyKeys((n) => `text ${n}`);

  it('is followed by the keys it continues in only when asked, and refers to them by title', () => {
    const alone = toPrinted(chainOf(main, shelf));
    expect(alone.keys.map((k) => k.key.id)).toEqual(['main']);
    const title = alone.keys[0]?.couplets[0]?.leads[1]?.end;
    expect(title).toMatchObject({ kind: 'key', keyId: 'other', printed: false });
    const text = printText(alone, WIDE);
    expect(text).toMatch(/1b +text \d+ \.+ text \d+: see the key “text \d+”\n/);
    const both = toPrinted(chainOf(main, shelf), { chain: true });
    expect(both.keys[1]?.start?.from).toEqual(['main 1b']);
    expect(printText(both, WIDE)).toMatch(/see the key “text \d+”, below\n[\s\S]*\n1a \(main 1b\) /);
  });

  it('says the harm of each end in words, the cautions always, and never that anything is cleared', () => {
    for (const brief of [true, false]) {
      const key = toPrinted(chainOf(main, shelf), { chain: true });
      const texts = [
        printText(key, { ...WIDE, brief }),
        printMarkdown(key, { ...SETTING, brief }),
        printHtml(key, { ...SETTING, brief, paper: undefined }),
      ];
      for (const text of texts) {
        expect(text).toContain('(deadly)');
        expect(text).toContain('(no harm recorded)');
        expect(text).toMatch(/prove nothing/);
        for (const caution of SETTING.cautions)
          expect(text.replaceAll('\\', '')).toContain(caution.slice(0, 40));
        expect(text).not.toMatch(/\b(edible|safe|harmless taxon)\b/i);
      }
    }
  });

  it('says once that no harm is recorded of any taxon, where that is so', () => {
    const { taxa, ...rest } = main;
    const mute = { ...rest, taxa: { a: { name: 'A' }, b: { name: 'B' } } };
    const text = printText(toPrinted(chainOf(mute, shelf)), WIDE);
    expect(text).not.toContain('effects unknown');
    expect(text).toContain(
      'What the taxa of this key do to people is not recorded in it. That proves nothing.',
    );
    expect(Object.keys(taxa)).toEqual(['a', 'b']);
  });

  it('keeps couplets together on paper and loads nothing from elsewhere', () => {
    const html = printHtml(toPrinted(chainOf(main, shelf)), { ...SETTING, paper: 'a4' });
    expect(html).toMatch(/\.couplet, [^{]*\{ break-inside: avoid; \}/);
    expect(html).toContain('@page { size: A4; }');
    expect(printHtml(toPrinted(chainOf(main, shelf)), { ...INDENTED, paper: undefined })).not.toContain(
      'size: A',
    );
  });
});

describe('scientific names', () => {
  const taxon = (name: string, rank?: string): Taxon =>
    ({ name, ...(rank === undefined ? {} : { rank }) }) as Taxon;
  const marked = (spans: readonly { text: string; italic: boolean }[]) =>
    spans.map((s) => (s.italic ? `<${s.text}>` : s.text)).join('');

  // Italics at the rank of genus and below: common practice, no source; terms of rank stay upright likewise.
  it.each([
    ['Galerina marginata', 'species', '<Galerina marginata>'],
    ['Galerina', 'genus', '<Galerina>'],
    ['Strophariaceae', 'family', 'Strophariaceae'],
    ['rust-spored tufts', 'group', 'rust-spored tufts'],
    ['Galera tenera f. minor', 'form', '<Galera tenera> f. <minor>'],
    ['Armillaria mellea agg.', 'aggregate', '<Armillaria mellea> agg.'],
    ['Salix × fragilis', 'species', '<Salix> × <fragilis>'],
    ['Carex sect. Acutae', 'section', '<Carex> sect. <Acutae>'],
    ['Bombus lucorum', undefined, '<Bombus lucorum>'],
    ['Conifers', undefined, 'Conifers'],
  ])('%s (%s) is set %s', (name, rank, wanted) => {
    expect(marked(nameSpans(taxon(name, rank)))).toBe(wanted);
  });

  it('are found in running text, the longest first, and nothing of the text is lost', () => {
    const finder = new NameFinder([
      taxon('Galerina', 'genus'),
      taxon('Galerina marginata', 'species'),
      taxon('Galerina marginata var. alba', 'variety'),
      taxon('Tufts', 'group'),
    ]);
    expect(
      marked(finder.spans('Like Galerina marginata var. alba, not Galerina marginata. Galerina! Tufts')),
    ).toBe('Like <Galerina marginata> var. <alba>, not <Galerina marginata>. <Galerina>! Tufts');
    expect(marked(finder.spans('Galerinas, McGalerina, Galerina'))).toBe('Galerinas, McGalerina, <Galerina>');
    fc.assert(
      fc.property(
        fc.string({ unit: fc.constantFrom('Galerina', ' ', 'marginata', '.', 'var.', ',', 'x', '(', 'É') }),
        (text) => {
          expect(
            finder
              .spans(text)
              .map((s) => s.text)
              .join(''),
          ).toBe(text);
        },
      ),
    );
  });
});

describe('months', () => {
  it.each([
    [[9, 10, 11, 12], 'September to December'],
    [[10, 11, 12, 1, 2, 3], 'October to March'],
    [[4], 'April'],
    [[4, 5], 'April and May'],
    [[12, 1], 'December and January'],
    [[3, 4, 5, 9], 'March to May, September'],
    [[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], 'all year'],
  ])('%j are %s', (months, words) => {
    expect(monthsText(months)).toBe(words);
  });
});
