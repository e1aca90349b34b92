import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sheetColumns, sheetFor } from '../../src/analysis/field-sheet.js';
import { action as identify } from '../../src/commands/identify/command.js';
import { action, type SheetFlags } from '../../src/commands/sheet/command.js';
import { beginRun } from '../../src/files/run-files.js';
import { displayWidth } from '../../src/text/wrap.js';
import { CLEARING } from '../support/clearing.js';
import { fakeWorld } from '../support/fake-world.js';
import { acted } from '../support/in-process.js';
import { open } from '../support/open.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
let work: string;
beforeAll(() => {
  work = mkdtempSync(join(tmpdir(), 'keywright-sheet-'));
});
afterAll(() => rmSync(work, { recursive: true, force: true }));

async function sheet(
  keys: readonly string[],
  flags: Partial<SheetFlags> = {},
  world: { readonly cwd?: string; readonly columns?: number } = {},
): Promise<{ code: number; out: string; err: string }> {
  beginRun();
  return acted(action, keys, { specimens: 3, ...flags }, { cwd: root, ...world });
}

const key = {
  keywright: 1,
  id: 'k',
  title: 'A key <b>with</b> | marks',
  version: '1.10',
  scope: { note: 'Take the base.' },
  characters: {
    print: { name: 'print', states: ['white', 'rust'], wait: '6 h', stages: ['mature'], tools: ['paper'] },
    ring: { name: 'ring', states: ['present', 'absent'], perishable: true },
    texture: { name: 'texture', states: ['thin', 'thick'], 'applies-when': { veil: 'present' } },
    veil: { name: 'veil', states: ['present', 'absent'] },
    gills: { name: 'gills', states: ['yellow', 'pale'], stages: ['young'] },
    edge: { name: 'edge', states: ['plain', 'lined'], stages: ['old', 'mature'] },
    width: { name: 'width', kind: 'measure', unit: 'cm', look: 'Measure the widest.' },
    warts: { name: 'warts', kind: 'count' },
    smell: { name: 'smell', states: ['meal', 'none'] },
    idle: { name: 'idle', states: ['a', 'b'] },
  },
  couplets: {
    1: [
      { lead: 'A', when: { width: '< 4' }, to: '2' },
      { lead: 'B', when: { width: '>= 4' }, usually: { warts: '3' }, taxon: 't' },
    ],
    2: [
      { lead: 'A', when: { print: 'white', ring: 'present' }, taxon: 't' },
      { lead: 'B', when: { texture: 'thin' }, to: '3' },
    ],
    3: [
      { lead: 'A', when: { gills: 'yellow', edge: 'plain' }, taxon: 't' },
      { lead: 'B', otherwise: true, taxon: 'u' },
    ],
  },
  taxa: { t: { name: 'T', traits: { smell: 'meal' } }, u: { name: 'U' } },
};

describe('a field sheet', () => {
  it('has what couplets and descriptions use, fresh first, by age, slow last', () => {
    const { parts, tools, ages } = sheetFor([open(key).chain]);
    expect(parts.map((p) => [p.heading, p.lines.map((l) => l.character.id)])).toEqual([
      ['At once, while it is fresh', ['ring']],
      // The veil is asked by no couplet, but the texture depends on it; what is only described comes last.
      ['On specimens of any age', ['width', 'texture', 'smell', 'veil', 'warts']],
      ['On young specimens', ['gills']],
      ['On old or mature specimens', ['edge']],
      ['At home: what takes its time', ['print']],
    ]);
    expect([tools, ages]).toEqual([['paper'], ['young', 'mature', 'old']]);
  });

  it('joins keys that will be used together', () => {
    const other = {
      ...key,
      id: 'other',
      characters: {
        print: { name: 'print', states: ['white', 'pink'], wait: '6 h' },
        latex: { name: 'latex', states: ['milky', 'none'], perishable: true },
      },
      couplets: {
        1: [
          { lead: 'A', when: { latex: 'milky' }, taxon: 'x' },
          { lead: 'B', when: { latex: 'none', print: 'pink' }, taxon: 'x' },
        ],
      },
      taxa: { x: { name: 'X' } },
    };
    const joined = sheetFor([open(key).chain, open(other).chain]);
    expect(joined.keys.map((k) => k.id)).toEqual(['k', 'other']);
    const lines = joined.parts.flatMap((p) => p.lines);
    const print = lines.find((l) => l.character.id === 'print');
    expect(print?.states.map((s) => s.id)).toEqual(['white', 'rust', 'pink']);
    expect([print?.first, print?.asked]).toEqual([0, ['2', 'other/1']]);
    expect(joined.parts[0]?.lines.map((l) => l.character.id)).toEqual(['latex', 'ring']);
  });

  it('begins a table that identify reads', async () => {
    const { out, code } = await sheet(['tarn-wood-tufts'], { csv: true });
    expect(code).toBe(0);
    const columns = out.trimEnd().split(',');
    const row = columns.map(
      (c) => ({ id: 'N-1', stage: 'mature', 'spore-print': 'rust', 'stem-position': 'central' })[c] ?? '',
    );
    const table = join(work, 'n.csv');
    writeFileSync(table, `${out}${row.join(',')}\n`);
    const world = fakeWorld({ cwd: root });
    expect(await identify(['tarn-wood-tufts', table], { format: 'ndjson', slips: 1 }, world)).toBe(0);
    expect(JSON.parse(world.said.out())).toMatchObject({ collection: 'N-1', name: 'rust-spored tufts' });
    // A column named like a field is the character's.
    const named = { ...key, characters: { ...key.characters, habitat: { name: 'h', states: ['a', 'b'] } } };
    const used = { ...named, taxa: { ...key.taxa, u: { name: 'U', traits: { habitat: 'a' } } } };
    expect(sheetColumns(sheetFor([open(used).chain])).filter((c) => c === 'habitat')).toHaveLength(1);
  });

  it('fits on a page of 66 lines for a key of usual size, and into any window', async () => {
    const { out } = await sheet(['tarn-wood-tufts']);
    expect(out.split('\n').length).toBeLessThanOrEqual(66);
    expect(out).toContain('colour of the spore print (white | rust | dark |');
    for (const columns of [40, 60, 100]) {
      const text = (await sheet(['tarn-wood-tufts'], { look: true }, { columns })).out;
      for (const line of text.split('\n')) expect(displayWidth(line)).toBeLessThanOrEqual(columns);
      expect(text.replace(/\s+/g, ' ')).toContain('rain and handling rub a ring off');
    }
  });

  it('is written as Markdown and HTML without anything of the key getting loose', async () => {
    writeFileSync(join(work, 'k.key.yaml'), JSON.stringify(key));
    const html = (await sheet(['k.key.yaml'], { format: 'html', specimens: 2 }, { cwd: work })).out;
    expect(html).toContain('A key &lt;b&gt;with&lt;/b&gt; | marks');
    expect(html).not.toContain('<b>with');
    expect(html.match(/<th class="s">/g)).toHaveLength(2);
    const tags = [...html.matchAll(/<(\/?)(table|thead|tbody|tr|td|th|p|small|span|h1)\b/g)];
    const open_ = tags.filter((t) => t[1] === '').map((t) => t[2]);
    const closed = tags.filter((t) => t[1] === '/').map((t) => t[2]);
    expect(closed.sort()).toEqual(open_.sort());
    const md = (await sheet(['k.key.yaml'], { format: 'markdown' }, { cwd: work })).out;
    expect(md).toContain('A key \\<b\\>with\\</b\\> \\| marks');
    expect(md).toContain('| ring | present \\| absent |   |   |   |');
    for (const text of [html, md]) {
      expect(text).not.toMatch(CLEARING);
      expect(text).toContain('Made by keywright');
    }
  });

  it('is written to a file, and replaces one only when it is told to', async () => {
    const target = join(work, 'sheet.html');
    const write = (more: Partial<SheetFlags> = {}) =>
      sheet(['tarn-wood-tufts'], { format: 'html', out: target, ...more });
    expect((await write()).code).toBe(0);
    writeFileSync(target, 'mine');
    await expect(write()).rejects.toThrow('is there already; it is left as it is');
    expect((await write({ overwrite: true })).code).toBe(0);
    expect(readFileSync(target, 'utf8')).toMatch(/^<!doctype html>/);
  });

  it('says what does not go together, and what key there is none of', async () => {
    await expect(sheet(['tarn-wood-tufts'], { csv: true, format: 'html' })).rejects.toThrow(
      'leave --format out',
    );
    await expect(sheet(['tarn-wood-tufts'], { overwrite: true })).rejects.toThrow('--overwrite is for --out');
    await expect(sheet(['tarn-wood-tufts'], { specimens: 7 })).rejects.toThrow('6 at most');
    await expect(sheet(['tarn-wood-tuft'])).rejects.toThrow('there is no key tarn-wood-tuft');
  });
});
