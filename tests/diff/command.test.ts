import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { FakeOptions } from '../support/fake-world.js';
import { inProcess } from '../support/in-process.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-diff-'));
  mkdirSync(join(folder, 'keys'));
  for (const name of ['tarn-wood-tufts.key.yaml', 'tarn-rust-spored.key.yaml', 'tarn-fungi.terms.yaml'])
    cpSync(join('keys', name), join(folder, 'keys', name));
  cpSync('keys/figures', join(folder, 'keys/figures'), { recursive: true });
  cpSync('examples/season-2026.yaml', join(folder, 'season.yaml'));
  cpSync('examples/season-2026.csv', join(folder, 'season.csv'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const read = (name: string) => readFileSync(join(folder, name), 'utf8');
const write = (name: string, text: string) => writeFileSync(join(folder, name), text);

async function diff(args: string[], options: FakeOptions = {}) {
  return inProcess(['diff', 'tarn-wood-tufts', ...args], { cwd: folder, ...options });
}

/** The shipped key with another boundary in couplet 2. */
function changed(): void {
  const text = read('keys/tarn-wood-tufts.key.yaml');
  const other = text
    .replace('"< 4 cm"', '"< 3 cm"')
    .replace('">= 4 cm"', '">= 3 cm"')
    .replace('0.4.0', '0.5.0');
  write('keys/new.key.yaml', other.replace('id: tarn-wood-tufts', 'id: new'));
}

describe('keywright diff', () => {
  it('the same key, numbered anew: 0 and one sentence', async () => {
    write('new.key.yaml', read('keys/tarn-wood-tufts.key.yaml').replace(/\b(10|11)\b(?=:|$)/gm, '2$1'));
    const { code, out, err } = await diff(['new.key.yaml', '--with', 'season.yaml']);
    expect([code, err]).toEqual([0, '']);
    expect(out).toMatch(/All 48 finds of season\.yaml come out as before\./);
  });

  it('a moved boundary: 1, the find, and those of the table', async () => {
    changed();
    const { code, out } = await diff(['keys/new.key.yaml', '--with', 'season.csv']);
    expect(code).toBe(1);
    expect(out).toMatch(/width of the cap 3\.5 cm: was\s+Panellus stipticus, now Pleurotus ostreatus/);
    expect(out).toMatch(/\n2 of 48 finds of season\.csv come out otherwise:\n {2}TH-2026-027: /);
    expect(Math.max(...out.split('\n').map((l) => l.length))).toBeLessThanOrEqual(80);
    const json = JSON.parse(
      (await diff(['keys/new.key.yaml', '--format', 'json', '--with', 'season.csv'])).out,
    );
    expect([json.changed, json.table.changed.length]).toEqual([true, 2]);
    const page = await diff(['keys/new.key.yaml', '--format', 'markdown', '--words']);
    expect(page.out).toMatch(/^# tarn-wood-tufts 0\.4\.0/);
  });

  it('leads that a person took are followed to their new numbers', async () => {
    const bare = (text: string) => text.replace(/ {6}when: \{cap-width: "[<>=]+ 4 cm"\}\n/g, '');
    const old = bare(read('keys/tarn-wood-tufts.key.yaml'));
    write('keys/tarn-wood-tufts.key.yaml', old);
    write('new.key.yaml', old.replace('\n  2:', '\n  20:').replace('to: 2\n', 'to: 20\n'));
    write(
      'f.yaml',
      'keywright-collections: 1\ncollections:\n  - {id: A, traits: {stem-position: lateral}, leads: {2: b}}\n',
    );
    const { code, out } = await diff(['new.key.yaml', '--with', 'f.yaml']);
    expect([code, out]).toEqual([0, expect.stringMatching(/All 1 find of f\.yaml come out as before/)]);
  });

  it('mistakes of a table and of a key: 2', async () => {
    changed();
    write('bad.csv', 'id,spore-print\nA,whitte\n');
    const table = await diff(['keys/new.key.yaml', '--with', 'bad.csv']);
    expect([table.code, table.out]).toEqual([2, '']);
    expect(table.err).toMatch(/bad\.csv:2:3 .*"whitte".*\n.*so nothing was compared/);
    write('broken.key.yaml', 'keywright: 1\n');
    expect((await diff(['broken.key.yaml'])).code).toBe(2);
    expect((await diff(['nowhere.key.yaml'])).code).toBe(2);
    write('empty.csv', '');
    expect((await diff(['keys/new.key.yaml', '--with', 'empty.csv'])).err).not.toMatch(
      /keywright-diff-|at Object/,
    );
  });
});
