import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { main } from '../../src/main.js';
import { CLEARING } from '../support/clearing.js';
import { type FakeOptions, fakeWorld } from '../support/fake-world.js';
import { inProcess } from '../support/in-process.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-trim-'));
  mkdirSync(join(folder, 'keys'));
  for (const name of ['tarn-wood-tufts.key.yaml', 'tarn-rust-spored.key.yaml', 'tarn-fungi.terms.yaml'])
    cpSync(join('keys', name), join(folder, 'keys', name));
  cpSync('keys/figures', join(folder, 'keys/figures'), { recursive: true });
  cpSync('examples/lower-plantation.txt', join(folder, 'list.txt'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

async function trim(args: string[], options: FakeOptions = {}) {
  return inProcess(['trim', 'tarn-wood-tufts', ...args], { cwd: folder, ...options });
}

const read = (name: string) => readFileSync(join(folder, name), 'utf8');

describe('keywright trim', () => {
  it('writes the key to stdout and what it did to stderr', async () => {
    const { code, out, err } = await trim(['--to', 'list.txt']);
    expect(code).toBe(0);
    expect(out).toMatch(/^# yaml-language-server/);
    expect(out).toContain('id: tarn-wood-tufts-list\n');
    expect(err).toMatch(/Galerina marginata \(deadly\): recorded as looking like Kuehneromyces\s+mutabilis/);
    expect(err).toMatch(/Panellus stipticus would key out as Pleurotus ostreatus/);
    expect(err).toMatch(/"Galerina marginatta"; did you mean Galerina marginata\?/);
    expect(Math.max(...err.split('\n').map((l) => l.length))).toBeLessThanOrEqual(80);
    expect(err).not.toMatch(CLEARING);
  });

  it('writes files, replaces them only when it is told to, and names what is not found from there', async () => {
    const args = ['--to', 'list.txt', '--out', 'mine.key.yaml', '--report', 'mine.json', '--id', 'mine'];
    const first = await trim(args);
    expect([first.code, first.out]).toEqual([0, '']);
    expect(read('mine.key.yaml')).toMatch(/^id: mine$/m);
    const report = JSON.parse(read('mine.json'));
    expect(report.harmfulKept.map((t: { id: string }) => t.id)).toContain('galerina-marginata');
    writeFileSync(join(folder, 'mine.key.yaml'), 'mine alone');
    const refused = await trim(args);
    expect([refused.code, read('mine.key.yaml')]).toEqual([2, 'mine alone']);
    expect((await trim([...args, '--overwrite'])).code).toBe(0);
    const itself = await trim(['--to', 'list.txt', '-o', 'keys/tarn-wood-tufts.key.yaml', '--overwrite']);
    expect(itself.err).toMatch(/is read by this very command/);
  });

  it('says which shared terms are not found where the trimmed key is put', async () => {
    const text = read('keys/tarn-wood-tufts.key.yaml');
    mkdirSync(join(folder, 'other'));
    for (const name of ['tarn-wood-tufts.key.yaml', 'tarn-rust-spored.key.yaml', 'tarn-fungi.terms.yaml'])
      cpSync(join('keys', name), join(folder, 'other', name));
    rmSync(join(folder, 'keys'), { recursive: true });
    writeFileSync(join(folder, 'other', 'tarn-wood-tufts.key.yaml'), text);
    const world = fakeWorld({ cwd: folder });
    const args = ['trim', 'other/tarn-wood-tufts.key.yaml', '--to', 'list.txt', '-o', 'mine.key.yaml'];
    expect(await main(args, world)).toBe(0);
    expect(world.said.err()).toMatch(/from mine\.key\.yaml, terms file "tarn-fungi\.terms\.yaml"/);
  });

  it('takes the list from the standard input', async () => {
    const { code, out } = await trim(['--to', '-'], { stdin: 'Mycena\nPanellus\n' });
    expect(code).toBe(0);
    expect(out).toContain('to the list from the standard input');
  });

  it.each([
    ['an empty list', '\n# nothing\n', [], 2, /list\.txt holds no names/],
    [
      'no name that is known',
      'Mycena inclinatta\n',
      [],
      2,
      /no name .* is known .*\nhint: line 1: .*Mycena inclinata/,
    ],
    ['one end', 'Panellus stipticus\n', ['--drop-harmful'], 2, /only one end .*\(Panellus stipticus\)/],
    ['a strange name', 'Mycena\nPanellus\nRubus\n', ['--strict'], 1, /line 3: "Rubus"/],
    ['no --to', 'x', ['no'], 2, /too many|--to is missing/],
  ])('%s', async (_, list, flags, code, said) => {
    writeFileSync(join(folder, 'list.txt'), list);
    const done = await trim(flags[0] === 'no' ? [] : ['--to', 'list.txt', ...flags]);
    expect(done.code).toBe(code);
    expect(done.err).toMatch(said);
  });

  it('does not trim a key with errors', async () => {
    writeFileSync(
      join(folder, 'keys', 'tarn-wood-tufts.key.yaml'),
      `${read('keys/tarn-wood-tufts.key.yaml')}x: 1\n`,
    );
    const { code, err } = await trim(['--to', 'list.txt']);
    expect(code).toBe(2);
    expect(err).toMatch(/cannot be trimmed: 1 error must be fixed first/);
  });
});
