/** The whole text that `print` writes, with scope, notes, taxa, terms, sources and cautions, comes back as it was. */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { importDocument } from '../../src/commands/import/document.js';
import { importText } from '../../src/commands/import/print.js';
import { printHtml } from '../../src/commands/print/html.js';
import { printMarkdown } from '../../src/commands/print/markdown.js';
import { type KeyLayout, keyLayouts, printText } from '../../src/commands/print/text.js';
import { FolderShelf } from '../../src/files/shelf.js';
import { type Chain, loadChain } from '../../src/key/chain.js';
import { concernLevels, type Key } from '../../src/key/key.js';
import { emptyShelf, loadKey } from '../../src/key/load.js';
import { toPrinted } from '../../src/printed/key.js';
import { PLAIN } from '../../src/text/paint.js';
import { cautions } from '../../src/words/cautions.js';
import { type PlainKey, plainKey } from './printers.js';

const root = fileURLToPath(new URL('../..', import.meta.url));

const formats = ['text', 'html', 'markdown'] as const;

interface Set {
  format?: (typeof formats)[number];
  layout: KeyLayout;
  width: number;
  levels: number;
  brief: boolean;
  chain: boolean;
}

function print(chain: Chain, { chain: whole, format, ...set }: Set): string {
  const printed = toPrinted(chain, { chain: whole });
  const setting = {
    ...set,
    cautions: cautions('01 234'),
    signature: `Printed by keywright 0.1.0 from ${chain.main.id} ${chain.main.version}.`,
  };
  if (format === 'html') return printHtml(printed, { ...setting, paper: undefined });
  return format === 'markdown'
    ? printMarkdown(printed, setting)
    : printText(printed, { ...setting, paint: PLAIN });
}

/** Title, couplets and ends of a key; a key that another names is told by its title. */
function structure(key: Key, titles: ReadonlyMap<string, string>): string[] {
  const lines = [...key.couplets.values()].flatMap(({ id, leads }) =>
    leads.map(({ text, end, note }) => {
      const to =
        end.kind === 'couplet'
          ? end.couplet
          : end.kind === 'key'
            ? `key ${titles.get(end.key)} ${end.at ?? ''}`
            : end.taxa.map((t) => key.taxa.get(t)?.name).join(' or ');
      return `${id}: ${text} -> ${to} [${note ?? ''}]`;
    }),
  );
  return [key.title, `start ${key.start}`, ...lines.sort()];
}

async function comesBack(chain: Chain, set: Set): Promise<void> {
  const text = print(chain, set);
  const { keys, findings } = await importDocument(text, { file: 'print.txt', when: false });
  const loaded = keys.map((k) => loadKey(k.text, `${k.id}.key.yaml`, emptyShelf));
  const read = loaded.flatMap((l) => l.key ?? []);
  const titles = new Map(chain.keys.map((k) => [k.id, k.title]));
  // A key that is not printed with the others is named after its title.
  const back = new Map<string, string>();
  for (const key of read) {
    back.set(key.id, key.title);
    for (const { leads } of key.couplets.values())
      for (const { end } of leads)
        if (end.kind === 'key' && !read.some((k) => k.id === end.key))
          back.set(end.key, [...titles.values()].find((t) => slugged(t) === end.key) ?? end.key);
  }
  const wanted = (set.chain ? chain.keys : [chain.main]).map((k) => structure(k, titles));
  const plain = (lines: string[]) => (set.brief ? lines.map((l) => l.replace(/ \[[^[]*\]$/, ' []')) : lines);
  expect(
    read.map((k) => structure(k, back)),
    text,
  ).toEqual(wanted.map(plain));
  expect(findings.filter((f) => f.level === 'error' && f.rule !== 'target-exists')).toEqual([]);
  for (const [term, meaning] of set.brief ? [] : chain.main.glossary)
    expect(read[0]?.glossary.get(term)).toBe(meaning);
  if (!set.chain)
    for (const { name, concern } of toPrinted(chain).taxa.map((t) => t.taxon)) {
      const found = [...(read[0]?.taxa.values() ?? [])].find((t) => t.name === name);
      if (found !== undefined) expect([name, found.concern.level]).toEqual([name, concern.level]);
    }
}

function slugged(title: string): string {
  return title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')
    .slice(0, 60)
    .replace(/^(.{60}).*$/, '$1')
    .replace(/-[^-]*$/, (tail) => (title.length > 60 ? '' : tail));
}

describe('the keys of the project', () => {
  const shelf = new FolderShelf(root);
  const names = readdirSync(`${root}/keys`).filter((n) => n.endsWith('.key.yaml'));
  it.each(names)('%s', async (name) => {
    const file = `keys/${name}`;
    const { chain } = loadChain(readFileSync(`${root}/${file}`, 'utf8'), file, shelf);
    if (chain === undefined) throw new Error(`${name} is not sound`);
    for (const layout of keyLayouts)
      for (const [width, levels] of [
        [64, 3],
        [80, 8],
        [100, 8],
      ] as const)
        for (const brief of [true, false])
          for (const whole of [true, false])
            for (const format of width === 80 ? formats : (['text'] as const))
              await comesBack(chain, { format, layout, width, levels, brief, chain: whole });
  });
});

const WORDS = [
  'seen in spring only',
  'p. 12',
  'compare the one with "spots", too',
  'a note that is long enough to be set on more than one line of the print, whatever its width may be',
];

/** A key file of a plain key, with all that a print can add to it. */
function keyFile(key: PlainKey, picks: readonly number[]): string {
  let at = 0;
  const pick = (n: number) => (picks[at++ % picks.length] as number) % n;
  const id = (n: number) => `${['', 'A', 'x', '1.'][picks[0] as number]}${n}`;
  const taxa = new Map<string, string>();
  const taxon = (name: string) => {
    const slug = name.toLowerCase().replace(/\W+/g, '-');
    taxa.set(slug, name);
    return slug;
  };
  const lines = [
    'keywright: 1',
    'id: random',
    'title: Things of Tarn Hollow, "all" of them (a demonstration)',
  ];
  lines.push('version: 0.2.0', 'date: 2026-09-01', 'authors: [Tarn recorders, Others]', 'licence: CC-BY-4.0');
  if (pick(2) === 0)
    lines.push(
      'scope: {group: "things: all of them", months: [3, 4], stages: [mature], note: "Two. Or so."}',
    );
  if (pick(2) === 0) lines.push('note: Written for trying. It says nothing of the world.');
  lines.push(
    'glossary:',
    '  thallus: a body without stem, root and leaves, of one piece that is flat or branched',
  );
  lines.push(
    '  ring: "a band: round the stem"',
    'sources: {own: {cite: "made up, for trying"}}',
    'couplets:',
  );
  key.forEach((leads, i) => {
    lines.push(`  "${id(i)}":`);
    leads.forEach(({ words, to }, j) => {
      lines.push(`    - lead: ${JSON.stringify(pick(6) === 0 ? `${words} (or ... nearly so)` : words)}`);
      if (typeof to === 'number') lines.push(`      to: "${id(to)}"`);
      else
        lines.push(
          `      taxon: [${[to, ...(pick(5) === 0 ? [`Tarnia gemina${i}${j}`, 'Brown-spored things'] : [])].map(taxon).join(', ')}]`,
        );
      if (pick(3) === 0) lines.push(`      note: ${JSON.stringify(WORDS[pick(WORDS.length)])}`);
    });
  });
  const stated = pick(2) === 0;
  lines.push('taxa:');
  for (const [slug, name] of taxa) {
    lines.push(`  ${slug}:`, `    name: ${name}`);
    if (pick(2) === 0) lines.push('    authority: (Marl) Fell & Bruck', '    common: [tarn thing]');
    if (stated && pick(2) === 0)
      lines.push(`    concern: {level: ${concernLevels[pick(concernLevels.length)]}, source: none}`);
  }
  return `${lines.join('\n')}\n`;
}

describe('random keys', () => {
  const runs = { numRuns: Number(process.env.RUNS ?? 30), ...seeded() };
  const all = formats.flatMap((format) => keyLayouts.map((layout) => [format, layout] as const));
  for (const [format, layout] of all)
    it(`${format}, ${layout}`, async () => {
      await fc.assert(
        fc.asyncProperty(
          plainKey({ joins: true, most: 24 }),
          fc.array(fc.nat(), { minLength: 120, maxLength: 120 }),
          fc.constantFrom(0, 1, 2, 3),
          fc.integer({ min: 64, max: 100 }),
          fc.integer({ min: 2, max: 8 }),
          fc.boolean(),
          async (key, picks, form, width, levels, brief) => {
            const text = keyFile(key, [form, ...picks]);
            const { chain, findings } = loadChain(text, 'random.key.yaml', emptyShelf);
            if (chain === undefined) throw new Error(`${text}\n${findings.map((f) => f.message).join('\n')}`);
            await comesBack(chain, { format, layout, width, levels, brief, chain: false });
          },
        ),
        runs,
      );
    });
});

function seeded(): { seed: number } {
  const seed = Number(process.env.SEED ?? 0);
  // The same ones each time, so that a run can be trusted; SEED draws others.
  return { seed: seed === 0 ? 1 : seed };
}

describe('a text that print wrote', () => {
  const key = keyFile(
    [
      [
        { words: 'Cap red', to: 'Aria alba' },
        { words: 'Cap white', to: 'Aria nigra' },
      ],
    ],
    [0, 0, 0, 1, 1, 1, 1],
  );
  const chain = loadChain(key, 'random.key.yaml', emptyShelf).chain as Chain;
  const text = print(chain, { layout: 'bracketed', width: 80, levels: 8, brief: false, chain: false });

  it('gives its id, version, licence and terms to the key', () => {
    const [made] = importText(text, { file: 'print.txt' }).keys;
    expect(made?.id).toBe('random');
    for (const line of ['version: 0.2.0', 'licence: CC-BY-4.0', '  ring: "a band: round the stem"'])
      expect(made?.text).toContain(`${line}\n`);
  });

  it('keeps every line that is no lead as a comment', () => {
    const [made] = importText(text, { file: 'print.txt' }).keys;
    const leads = text.indexOf('\n0a');
    const body = text.slice(0, leads) + text.slice(text.indexOf('\n\n', leads + 2));
    for (const line of body.split('\n').filter((l) => l.trim() !== ''))
      expect(made?.text).toContain(line.trim().replace(/\s+/g, ' '));
  });

  it('is read as any other print when its lines were changed', () => {
    const changed = text.replace('Printed by', 'Once printed by').replace('\n0a ', '\n0 a');
    const { keys } = importText(changed, { file: 'print.txt' });
    expect([keys.length, keys[0]?.couplets, keys[0]?.leads]).toEqual([1, 1, 2]);
  });

  it('is not taken for one when a layout is named', () => {
    const { findings } = importText(text, { file: 'print.txt', layout: 'numbered' });
    expect(findings.some((f) => f.message.startsWith('written by print'))).toBe(false);
  });
});
