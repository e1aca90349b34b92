import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { Readable } from 'node:stream';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { readArchive, writeArchive } from '../../src/archive/archive.js';
import { action as compare } from '../../src/commands/compare/command.js';
import { type IdentifyOptions, action as identify } from '../../src/commands/identify/command.js';
import { action as test } from '../../src/commands/test/command.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { beginRun } from '../../src/files/run-files.js';
import { CLEARING } from '../support/clearing.js';
import { fakeWorld } from '../support/fake-world.js';
import { acted } from '../support/in-process.js';
import { programBytes } from '../support/program.js';

vi.setConfig({ testTimeout: 30_000 });

const KEY = resolve('keys/tarn-wood-tufts.key.yaml');
const SEASON = { csv: resolve('examples/season-2026.csv'), yaml: resolve('examples/season-2026.yaml') };
let folder = '';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'kw-dwc-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const at = (name: string) => join(folder, name);

/** Runs identify in this process. */
async function run(tables: readonly string[], options: Partial<IdentifyOptions>, terminal = false) {
  beginRun();
  const flags = { format: 'ndjson', slips: 1, ...options } as const;
  return acted(identify, [KEY, ...tables], flags, { cwd: folder, terminal });
}

/** Runs the program. */
const keywright = (args: readonly string[], input: string | Buffer = '') =>
  programBytes(args, { cwd: folder, input });

describe('identify --format dwc', () => {
  it('writes an archive from which the results are the same', async () => {
    for (const [form, table] of Object.entries(SEASON)) {
      const out = `${form}.zip`;
      const { code, out: said, err } = await run([table], { format: 'dwc', out });
      expect(said).toBe('');
      expect(code).toBe(0);
      expect(err).toMatch(/^48 collections with tarn-wood-tufts .*leave it/s);
      const [before, after] = [await run([table], {}), await run([out], {})];
      expect(after.code).toBe(0);
      expect(after.out).toBe(before.out);
      expect(before.out.split('\n').length).toBe(49);
    }
  });

  it('writes the same bytes each time, and leaves nothing else behind', async () => {
    await run([SEASON.csv], { format: 'dwc', out: 'sub/once.zip' });
    await run([SEASON.csv], { format: 'dwc', out: 'sub/again.zip' });
    expect(readFileSync(at('sub/once.zip')).equals(readFileSync(at('sub/again.zip')))).toBe(true);
    expect(readdirSync(at('sub')).sort()).toEqual(['again.zip', 'once.zip']);
  });

  it('never clears a find', async () => {
    await run([SEASON.yaml], { format: 'dwc', out: 'words.zip' });
    for (const [name, bytes] of readArchive(readFileSync(at('words.zip')), 'words.zip'))
      expect(Buffer.from(bytes).toString(), name).not.toMatch(CLEARING);
  });

  it('writes to a pipe, and reads from one', async () => {
    const piped = keywright(['identify', KEY, SEASON.csv, '--format', 'dwc']);
    expect(piped.status).toBe(0);
    const back = keywright(['identify', KEY, '-', '--format', 'csv'], piped.stdout);
    expect(back.status).toBe(0);
    expect(back.stdout.toString()).toBe((await run([SEASON.csv], { format: 'csv' })).out);
  });

  it('does not write an archive to a terminal', async () => {
    await expect(run([SEASON.csv], { format: 'dwc' }, true)).rejects.toThrow(
      '--format dwc writes a zip archive, which a terminal cannot show: name its file with --out FILE.zip',
    );
    await expect(run([SEASON.csv], { format: 'csv', out: 'a.csv' })).rejects.toThrow(
      '--out is for the archive of --format dwc; csv goes to stdout, and > FILE puts it into a file',
    );
    await expect(run([SEASON.csv], { format: 'dwc', out: 'a.zip', full: true })).rejects.toThrow(
      '--full does not fit into dwc: take table, yaml or ndjson',
    );
  });

  it('replaces files only when it is told to, and never what it reads', async () => {
    await run([SEASON.csv], { format: 'dwc', out: 'mine.zip' });
    await expect(run([SEASON.yaml], { format: 'dwc', out: 'mine.zip' })).rejects.toThrow(
      'mine.zip is there already; it is left as it is',
    );
    await expect(run(['mine.zip'], { format: 'dwc', out: 'mine.zip', overwrite: true })).rejects.toThrow(
      /is read by this very command/,
    );
    writeFileSync(at('other.zip'), writeArchive([['meta.xml', '<archive/>']]));
    await run([SEASON.csv], { format: 'dwc', out: 'other.zip', overwrite: true });
    expect((await run(['other.zip'], {})).code).toBe(0);
    await expect(run([SEASON.csv], { format: 'dwc', out: folder })).rejects.toThrow(/is not a file/);
  });

  it('writes no archive of a table with a mistake, unless it is told to keep going', async () => {
    writeFileSync(at('wrong.csv'), 'id,spore-print\nTH-1,rsut\nTH-2,rust\n');
    const stopped = await run(['wrong.csv'], { format: 'dwc', out: 'wrong.zip' });
    expect(stopped.code).toBe(2);
    expect(stopped.err).toMatch(
      /wrong\.csv:2:6 .*did you mean rust\?.*no archive was written; --keep-going/s,
    );
    expect(readdirSync(folder).filter((n) => n.includes('wrong.zip'))).toEqual([]);
    const kept = await run(['wrong.csv'], { format: 'dwc', out: 'wrong.zip', keepGoing: true });
    expect(kept.code).toBe(1);
    const files = readArchive(readFileSync(at('wrong.zip')), 'wrong.zip');
    expect(
      Buffer.from(files.get('occurrence.txt') ?? [])
        .toString()
        .split('\n').length,
    ).toBe(4);
  });
});

describe('an archive as a table', () => {
  it('is refused with a sentence when it is broken, and not taken for text', async () => {
    const whole = readFileSync(at('csv.zip'));
    writeFileSync(at('cut.zip'), whole.subarray(0, 3000));
    writeFileSync(at('plain.zip'), 'id,spore-print\nTH-1,rust\n');
    const mangled = Buffer.from(whole);
    let seen = mangled.indexOf('measurementorfact.txt');
    while (mangled.readUInt32LE(seen - 30) !== 0x04034b50)
      seen = mangled.indexOf('measurementorfact.txt', seen + 1);
    mangled.fill(7, seen + 100, seen + 200);
    writeFileSync(at('mangled.zip'), mangled);
    const broken: [string, RegExp, Partial<IdentifyOptions>?][] = [
      ['cut.zip', /^cut\.zip cannot be read as a zip archive: its end is missing or damaged$/],
      ['plain.zip', /^plain\.zip cannot be read as a zip archive/],
      ['mangled.zip', /^mangled\.zip is damaged at "measurementorfact\.txt": /],
      ['csv.zip', /^csv\.zip is not text/, { from: 'csv' }],
      [SEASON.csv, /season-2026\.csv cannot be read as a zip archive/, { from: 'dwc' }],
      ['none.zip', /^none\.zip cannot be read: there is no such file$/],
    ];
    for (const [table, said, options] of broken) {
      const refused = run([table], options ?? {});
      await expect(refused, table).rejects.toThrow(said);
      await expect(refused).rejects.toBeInstanceOf(Failure);
    }
    const { status, stderr, stdout } = keywright(['identify', KEY, 'cut.zip']);
    expect(stderr.toString()).toMatch(/^keywright: cut\.zip cannot be read as a zip archive/);
    expect([status, stdout.length]).toEqual([2, 0]);
  });

  it('goes through several keys as the table that it was made of', async () => {
    const told = async (table: string) => {
      const world = fakeWorld({ cwd: folder });
      const keys = [KEY, resolve('keys/tarn-rust-spored.key.yaml')];
      const code = await compare(keys, { with: table, format: 'ndjson' }, world);
      return [code, world.said.out(), world.said.err()];
    };
    const before = await told(SEASON.yaml);
    expect(await told('yaml.zip')).toEqual(before);
    expect(String(before[1]).split('\n').length).toBe(49);
  });

  it('tests a key as the specimens that it was made of', async () => {
    const specimens = `id,spore-print,ring,expect
TH-1,rust,present,galerina-marginata
TH-2,white,absent,mycena-inclinata
`;
    writeFileSync(at('known.csv'), specimens);
    await run(['known.csv'], { format: 'dwc', out: 'known.zip' });
    const told = async (table: string) => {
      const world = fakeWorld({ cwd: folder });
      const code = await test([KEY, table], { format: 'ndjson' }, world);
      return [code, world.said.out().replaceAll(/known\.(csv|zip)/g, 'known')];
    };
    expect(await told('known.zip')).toEqual(await told('known.csv'));
  });

  it('gives the find that a keying starts from', () => {
    const { stdout, status } = keywright(['run', KEY, '--with', 'csv.zip', '--id', 'TH-2026-005'], '');
    expect(stdout.toString()).toMatch(/TH-2026-005/);
    expect(stdout.toString()).toMatch(/Galerina marginata/);
    expect(status).toBe(0);
  });

  it('may come in pieces of any size', async () => {
    const bytes = readFileSync(at('csv.zip'));
    for (const size of [1, 3, 1000]) {
      const world = fakeWorld({ cwd: folder });
      const pieces = Array.from({ length: Math.ceil(bytes.length / size) }, (_, i) =>
        bytes.subarray(i * size, (i + 1) * size),
      );
      const stdin = Readable.from(pieces);
      const code = await identify([KEY, '-'], { format: 'csv', slips: 1 }, { ...world, stdin });
      expect(code).toBe(0);
      expect(world.said.out().split('\n').length).toBe(50);
    }
  });
});
