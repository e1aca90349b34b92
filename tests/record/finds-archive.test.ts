/** Archives of finds: written as a page writes them, and taken wherever records are. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Archive, bytesSource, LARGE_ARCHIVE, readArchive, writeArchive } from '../../src/archive/archive.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { type FindToPack, findsIn, packFinds } from '../../src/record/finds-archive.js';
import { inProcess } from '../support/in-process.js';
import { whole } from './making.js';

const KEY = `keywright: 1
id: caps
title: Caps of one wood
version: 1.0.0
characters:
  ring: {name: ring, states: [present, absent]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Smell of flour, taxon: aa}
    - {lead: No smell, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: deadly}}
  bb: {name: Bb bb}
`;
const BYTES = new Uint8Array([0xff, 0xd8, 0xff, 0xd9]);

let folder = '';
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-archive-'));
  mkdirSync(join(folder, 'keys'));
  put('keys/caps.key.yaml', KEY);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const put = (name: string, text: string | Uint8Array) => writeFileSync(join(folder, name), text);
const read = (name: string) => readFileSync(join(folder, name), 'utf8');

async function said(argv: readonly string[], answers: readonly string[] = []) {
  const { code, out, err } = await inProcess(argv, {
    cwd: folder,
    ...(answers.length === 0 ? {} : { stdin: answers.map((a) => `${a}\n`).join('') }),
  });
  return { code, out, err: err.replace(/\s+/g, ' ') };
}

/** The record of a find, with a photograph, as `run` writes it. */
async function find(id: string, answers: readonly string[]): Promise<FindToPack> {
  const name = `rec-${Math.random()}.yaml`;
  const photo = 'photographs/1.jpg';
  await said(['run', 'caps', '--id', id, '--photograph', photo, '--record', name], answers);
  return { id, record: read(name), photographs: new Map([[photo, BYTES]]) };
}

/** An archive of two finds, one of them finished. */
async function twoFinds(): Promise<void> {
  put('finds.zip', packFinds([await find('TH-1', ['b', 'a']), await find('TH-2', ['b', 'leave'])]));
}

describe('what is packed', () => {
  it('is a folder a find, with names that every system takes and that no two finds share', async () => {
    const { record } = await find('x', ['a']);
    const ids = ['TH/1 a', 'th-1-a', '../../etc', 'nul', '', 'Pilz ä', '...'];
    const bytes = packFinds(
      ids.map((id) => ({ id, record, photographs: new Map([['photographs/1.jpg', BYTES]]) })),
    );
    const names = [...readArchive(bytes, 'a.zip').keys()];
    expect(names.filter((n) => n.endsWith('.yaml'))).toEqual([
      'TH-1-a/TH-1-a.record.yaml',
      'th-1-a-2/th-1-a-2.record.yaml',
      'etc/etc.record.yaml',
      'find-nul/find-nul.record.yaml',
      'find/find.record.yaml',
      'Pilz-ä/Pilz-ä.record.yaml',
      'find-2/find-2.record.yaml',
    ]);
    expect(names).toContain('etc/photographs/1.jpg');
    expect(packFinds([{ id: 'a', record, photographs: new Map() }])).toEqual(
      packFinds([{ id: 'a', record, photographs: new Map() }]),
    );
  });

  it.each(['../x.jpg', '/x.jpg', 'a/../../x.jpg', 'C:x.jpg', 'a\\..\\x.jpg', ''])(
    'never lies outside: %j',
    (name) => {
      const photographs = new Map([[name, BYTES]]);
      expect(() => packFinds([{ id: 'a', record: '', photographs }])).toThrow(Failure);
    },
  );

  it('comes out as it went in', async () => {
    const one = await find('TH-1', ['a']);
    const archive = new Archive(bytesSource(packFinds([one])), 'a.zip', LARGE_ARCHIVE);
    const [back] = findsIn(archive);
    expect(new TextDecoder().decode(back?.record())).toBe(one.record);
    expect(back?.photograph('photographs/1.jpg')).toEqual(BYTES);
    expect(back?.photograph('../TH-1/photographs/1.jpg')).toBeUndefined();
    expect(back?.photograph('none.jpg')).toBeUndefined();
  });
});

describe('an archive of finds', () => {
  it('is identified and compared', async () => {
    await twoFinds();
    const csv = await said(['identify', 'caps', 'finds.zip', '--format', 'ndjson']);
    expect(csv.code).toBe(0);
    expect(
      csv.out
        .trim()
        .split('\n')
        .map((line) => JSON.parse(line).collection),
    ).toEqual(['TH-1', 'TH-2']);
    const both = await said(['compare', 'caps', '--with', 'finds.zip', '--find', 'TH-1', '--find', 'TH-2']);
    expect(both.code).toBe(0);
    expect(both.err).toContain('TH-1 beside 1 other find');
  });

  it('is reported: all of it, or one find', async () => {
    await twoFinds();
    const all = await said(['report', 'finds.zip', '--full', '--format', 'markdown']);
    expect(all.code).toBe(0);
    expect(all.out).toMatch(/# Record of TH-1[\s\S]*\n---\n\n# Record of TH-2/);
    // Nothing that lies in an archive is linked.
    expect(all.out).not.toContain('](');
    const one = await said(['report', 'finds.zip', '--find', 'TH-2', '--full']);
    expect(one.out).toContain('Record of TH-2');
    expect(one.out).not.toContain('TH-1');
    const near = await said(['report', 'finds.zip', '--find', 'TH-3']);
    expect(near.code).toBe(2);
    expect(near.err).toContain('there is no find "TH-3" in finds.zip; did you mean TH-');
  });

  it('is redone, and never written into', async () => {
    await twoFinds();
    const before = readFileSync(join(folder, 'finds.zip'));
    put('keys/caps.key.yaml', KEY.replace('version: 1.0.0', 'version: 1.1.0'));
    const redone = await said(['redo', 'finds.zip', '--key', 'caps', '--format', 'csv']);
    expect(redone.out.trim().split('\n')).toHaveLength(3);
    const written = await said(['redo', 'finds.zip', '--key', 'caps', '--write']);
    expect(written.code).toBe(2);
    expect(written.err).toContain('finds.zip is an archive of finds, to which nothing is added');
    expect(readFileSync(join(folder, 'finds.zip'))).toEqual(before);
  });

  it('is resumed: one find of it, in a record of its own, with its photographs named', async () => {
    await twoFinds();
    const resume = ['run', 'caps', '--resume', 'finds.zip'];
    expect((await said(resume, ['a'])).err).toContain('say with --record FILE');
    expect((await said([...resume, '--record', 'on.yaml'], ['a'])).err).toContain('finds.zip holds 2 finds');
    const on = await said([...resume, '--id', 'TH-2', '--record', 'on.yaml'], ['b']);
    expect(on.code).toBe(0);
    expect(on.err).toContain('Its photographs stay in finds.zip');
    const { collection, determinations } = whole(read('on.yaml')).record;
    expect(collection).toMatchObject({ id: 'TH-2', photographs: [{ file: 'photographs/1.jpg' }] });
    expect(determinations[0]?.answers.map((a) => a.couplet + a.lead)).toEqual(['1b', '2b']);
    const began = await said(
      ['run', 'caps', '--with', 'finds.zip', '--id', 'TH-1', '--record', 'new.yaml'],
      ['a', 'a'],
    );
    expect(began.code).toBe(0);
    expect(whole(read('new.yaml')).record.collection.id).toBe('TH-1');
  });

  it('is kept in the record that was named also when nothing more is answered', async () => {
    await twoFinds();
    const finds = readArchive(readFileSync(join(folder, 'finds.zip')), 'finds.zip');
    const packed = (id: string) => Buffer.from(finds.get(`${id}/${id}.record.yaml`) ?? []).toString('utf8');
    const resume = (id: string, record: string, answers: readonly string[]) =>
      said(['run', 'caps', '--resume', 'finds.zip', '--id', id, '--record', record], answers);
    const finished = await resume('TH-1', 'one.yaml', []);
    expect([finished.code, finished.err]).toEqual([
      0,
      expect.stringContaining('Nothing new was answered; one.yaml holds the record as it is in finds.zip.'),
    ]);
    expect(read('one.yaml')).toBe(packed('TH-1'));
    // What is there already is not written over, and no determination is put in twice.
    const again = await resume('TH-1', 'one.yaml', []);
    expect([again.code, again.err]).toEqual([0, expect.stringContaining('so one.yaml stays as it is.')]);
    expect(read('one.yaml')).toBe(packed('TH-1'));
    const left = await resume('TH-2', 'two.yaml', ['leave']);
    expect([left.code, left.err]).toEqual([0, expect.stringContaining('The record is kept in two.yaml')]);
    expect(read('two.yaml')).toBe(packed('TH-2'));
    expect((await said(['run', 'caps', '--resume', 'two.yaml'], ['b'])).code).toBe(0);
  });

  it('hides no find behind one that is damaged, nor behind files of other names', async () => {
    const [a, b] = [await find('TH-1', ['a']), await find('TH-2', ['a'])];
    put(
      'finds.zip',
      writeArchive([
        ['__MACOSX/TH-1/._TH-1.record.yaml', 'x'],
        ['season/notes.txt', 'x'],
        ['season/TH-1/TH-1.record.yaml', a.record.slice(0, 300)],
        ['season/TH-2/TH-2.record.yaml', b.record],
        ['season/TH-3/TH-3.record.yaml', new Uint8Array([0xff, 0x00])],
      ]),
    );
    const found = await said(['identify', 'caps', 'finds.zip', '--keep-going', '--format', 'ndjson']);
    expect(found.code).toBe(2);
    expect(found.out).toContain('"TH-2"');
    expect(found.err).toContain('finds.zip/season/TH-1/TH-1.record.yaml');
    expect(found.err).toContain('finds.zip/season/TH-3/TH-3.record.yaml');
    const report = await said(['report', 'finds.zip']);
    expect(report.code).toBe(2);
    expect(report.out).toContain('TH-2');
    const redone = await said(['redo', 'finds.zip', '--key', 'caps']);
    expect(redone.code).toBe(2);
    expect(redone.out).toContain('TH-2');
  });

  it('without records, or with names that lead out, is refused', async () => {
    put('notes.zip', writeArchive([['notes.txt', 'x']]));
    expect((await said(['report', 'notes.zip'])).err).toContain('is an archive without a record of a find');
    const { record } = await find('TH-1', ['a']);
    const bytes = Buffer.from(writeArchive([['aa/aa.record.yaml', record]]));
    const astray = Buffer.from(bytes.toString('latin1').replaceAll('aa/aa.record', '../aa.record'), 'latin1');
    put('astray.zip', astray);
    for (const argv of [
      ['report', 'astray.zip'],
      ['identify', 'caps', 'astray.zip'],
      ['redo', 'astray.zip', '--key', 'caps'],
    ]) {
      const { code, err } = await said(argv);
      expect(code).toBe(2);
      expect(err).toContain('leads out of the archive');
    }
  });
});
