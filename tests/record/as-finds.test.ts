/** Records where tables of finds are taken: whole processes. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { program, root } from '../support/program.js';
import { whole } from './making.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-finds-'));
  mkdirSync(join(folder, 'keys'));
  put('keys/wide.key.yaml', WIDE);
  put('keys/local.key.yaml', LOCAL);
  put('keys/caps.terms.yaml', TERMS);
  put('find.yaml', FIND);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const TERMS = `keywright-terms: 1
characters:
  print: {name: spore print, states: {white: white to cream, rust: rusty brown}}
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
`;
const WIDE = `keywright: 1
id: wide
title: Genera of a country
version: 1.0.0
start: 1
uses: [caps.terms.yaml]
couplets:
  1:
    - {lead: Print white, when: {print: white}, taxon: alba}
    - {lead: Print rust, when: {print: rust}, to: 2}
  2:
    - {lead: Ring present, when: {ring: present}, taxon: rusta}
    - {lead: Ring absent, when: {ring: absent}, to: 3}
  3:
    - {lead: Pretty, taxon: rusta}
    - {lead: Not pretty, taxon: alba}
taxa:
  alba: {name: Alba, rank: genus}
  rusta: {name: Rusta, rank: genus, concern: {level: deadly}}
`;
const LOCAL = `keywright: 1
id: local
title: Rusty caps of one wood
version: 2.0.0
start: 1
uses: [caps.terms.yaml]
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: rusta-a}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Cap small, when: {width: "< 3 cm"}, to: 3}
    - {lead: Cap large, when: {width: ">= 3 cm"}, taxon: rusta-b}
  3:
    - {lead: Print rust, when: {print: rust}, taxon: rusta-c}
    - {lead: Print white, when: {print: white}, taxon: rusta-d}
taxa:
  rusta-a: {name: Rusta annulata, concern: {level: deadly}}
  rusta-b: {name: Rusta bona}
  rusta-c: {name: Rusta cava, concern: {level: upset}}
  rusta-d: {name: Rusta dura}
`;
const FIND = `keywright-collections: 1
collections:
  - id: TH-1
    date: 2026-10-18
    place: Lower Plantation
    by: E. Marlow
    habitat: on a stump
    photographs: [TH-1.jpg]
    specimens:
      - {id: a, stage: young, photographs: a.png | b c.png, traits: {width: 2 cm}}
`;

function put(name: string, text: string | Buffer): void {
  writeFileSync(join(folder, name), text);
}
const run = (args: readonly string[], answers: readonly string[] = [], input?: string) =>
  program(args, { cwd: folder, input: input ?? answers.map((a) => `${a}\n`).join('') });
const record = (name: string) => whole(readFileSync(join(folder, name), 'utf8')).record;
/** Keys out the find with the wide key. */
const wide = (answers = ['b', 'doubt worn?', 'b', 'a']) =>
  run(['run', 'wide', '--with', 'find.yaml', '--record', 'wide.yaml'], answers);

describe('a general key, then a regional one', () => {
  it('asks nothing twice, and keeps the find', () => {
    expect(wide().status).toBe(0);
    const { status, stderr, stdout } = run(
      ['run', 'local', '--with', 'wide.yaml', '--record', 'local.yaml'],
      ['stop'],
    );
    expect(status).toBe(0);
    expect(stderr).toContain(
      'not used by local: answer 3a of wide, which says nothing of one character alone\n',
    );
    // Ring, width and print are known.
    expect(stdout).toContain('Rusta cava');
    const [d] = record('local.yaml').determinations;
    expect(d?.answers).toEqual([]);
    expect(d?.collection).toMatchObject({
      date: '2026-10-18',
      habitat: 'on a stump',
      evidence: [
        { character: 'width', shows: '2 cm', specimen: 'a', stage: 'young' },
        { character: 'print', shows: 'rust' },
        { character: 'ring', shows: 'absent', doubted: true },
      ],
    });
    expect(d?.result?.candidates.map((c) => c.name)).toContain('Rusta cava');
  });

  it('with the keys that ship: from the key of rusty ones to that of all tufts', () => {
    const keys = (name: string) => join(root, 'keys', `${name}.key.yaml`);
    run(['run', keys('tarn-rust-spored'), '--record', 'rust.yaml', '--id', 'TH-2'], ['a', 'a']);
    const { stderr, stdout } = run(['run', keys('tarn-wood-tufts'), '--with', 'rust.yaml'], ['b', 'b']);
    expect(stderr).toContain('rust-spored 1: a, since the find came with it');
    expect(stdout).toContain(': Pholiota squarrosa');
    // The print of the book's key is not quite that of the other, and its leads are of other characters.
    run(['run', keys('gill-genera'), '--record', 'genus.yaml', '--id', 'TH-3'], ['a', 'stop']);
    const other = run(['run', keys('tarn-wood-tufts'), '--with', 'genus.yaml'], ['stop']);
    expect([other.status, other.stderr]).toEqual([
      0,
      expect.stringContaining(
        'not used by tarn-wood-tufts: spore-print (white, answer 0a of gill-genera): means "',
      ),
    ]);
  });

  it('tells the doubts in the report', () => {
    wide();
    run(['run', 'local', '--with', 'wide.yaml', '--record', 'local.yaml'], ['stop']);
    expect(run(['report', 'local.yaml', '--full']).stdout).toContain('ring: absent (in doubt)');
  });

  it('with one and the same key, the answers are given anew', () => {
    wide();
    const { stderr } = run(['run', 'wide', '--with', 'wide.yaml'], ['stop']);
    expect(stderr).toMatch(/\n1\n {2}a {2}Print white/);
  });
});

describe('records as finds', () => {
  it('are identified beside tables, several at once', () => {
    wide();
    run(['run', 'wide', '--record', 'other.yaml', '--id', 'TH-9'], ['a']);
    put('season.csv', 'id,print\nTH-5,rust\n');
    const { status, stdout, stderr } = run([
      'identify',
      'local',
      'wide.yaml',
      'season.csv',
      'other.yaml',
      '--format',
      'csv',
    ]);
    expect(status).toBe(0);
    expect(stdout.split('\n').map((l) => l.split(',').slice(0, 2).join())).toEqual(
      expect.arrayContaining(['TH-1,Rusta cava', 'TH-5,']),
    );
    expect(stdout).toMatch(/^TH-9,/m);
    expect(stderr).toContain('wide.yaml: not used by local: answer 3a of wide');
    const own = run(['identify', 'wide', 'other.yaml', '--format', 'csv']);
    expect(own.stdout).toContain('TH-9,Alba,,Alba,');
    const piped = run(
      ['identify', 'wide', '-', '--from', 'record', '--format', 'csv'],
      [],
      readFileSync(join(folder, 'other.yaml'), 'utf8'),
    );
    expect(piped.stdout).toBe(own.stdout);
  });

  it('go through several keys, versions of a key, and tests', () => {
    wide();
    const compared = run(['compare', 'wide', 'local', '--with', 'wide.yaml', '--format', 'ndjson']);
    expect(compared.status).toBe(0);
    expect(JSON.parse(compared.stdout)).toMatchObject({
      collection: 'TH-1',
      keys: [{ name: 'Rusta' }, { name: 'Rusta cava' }],
    });
    put(
      'newer.key.yaml',
      WIDE.replace('version: 1.0.0', 'version: 1.1.0')
        .replace('taxon: rusta}\n    - {lead: Not', 'taxon: alba}\n    - {lead: Not')
        .replace('caps.terms', 'keys/caps.terms'),
    );
    const diff = run(['diff', 'wide', 'newer.key.yaml', '--with', 'wide.yaml']);
    expect([diff.status, diff.stdout]).toEqual([1, expect.stringContaining('TH-1')]);
    const tested = run(['test', 'wide', 'wide.yaml']);
    expect(tested.stderr).toContain('1 collection without expect was\nskipped');
  });

  it('make a Darwin Core archive with what is known of the find', () => {
    wide();
    expect(run(['identify', 'wide', 'wide.yaml', '--format', 'dwc', '--out', 'out.zip']).status).toBe(0);
    const again = run(['identify', 'wide', 'out.zip', '--format', 'ndjson']);
    expect(again.stdout).toBe(run(['identify', 'wide', 'wide.yaml', '--format', 'ndjson']).stdout);
    const files = unzipSync(readFileSync(join(folder, 'out.zip')));
    const text = strFromU8(files['occurrence.txt'] ?? new Uint8Array());
    for (const part of [
      '2026-10-18',
      'Lower Plantation',
      'E. Marlow',
      'on a stump',
      'TH-1.jpg | a.png | b c.png',
    ])
      expect(text).toContain(part);
  });

  it('that are broken are refused with their place, and nothing good is lost', () => {
    wide();
    const text = readFileSync(join(folder, 'wide.yaml'), 'utf8');
    put('cut.yaml', text.slice(0, text.indexOf('possible:')));
    put('odd.yaml', text.replace('status: finished', 'status: perhaps'));
    put('newer.yaml', text.replace('keywright-record: 1', 'keywright-record: 7'));
    for (const [file, problem] of [
      ['cut.yaml', /^cut\.yaml:\d+:\d+ error: the record is cut short here: .* \[record-whole\]$/m],
      ['odd.yaml', /^odd\.yaml:\d+:\d+ error: .*"perhaps".*$/m],
      ['newer.yaml', /^newer\.yaml:1:1 error: this was written by a newer keywright/m],
    ] as const)
      for (const args of [
        ['identify', 'local', file],
        ['compare', 'wide', 'local', '--with', file],
        ['test', 'local', file],
      ]) {
        const { status, stderr } = run(args);
        expect([status, args, stderr]).toEqual([2, args, expect.stringMatching(problem)]);
        expect(stderr).not.toMatch(/\n\s+at /);
      }
    const kept = run(['identify', 'local', 'cut.yaml', 'wide.yaml', '--keep-going', '--format', 'csv']);
    expect([kept.status, kept.stdout]).toEqual([2, expect.stringContaining('TH-1,Rusta cava')]);
    const twice = run(['identify', 'local', 'wide.yaml', 'wide.yaml']);
    expect([twice.status, twice.stderr]).toEqual([
      2,
      expect.stringContaining('collection "TH-1" stands in line 3 already'),
    ]);
    expect(run(['run', 'local', '--with', 'cut.yaml']).stderr).toContain('its find cannot be taken');
  });
});

describe('photographs', () => {
  it('come from tables, stay in the record and stand in the report', () => {
    put('find.csv', 'id,specimen,width,photographs\nTH-1,a,2 cm,a.jpg; b.jpg\nTH-1,b,3 cm,\n');
    run(['run', 'wide', '--with', 'find.csv', '--record', 'csv.yaml'], ['b', 'stop']);
    expect(record('csv.yaml').collection.photographs).toEqual([
      { file: 'a.jpg', specimen: 'a' },
      { file: 'b.jpg', specimen: 'a' },
    ]);
    wide();
    const text = run(['report', 'wide.yaml', '--full']).stdout;
    expect(text).toContain('photograph: TH-1.jpg');
    expect(text).toContain('photograph of specimen a: b c.png');
  });

  it('keep caption and time through redo, tables and Darwin Core', () => {
    wide(['b', 'b', 'a']);
    const known = {
      file: 'photographs/ring.jpg',
      specimen: 'a',
      caption: 'the ring, "from below"',
      date: '2026-10-18 15:02',
    };
    const text = readFileSync(join(folder, 'wide.yaml'), 'utf8');
    expect(text).toContain('- {file: a.png, specimen: a}');
    put('rec.yaml', text.replace('{file: a.png, specimen: a}', JSON.stringify(known)));
    const all = record('rec.yaml').collection.photographs;
    expect(all).toEqual([{ file: 'TH-1.jpg' }, known, { file: 'b c.png', specimen: 'a' }]);
    expect(run(['report', 'rec.yaml', '--full']).stdout.replace(/\s+/g, ' ')).toContain(
      'photograph of specimen a: photographs/ring.jpg, the ring, "from below", taken 2026-10-18 15:02',
    );
    put('keys/wide.key.yaml', WIDE.replace('version: 1.0.0', 'version: 1.1.0'));
    expect(run(['redo', 'rec.yaml', '--key', 'wide', '--write']).status).toBe(0);
    expect(record('rec.yaml').determinations.map((d) => d.collection.photographs)).toEqual([all, all]);
    expect(run(['identify', 'wide', 'rec.yaml', '--format', 'dwc', '--out', 'out.zip']).status).toBe(0);
    run(['run', 'wide', '--with', 'out.zip', '--record', 'back.yaml'], ['stop']);
    expect(record('back.yaml').collection.photographs).toEqual(all);
  });

  it('are given with run, for a new find and for one that is known', () => {
    const args = ['run', 'wide', '--record', 'rec.yaml', '--id', 'TH-7', '--photograph'];
    run([...args, 'a.jpg', '--photograph', 'b.jpg'], ['a']);
    run([...args, 'b.jpg', '--photograph', 'c.jpg'], ['a']);
    const files = record('rec.yaml').determinations.map((d) => d.collection.photographs?.map((p) => p.file));
    expect(files).toEqual([
      ['a.jpg', 'b.jpg'],
      ['a.jpg', 'b.jpg', 'c.jpg'],
    ]);
    expect(run(['run', 'wide', '--resume', 'rec.yaml', '--photograph', 'x.jpg']).status).toBe(2);
  });

  it('are linked in Markdown only where they lie in the folder of the record', () => {
    mkdirSync(join(folder, 'rec'));
    const hostile = [
      'TH-1.jpg',
      '../out.jpg',
      '/etc/hostname',
      'javascript:alert(1)',
      'x](http://evil.example) .png',
    ];
    put('find.yaml', FIND.replace('[TH-1.jpg]', JSON.stringify(hostile)));
    put('out.jpg', 'x');
    for (const file of ['TH-1.jpg', 'a.png', 'x](http:', 'notes.txt']) put(`rec/${file}`, 'x');
    run(['run', 'wide', '--with', 'find.yaml', '--record', 'rec/wide.yaml'], ['a']);
    const page = run(['report', 'rec/wide.yaml', '--full', '--format', 'markdown', '--out', 'page.md']);
    expect(page.status).toBe(0);
    const text = readFileSync(join(folder, 'page.md'), 'utf8');
    expect(text.match(/^ *!?\[.*$/gm)).toEqual(['  ![TH-1.jpg](rec/TH-1.jpg)', '  ![a.png](rec/a.png)']);
    expect(text).toContain('javascript:alert(1)');
  });
});
