import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readCharacterList, skeleton } from '../../src/commands/new/skeleton.js';
import { emptyShelf, loadKey } from '../../src/key/load.js';
import { lintKey } from '../../src/lint/lint.js';
import { slug } from '../../src/text/slug.js';
import type { FakeOptions } from '../support/fake-world.js';
import { inProcess } from '../support/in-process.js';
import { KEY, Pty } from '../support/terminal.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-authoring-'));
  mkdirSync(join(folder, 'keys'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const write = (name: string, text: string) => writeFileSync(join(folder, name), text);
const read = (name: string) => readFileSync(join(folder, name), 'utf8');

async function keywright(args: string[], options: FakeOptions = {}) {
  return inProcess(args, { cwd: folder, ...options });
}

const PEBBLES = `# Pebbles of an invented beach.
keywright: 1
id: pebbles
title: Pebbles
version: 1.0.0
start: 3

couplets:
  # the second one in reading order
  7:
    - lead: Round   # as an egg
      taxon: a
    - {lead: Flat, taxon: b}

  # where it begins
  3:
    - lead: Bright
      to: 7
    - lead: Dull
      key: other
taxa:
  a: {name: Lapis ovalis, rank: species}
  b: {name: Lapis planus, rank: species}
`;
const OTHER = `keywright: 1
id: other
title: Other pebbles
version: 1.0.0
couplets:
  1: [{lead: Grey, taxon: c}, {lead: Brown, taxon: c}]
taxa:
  c: {name: Lapis griseus, rank: species}
`;

function beach(): void {
  write('keys/pebbles.key.yaml', PEBBLES);
  write('keys/other.key.yaml', OTHER);
}

describe('print', () => {
  beforeEach(beach);

  it('prints to stdout, and nothing else there', async () => {
    const { code, out, err } = await keywright(['print', 'pebbles']);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/^Pebbles\n/);
    expect(out).toMatch(/\n7a \(3a\) {2}Round \.+ Lapis ovalis\n/);
    expect(out).toMatch(/\n3b {7}Dull \.+ see the key “Other pebbles”\n/);
    const narrow = (await keywright(['print', 'pebbles', '--width', '40'])).out.split('\n');
    expect(Math.max(...narrow.map((l) => l.length))).toBeLessThanOrEqual(40);
  });

  it('numbers in reading order without touching the file', async () => {
    const { out } = await keywright(['print', 'pebbles', '--renumber', '--layout', 'indented', '--chain']);
    expect(out).toMatch(/\n3a {2}Bright\n {2}4a {2}Round /);
    expect(out).toMatch(/1a \(pebbles 3b\) {2}Grey/);
    expect(read('keys/pebbles.key.yaml')).toBe(PEBBLES);
  });

  it('puts the file itself in order, with its comments and layout, and says so', async () => {
    write(
      'keys/third.key.yaml',
      OTHER.replace('id: other', 'id: third').replace('taxon: c}]', 'key: pebbles, at: 7}]'),
    );
    const { code, out, err } = await keywright(['print', 'pebbles', '--write']);
    expect(code).toBe(0);
    expect(read('keys/pebbles.key.yaml')).toBe(`# Pebbles of an invented beach.
keywright: 1
id: pebbles
title: Pebbles
version: 1.0.0
start: 3

couplets:
  # where it begins
  3:
    - lead: Bright
      to: 4
    - lead: Dull
      key: other

  # the second one in reading order
  4:
    - lead: Round   # as an egg
      taxon: a
    - {lead: Flat, taxon: b}
taxa:
  a: {name: Lapis ovalis, rank: species}
  b: {name: Lapis planus, rank: species}
`);
    expect(err).toContain('keys/pebbles.key.yaml changed: ');
    expect(err).toContain(
      'keys/third.key.yaml:6 goes on in pebbles at couplet 7, which is couplet 4 now: change it there',
    );
    expect(out).toContain('4a (3a)');
    const again = await keywright(['print', 'pebbles', '--write']);
    expect(again.err).toBe('keywright: keys/pebbles.key.yaml is in reading order already\n');
  });

  it('refuses to put in order what it could spoil, and leaves it as it is', async () => {
    const text = PEBBLES.replace('title: Pebbles', 'title: Pebbles (begin at couplet 3)');
    write('keys/pebbles.key.yaml', text);
    const { code, out, err } = await keywright(['print', 'pebbles', '--write']);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain('cannot be put in order by itself');
    expect(read('keys/pebbles.key.yaml')).toBe(text);
  });

  it('writes to a file, over another only when it is told to, never over a key', async () => {
    expect((await keywright(['print', 'pebbles', '-o', 'p.html', '--format', 'html'])).out).toBe('');
    expect(read('p.html')).toMatch(/^<!DOCTYPE html>/);
    write('mine.txt', 'my notes\n');
    const refused = await keywright(['print', 'pebbles', '--out', 'mine.txt']);
    expect(refused.code).toBe(2);
    expect(refused.err).toContain('mine.txt is there already; it is left as it is');
    expect(read('mine.txt')).toBe('my notes\n');
    expect((await keywright(['print', 'pebbles', '--out', 'mine.txt', '--overwrite'])).code).toBe(0);
    const key = await keywright([
      'print',
      'pebbles',
      '--chain',
      '--out',
      'keys/other.key.yaml',
      '--overwrite',
    ]);
    expect(key.code).toBe(2);
    expect(read('keys/other.key.yaml')).toBe(OTHER);
    expect(readdirSync(folder).sort()).toEqual(['keys', 'mine.txt', 'p.html']);
  });

  it('prints a key whose leads lead nowhere, shows where, and ends with 1', async () => {
    write('keys/pebbles.key.yaml', PEBBLES.replace('to: 7', 'to: 8').replace('taxon: a\n', 'taxon: z\n'));
    for (const command of ['print', 'show', 'draw']) {
      const { code, err, out } = await keywright([command, 'pebbles']);
      expect(code).toBe(1);
      expect(err).toContain('keys/pebbles.key.yaml:18:');
      expect(out).toContain('Pebbles');
      if (command === 'print') expect(out).toMatch(/Bright \.+ couplet 8, which is missing\n/);
    }
  });

  it('says which options do not go together', async () => {
    for (const [args, text] of [
      [['print', 'x', '--paper', 'a4'], '--paper is for --format html'],
      [['print', 'x', '--width', '60', '--format', 'html'], '--width is for --format text'],
      [['print', 'x', '--overwrite'], '--overwrite is for --out FILE'],
      [['print', 'x', '--write', '--renumber'], '--write numbers the couplets already'],
      [['draw', 'x', '--levels', '4', '--format', 'dot'], '--levels is for --format svg'],
    ] as const) {
      const { code, err } = await keywright([...args]);
      expect([code, err]).toEqual([2, expect.stringContaining(text)]);
    }
  });

  it('carries the number of the poison centre in its cautions', async () => {
    const { out } = await keywright(['print', 'pebbles', '--format', 'html'], {
      env: { KEYWRIGHT_POISON_CENTRE: '<b>+00 123</b>' },
    });
    expect(out).toContain('Poison centre: &lt;b&gt;+00 123&lt;/b&gt;.');
  });
});

describe('show and draw', () => {
  beforeEach(beach);

  it('show writes text, or JSON that says the same', async () => {
    const text = await keywright(['show', 'pebbles']);
    expect([text.code, text.err]).toEqual([0, '']);
    expect(text.out).toContain('2 couplets, each with two leads; 4 leads');
    const json = JSON.parse((await keywright(['show', 'pebbles', '--format', 'json'])).out);
    expect(json).toMatchObject({
      key: { id: 'pebbles' },
      size: { couplets: 2, ends: 3, handOvers: 1, taxa: 2 },
      depth: { least: 1, greatest: 2 },
      chain: [{ id: 'other' }],
      whole: { size: { couplets: 3 } },
    });
  });

  it('draw marks what lint finds, as far as asked', async () => {
    const all = (await keywright(['draw', 'pebbles', '--findings', 'note'])).out;
    expect(all).toContain('What lint finds');
    const none = (await keywright(['draw', 'pebbles', '--findings', 'none'])).out;
    expect(none).not.toContain('What lint finds');
    expect((await keywright(['draw', 'pebbles', '--chain', '--format', 'mermaid'])).out).toContain(
      'k0c3 -->',
    );
  });
});

const ANSWERS =
  'Tufts of Tarn Hollow\ntufted fungi\nGB-CMA\nspore print: white, rusty brown; ring: present, absent\nRing present\nRing absent\nCC0-1.0\n';

describe('new', () => {
  it('writes a sound key from answers that come line by line; stdout stays empty', async () => {
    const { code, out, err } = await keywright(['new'], { stdin: ANSWERS });
    expect([code, out]).toEqual([0, '']);
    expect(err).toBe(
      'keys/tufts-of-tarn-hollow.key.yaml written. Next: keywright lint keys/tufts-of-tarn-hollow.key.yaml\n',
    );
    const text = read('keys/tufts-of-tarn-hollow.key.yaml');
    expect(lintKey(text, 'x.key.yaml').findings.map((f) => f.message)).toEqual([
      '"the authors of this key" still stands in for words of your own',
      '"Exemplum primum" still stands in for words of your own',
      '"Exemplum secundum" still stands in for words of your own',
    ]);
    expect(text).toContain('licence: CC0-1.0\n');
    expect(text).toContain('title: Tufts of Tarn Hollow\n');
    expect(text).toContain('lead: Ring present\n      when: {ring: present}\n');
    const shown = await keywright(['identify', 'tufts-of-tarn-hollow', 'f.csv', '--format', 'csv'], {});
    expect(shown.code).toBe(2); // the table is not there, but the key is found by its id
    expect(shown.err).toContain('f.csv');
  });

  it('asks nothing when a title is given', async () => {
    const { code } = await keywright([
      'new',
      'beetles',
      '--title',
      'Beetles: "all"',
      '--region',
      'GB-CMA',
      '--region',
      'NO',
      '--group',
      'beetles',
      '--characters',
      'horns: none, one, two',
      '--author',
      'E. Marlow',
    ]);
    expect(code).toBe(0);
    const { key, findings } = loadKey(read('beetles.key.yaml'), 'beetles.key.yaml', emptyShelf);
    expect(findings).toEqual([]);
    expect(key).toMatchObject({
      id: 'beetles',
      title: 'Beetles: "all"',
      authors: ['E. Marlow'],
      date: '2026-11-25',
    });
    expect(key?.scope).toMatchObject({ group: 'beetles', regions: ['GB-CMA', 'NO'] });
    const left = lintKey(read('beetles.key.yaml'), 'beetles.key.yaml').findings;
    expect(left.map((f) => f.rule)).toEqual(['about-complete', 'stand-ins-replaced', 'stand-ins-replaced']);
    expect(left[0]?.message).toBe('the key does not say its licence');
  });

  it('never replaces a file, and gives no id twice', async () => {
    write('beetles.key.yaml', 'mine\n');
    const there = await keywright(['new', 'beetles', '--title', 'B']);
    expect([there.code, there.err]).toEqual([
      2,
      expect.stringContaining('beetles.key.yaml is there already; it is left as it is'),
    ]);
    expect(read('beetles.key.yaml')).toBe('mine\n');
    write('keys/old.key.yaml', OTHER);
    const twice = await keywright(['new', 'keys/other', '--title', 'B']);
    expect(twice.err).toContain('keys/old.key.yaml has the id other already');
    expect(readdirSync(join(folder, 'keys'))).toEqual(['old.key.yaml']);
  });

  it('says which line of the answers will not do, and writes nothing', async () => {
    for (const [stdin, text] of [
      ['', 'Title of the key: a key needs a title, and the answers ran out'],
      ['\n', 'line 1 of the answers (Title of the key): a key needs a title'],
      ['T\n\nnowhere\n', 'line 3 of the answers (Regions): "nowhere" is no region code'],
      ['T\n\n\nring\n', 'line 4 of the answers (Characters): the character ring needs two states'],
      ['T\n\n\n\n\nCC-BY-9\n', 'line 6 of the answers (Licence): "CC-BY-9" is not on the SPDX licence list'],
      ['T\n\n\n\nRing present\n', 'Second lead: a lead needs its contrast, and the answers ran out'],
    ] as const) {
      const { code, err } = await keywright(['new'], { stdin });
      expect([code, err]).toEqual([2, expect.stringContaining(text)]);
    }
    expect(readdirSync(join(folder, 'keys'))).toEqual([]);
    for (const [args, text] of [
      [['new', 'My Key', '--title', 'x'], 'not "My Key" (my-key would do)'],
      [['new', 'x.yaml', '--title', 'x'], 'a key file is called NAME.key.yaml'],
      [['new', 'x', '--title', 'x', '--lead', 'one'], '--lead is given twice'],
      [['new', '--title', '!!!'], 'no file name can be made of this title'],
      [['new', 'keys', '--title', 'x'], 'keys is a folder'],
    ] as const) {
      const { code, err } = await keywright([...args]);
      expect([code, err]).toEqual([2, expect.stringContaining(text)]);
    }
  });

  it('asks at a terminal, again where an answer will not do', async () => {
    const pty = new Pty(['new'], { columns: 80, rows: 24, cwd: folder });
    try {
      await pty.shows('Title of the key:');
      pty.type(KEY.enter);
      await pty.shows('a key needs a title');
      await pty.press(`Pebbles${KEY.enter}`, 'Group:');
      await pty.press(`pebbles${KEY.enter}`, 'Regions:');
      await pty.press(`xx${KEY.enter}`, 'is no region code');
      await pty.press(`${KEY.backspace.repeat(2)}GB${KEY.enter}`, 'Characters:');
      await pty.press(KEY.enter, 'First lead:');
      await pty.press(KEY.enter, 'Licence:');
      await pty.press(`MITT${KEY.enter}`, 'did you mean MIT');
      await pty.press(`${KEY.backspace}${KEY.enter}`, 'written');
      expect(await pty.exit).toBe(0);
      expect(pty.overflowing()).toEqual([]);
      expect(read('keys/pebbles.key.yaml')).toContain('group: pebbles\n');
    } finally {
      pty.end();
    }
  });

  it('ends with 130 and no file when it is interrupted', async () => {
    const pty = new Pty(['new'], { columns: 80, rows: 24, cwd: folder });
    try {
      await pty.shows('Title of the key:');
      pty.type(KEY.c);
      expect(await pty.exit).toBe(130);
      expect(readdirSync(join(folder, 'keys'))).toEqual([]);
    } finally {
      pty.end();
    }
  });
});

describe('the skeleton', () => {
  const word = fc.oneof(
    fc.string({ unit: 'grapheme', minLength: 1, maxLength: 12 }),
    fc.constantFrom(
      'no',
      '12',
      'ring: x',
      'a # b',
      '{x}',
      "it's",
      '"q"',
      '- x',
      'Ödland',
      'null',
      '*a',
      '&b',
      '!t',
      '%',
    ),
  );

  it('loads without a finding and keeps every text, whatever is answered', () => {
    fc.assert(
      fc.property(
        fc.record({ title: word, group: word, author: word, leads: fc.tuple(word, word) }),
        fc.array(fc.record({ name: word, states: fc.array(word, { minLength: 2, maxLength: 4 }) }), {
          maxLength: 3,
        }),
        (texts, drawn) => {
          const written = drawn
            .map(
              ({ name, states }) =>
                `${name.replace(/[:;]/g, '')}: ${states.map((s) => s.replace(/[,;]/g, '')).join(',')}`,
            )
            .join('; ');
          const characters = readCharacterList(written);
          const texted = Object.values(texts)
            .flat()
            .every((t) => t.trim() !== '');
          fc.pre(typeof characters !== 'string' && texted);
          const text = skeleton({
            ...texts,
            id: 'test',
            regions: [],
            characters: characters as never,
            date: '2026-11-25',
          });
          const { key, findings } = loadKey(text, 'test.key.yaml', emptyShelf);
          expect(findings).toEqual([]);
          if (/^[\x20-\x7e]+$/.test(texts.title)) expect(key?.title).toBe(texts.title.trim());
          expect(key?.couplets.get('1')?.leads.length).toBe(2);
        },
      ),
      { numRuns: 200 },
    );
  });

  it.each([
    ['Tufted gilled fungi, Tarn Hollow', 'tufted-gilled-fungi-tarn-hollow'],
    ['Käfer & Größe', 'kaefer-groesse'],
    ["Marlow's æther", 'marlows-aether'],
    ['日本語', 'ribenyu'],
    ['--', ''],
    ['!?', ''],
  ])('makes an id of %s: %s', (text, id) => {
    expect(slug(text)).toBe(id);
  });
});

describe('a new key that nobody has touched', () => {
  const fresh = () =>
    skeleton({ id: 'test', title: 'Test', regions: [], characters: [], date: '2026-11-25' });
  const standIns = (text: string) =>
    lintKey(text, 'test.key.yaml').findings.flatMap((f) => (f.rule === 'stand-ins-replaced' ? f.found : []));

  it('is found with every stand-in, also when the marks are taken away', () => {
    const all = [
      'the authors of this key',
      'organisms of one kind',
      'ZZ',
      'Exemplum primum',
      'Exemplum secundum',
    ];
    expect(standIns(fresh())).toEqual(expect.arrayContaining([...all, 'surface-of-the-cap']));
    expect(standIns(fresh().replace(/ # STAND-IN.*/g, '')).sort()).toEqual(all.sort());
  });

  it('and half filled with what is left, marks too', () => {
    const half = fresh().replace('[ZZ]', '[GB]').replace('Exemplum primum # STAND-IN', 'Aa aa');
    expect(standIns(half)).toContain('GB');
    expect(standIns(half)).not.toContain('Aa aa');
    expect(standIns(half)).toContain('Exemplum secundum');
  });
});
