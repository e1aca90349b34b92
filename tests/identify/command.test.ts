import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { displayWidth } from '../../src/text/wrap.js';
import { started } from '../support/program.js';
import { finds, folder, identify, keywright, objects } from './run.js';

const unwrapped = (text: string) => text.replace(/\s+/g, ' ');

let work: string;
beforeAll(() => {
  work = mkdtempSync(join(tmpdir(), 'keywright-identify-'));
});
afterAll(() => rmSync(work, { recursive: true, force: true }));

/** A file of its own for a test. */
function file(name: string, content: string | Uint8Array): string {
  const path = join(work, name);
  writeFileSync(path, content);
  return path;
}

describe('identify', () => {
  it('shows a table, the summary and the cautions', () => {
    const { status, stdout, stderr } = keywright(['caps.key.yaml', 'finds.csv'], {
      env: { KEYWRIGHT_POISON_CENTRE: '0123 456' },
    });
    expect(status).toBe(0);
    expect(stdout).toMatch(/^collection {2}verdict/);
    const text = unwrapped(stdout);
    expect(text).toContain('call the poison centre at once, 0123 456');
    expect(text).toContain('Some species are protected: check your local rules before you pick.');
    expect(text).toContain('TH-3: DE-BY lies outside the regions of caps (GB-CMA)');
    expect(stdout).not.toMatch(/\b(safe|edible|eatable)\b/i);
    expect(unwrapped(stderr)).toBe(
      '5 collections with caps 1.10: 3 down to one taxon, 2 with several still possible and 0 that fit nothing; 5 to leave. ',
    );
    expect(stdout + stderr).not.toContain('\x1b');
  });

  it('keeps stdout for the results and tells the cautions on stderr in the forms for programs', () => {
    const { stdout, stderr } = keywright(['caps.key.yaml', 'finds.csv', '--format', 'csv']);
    expect(stdout.split('\n')).toHaveLength(7);
    expect(unwrapped(stderr)).toContain('Any doubt: leave it');
    expect(unwrapped(stderr)).toContain('call the poison centre at once');
  });

  it('reads the standard input, told by how it begins or by --from', () => {
    const expected = objects(keywright(['caps.key.yaml', 'finds.csv', '--format', 'ndjson']).stdout);
    const args = ['caps.key.yaml', '-', '--format', 'ndjson'];
    expect(objects(keywright(args, { input: finds }).stdout)).toEqual(expected);
    expect(objects(keywright([...args, '--from', 'csv'], { input: `\ufeff${finds}` }).stdout)).toEqual(
      expected,
    );
    const tabs = finds.replaceAll(',', '\t').replaceAll('\n', '\r\n');
    expect(objects(keywright(args, { input: tabs }).stdout)).toEqual(expected);
  });

  it('reads several tables one after the other', async () => {
    const more = file('more.ndjson', '{"id": "M-1", "traits": {"print": "rust"}}\n');
    const { out } = await identify('', {}, { tables: ['finds.csv', more] });
    expect(objects(out).map((o) => o.collection)).toEqual(['TH-1', 'TH-2', 'TH-3', 'TH-4', 'TH-5', 'M-1']);
    const again = await identify('', {}, { tables: ['finds.csv', 'finds.csv'] });
    expect(again.code).toBe(2);
    expect(again.err).toContain(
      'finds.csv:2:1 error: collection "TH-1" stands in line 2 already; the rows of one collection must follow each other [id-unique]',
    );
  });

  it('names more or fewer near taxa by --slips, and grave harm one slip away always', async () => {
    const results = async (slips: number) => objects((await identify(finds, { slips })).out);
    const near = async (slips: number) => (await results(slips)).map((o) => (o.near as unknown[]).length);
    expect(await near(0)).toEqual([0, 0, 0, 0, 0]);
    expect((await near(2))[0]).toBeGreaterThan((await near(1))[0] ?? 0);
    expect(JSON.stringify((await results(0))[1]?.warnings)).toContain('harmful-near');
  });

  it('ends with 1 under --strict when a collection is not down to one taxon', async () => {
    expect((await identify(finds, { strict: true })).code).toBe(1);
    const one = 'id,print,ring-texture\nA,rust,membranous\n';
    expect((await identify(one, { strict: true })).code).toBe(0);
  });

  it('has nothing to say of a table without rows', async () => {
    const { code, err } = await identify('id,print\n');
    expect([code, err]).toEqual([0, 'No collections to identify with caps 1.10.\n']);
  });
});

describe('--find', () => {
  it('shows the one find on a screen: verdict, what is possible, what to look at', async () => {
    const { out, code } = await identify(finds, { format: 'table', find: ['TH-2'] });
    expect(code).toBe(0);
    expect(out).toMatch(
      /^Verdict: Leave it\. a: nobody looked at [^:]*\nTH-2, keyed with caps 1\.10: Tufta mutabilis\n/,
    );
    expect(out).toContain(
      'One wrong look away\n  Galerina funebris (deadly): look again at texture of the ring',
    );
    expect(out).not.toContain('TH-1');
    expect(out.trimEnd().split('\n').length).toBeLessThanOrEqual(20);
  });

  it('takes several, and does not mind mistakes in the others', async () => {
    const wrong = 'id,print\nA,rust\nB,rsut\nC,white\n';
    const { out, code } = await identify(wrong, { find: ['C', 'A'] });
    expect([code, objects(out).map((o) => o.collection)]).toEqual([0, ['A', 'C']]);
  });

  it('names the nearest to one that is not there, with exit code 2', async () => {
    const { err, code } = await identify(finds, { find: ['TH-22'] });
    expect(code).toBe(2);
    expect(err).toContain('keywright: there is no find "TH-22" in what was read; did you mean TH-2?');
  });
});

describe('a mistake in a table', () => {
  const wrong = 'id,print,width\nA,rust,3\nB,rsut,x\nC,rust,3\nD,white,\nE,wihte,\n';

  it('ends the results before it; all mistakes are told and the exit code is 2', async () => {
    const { code: status, out: stdout, err: stderr } = await identify(wrong);
    expect(status).toBe(2);
    expect(objects(stdout).map((o) => o.collection)).toEqual(['A']);
    expect(stderr.split('\n').filter((l) => l.includes(' error: '))).toEqual([
      'standard input:3:3 error: print of "B": "rsut" is not a state of print; did you mean rust? [state-known]',
      expect.stringContaining('standard input:3:8 error: width of "B": "x" is not a number'),
      'standard input:6:3 error: print of "E": "wihte" is not a state of print; did you mean white? [state-known]',
    ]);
    expect(stderr).toMatch(
      /keywright: 3 errors in what was to be identified: the results end before the first of them; --keep-going reports such collections among the results\n$/,
    );
  });

  it('is reported among the results with --keep-going, and the exit code is 1', async () => {
    const { code: status, out: stdout, err: stderr } = await identify(wrong, { keepGoing: true });
    expect(status).toBe(1);
    const all = objects(stdout);
    expect(all.map((o) => o.collection)).toEqual(['A', 'B', 'C', 'D', 'E']);
    expect(all[1]).toEqual({
      collection: 'B',
      key: 'caps',
      version: '1.10',
      name: null,
      qualifier: null,
      candidates: [],
      near: [],
      further: [],
      openSpecimens: [],
      verdict: { word: 'not cleared', worst: 'unknown', settled: false },
      warnings: [
        {
          kind: 'error',
          message: 'line 3, column 3: print of "B": "rsut" is not a state of print; did you mean rust?',
        },
        {
          kind: 'error',
          message: expect.stringContaining('line 3, column 8: width of "B": "x" is not a number'),
        },
      ],
    });
    expect(stderr).toContain('2 that could not be read');
    const { out: table } = await identify(wrong, { keepGoing: true, format: 'table' });
    expect(unwrapped(table)).toContain('line 3, column 3: print of "B": "rsut" is not a state');
  });

  it('in the names of the columns hits, with --keep-going, the rows that say something there', async () => {
    const input = 'id,print,colour\nA,rust,red\nB,rust,\n';
    const strict = await identify(input, { strictColumns: true });
    expect([strict.code, strict.out]).toEqual([2, '']);
    const { code, out, err } = await identify(input, { keepGoing: true, strictColumns: true });
    expect(code).toBe(1);
    expect(objects(out).map((o) => (o.candidates as unknown[]).length)).toEqual([0, 2]);
    expect(err).toContain('standard input:1:10 error: column 3, "colour", is neither a character of caps');
  });

  it('is told fifty times at most', async () => {
    const input = `id,print\n${Array.from({ length: 5000 }, (_, i) => `A${i},rsut\n`).join('')}`;
    const { code, err } = await identify(input, { format: 'csv' });
    expect(code).toBe(2);
    expect(err.split('\n').filter((l) => l.includes(' error: '))).toHaveLength(50);
    expect(err).toContain('reading stopped there');
  });

  it.each([
    ['nothing.csv', undefined, 'keywright: nothing.csv cannot be read: there is no such file\n'],
    ['.', undefined, 'keywright: . cannot be read: it is a folder\n'],
    [
      'wide.csv',
      Buffer.concat([Buffer.from('\ufeffid,print\n', 'utf16le'), Buffer.from([0x41])]),
      'keywright: wide.csv is not text in UTF-16LE\n',
    ],
    [
      'junk.csv',
      Buffer.from([1, 0, 2, 3, 255, 0]),
      'keywright: junk.csv is not text: it holds bytes that no text has, the first in line 1, column 2\n',
    ],
    [
      'latin.csv',
      Buffer.from('id,note\nA,K\xfchner\n', 'latin1'),
      'keywright: latin.csv is not text in UTF-8: in line 2, column 4 stands the byte FC, which is ü in Windows-1252\nhint: save it as UTF-8 in the program that wrote it, or convert it: iconv -f WINDOWS-1252 -t UTF-8 OLD > NEW\n',
    ],
    [
      'cut.csv',
      Buffer.from([0x69, 0x64, 0x0a, 0xc3]),
      'keywright: cut.csv is not text in UTF-8: it ends in line 2, column 1 in the middle of a letter\nhint: save it as UTF-8 in the program that wrote it\n',
    ],
    [
      'empty.csv',
      '',
      'empty.csv:1:1 error: the table is empty; its first line must name the columns [table-header]\n',
    ],
  ])('that makes all of %s unreadable is told', (name, content, message) => {
    if (content !== undefined) file(name, content);
    file('caps.key.yaml', readFileSync(join(folder, 'caps.key.yaml')));
    const { status, stdout, stderr } = keywright(['caps.key.yaml', name, '--format', 'csv'], { cwd: work });
    expect([status, stdout.split('\n').length <= 2]).toEqual([2, true]);
    expect(stderr).toContain(message);
  });

  it('is never seen in letters that are cut by the pieces of a file', () => {
    const rows = Array.from({ length: 3000 }, (_, i) => `ü菌😀${i},rust,membranous\n`).join('');
    const path = file('letters.csv', `id,print,ring-texture\n${rows}`);
    const { status, stdout } = keywright(['caps.key.yaml', path, '--format', 'csv']);
    expect(status).toBe(0);
    expect(stdout.match(/^ü菌😀\d+,/gm)).toHaveLength(3000);
  });

  it('of the command line is told: no table, an unknown form, the standard input twice', () => {
    expect(keywright(['caps.key.yaml']).stderr).toContain('TABLE is missing');
    expect(keywright(['caps.key.yaml', 'finds.csv', '--format', 'jason']).stderr).toContain(
      "--format takes table, csv, yaml, ndjson or dwc, not 'jason'",
    );
    const twice = keywright(['caps.key.yaml', '-', '-']);
    expect([twice.status, twice.stderr]).toEqual([
      2,
      'keywright identify: the standard input (-) can be named once only; see `keywright identify --help`\n',
    ]);
    expect(keywright(['no-such-key', 'finds.csv']).status).toBe(2);
  });
});

describe('the table for people', () => {
  it.each([60, 80, 100, 200, 30])('fits %i columns', async (columns) => {
    const { out } = await identify(finds, { format: 'table' }, { columns });
    for (const line of out.split('\n'))
      expect(displayWidth(line)).toBeLessThanOrEqual(Math.min(columns, 100));
    for (const id of ['TH-1', 'TH-2', 'TH-3', 'TH-4', 'TH-5']) expect(out).toContain(id);
    expect(out.match(/\b(leave it|not cleared)\b/g)?.length).toBeGreaterThanOrEqual(5);
  });

  it('says the worst first, what to check, and what one wrong look hides', async () => {
    const { out } = await identify(finds, { format: 'table' }, { columns: 100 });
    expect(out.split('\n').slice(0, 12).join('\n')).toMatchInlineSnapshot(`
      "collection  verdict      possible, the worst first                 look at
      TH-1        leave it     Galerina funebris: deadly
      TH-2        leave it     Tufta mutabilis: no harm recorded         ring-texture (else Galerina
                               at worst: Plana parva: upset; 1 more      funebris, deadly)
      TH-3        leave it     cf. Plana magna: upset                    couplet 3 by eye
      TH-4        leave it     Plana parva: upset                        width; couplet 3 by eye; print
                               Plana magna: upset                        (else Galerina funebris, deadly)
                               Plana communis: no harm recorded
      TH-5        leave it     Galerina funebris: deadly                 print; ring; ring-texture; spots;
                               Plana parva: upset                        2 more
                               Plana magna: upset
                               Tufta mutabilis: no harm recorded"
    `);
  });

  it('fits wide and joined letters', async () => {
    const table =
      'id,print\n菌類の採集番号百二十三番目,rust\n👩‍🔬👩‍🔬👩‍🔬👩‍🔬👩‍🔬👩‍🔬,rust\ne\u0301e\u0301e\u0301,rust\n';
    const { out } = await identify(table, { format: 'table', from: 'csv' }, { columns: 80 });
    for (const line of out.split('\n')) expect(displayWidth(line)).toBeLessThanOrEqual(80);
  });
});

describe('a reader that has had enough', () => {
  it('ends the work early, quietly and with 0', async () => {
    const rows = Array.from({ length: 200_000 }, (_, i) => `A${i},rust,membranous\n`).join('');
    const path = file('many.csv', `id,print,ring-texture\n${rows}`);
    const began = Date.now();
    const child = started(['identify', 'caps.key.yaml', path, '--format', 'ndjson'], folder);
    let err = '';
    child.stderr.on('data', (chunk: Buffer) => {
      err += chunk.toString();
    });
    child.stdout.once('data', () => child.stdout.destroy());
    const code = await new Promise((resolve) => child.on('close', resolve));
    expect([code, err]).toEqual([0, '']);
    expect(Date.now() - began).toBeLessThan(10_000);
  });
});

describe('the fixture', () => {
  it('is the table that is read', () => {
    expect(readFileSync(join(folder, 'finds.csv'), 'utf8')).toBe(finds);
  });
});
