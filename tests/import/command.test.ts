/** The command as a person meets it: what it writes where, what it refuses, and how it ends. */
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { emptyShelf, loadKey } from '../../src/key/load.js';
import type { FakeOptions } from '../support/fake-world.js';
import { inProcess } from '../support/in-process.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-import-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const write = (name: string, text: string | Buffer) => writeFileSync(join(folder, name), text);

async function keywright(args: string[], options: FakeOptions = {}) {
  return inProcess(args, { cwd: folder, ...options });
}

const ONE = `KEY TO THE CAPS

1a. Cap red ........ 2
1b. Cap white ...... Aria alba
2a. Stem hollow .... Aria cava
2b. Stem solid ..... Aria plena
`;
const TWO = `${ONE}

KEY TO THE SHELLS

1a. Shell coiled ... Helia tarni
1b. Shell flat ..... Plania tarni
`;

describe('import', () => {
  it('writes one key to stdout and says on stderr what came of it', async () => {
    write('caps.txt', ONE);
    const { code, out, err } = await keywright(['import', 'caps.txt']);
    expect(code).toBe(0);
    expect(loadKey(out, 'caps.key.yaml', emptyShelf).findings).toEqual([]);
    expect(err).toContain('2 couplets, 4 leads, 3 taxa, layout numbered');
  });

  it('takes the text from the standard input', async () => {
    const { code, out } = await keywright(['import', '-', '--id', 'caps'], { stdin: ONE });
    expect(code).toBe(0);
    expect(out).toContain('\nid: caps\n');
  });

  it('does not choose among several keys', async () => {
    write('two.txt', TWO);
    const { code, out, err } = await keywright(['import', 'two.txt']);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(
      '2 keys stand in two.txt: 1 Key to the caps (line 3), 2 Key to the shells (line 11)',
    );
    expect(err).toContain('--pick N');
  });

  it('writes several keys to a folder, each to a file of its own, and replaces none unasked', async () => {
    write('two.txt', TWO);
    expect((await keywright(['import', 'two.txt', '--out', 'made'])).code).toBe(0);
    const names = readdirSync(join(folder, 'made')).sort();
    expect(names).toEqual(['caps.key.yaml', 'shells.key.yaml']);
    for (const name of names)
      expect(loadKey(readFileSync(join(folder, 'made', name), 'utf8'), name, emptyShelf).findings).toEqual(
        [],
      );
    write('made/caps.key.yaml', 'mine');
    const again = await keywright(['import', 'two.txt', '--out', 'made']);
    expect(again.code).toBe(2);
    expect(readFileSync(join(folder, 'made/caps.key.yaml'), 'utf8')).toBe('mine');
    expect((await keywright(['import', 'two.txt', '--out', 'made', '--overwrite'])).code).toBe(0);
    expect(readFileSync(join(folder, 'made/caps.key.yaml'), 'utf8')).toContain('id: caps');
  });

  it('picks one key, or joins all', async () => {
    write('two.txt', TWO);
    expect((await keywright(['import', 'two.txt', '--pick', '2'])).out).toContain('title: Key to the shells');
    expect((await keywright(['import', 'two.txt', '--pick', '3'])).err).toContain('two.txt has only 2 keys');
    const joined = await keywright(['import', 'two.txt', '--as-one']);
    expect(loadKey(joined.out, 'joined.key.yaml', emptyShelf).key?.couplets.size).toBe(4);
  });

  it('ends with 1 when the print has faults, and keeps them', async () => {
    write('fault.txt', ONE.replace('Aria cava', '7'));
    const { code, out, err } = await keywright(['import', 'fault.txt']);
    expect(code).toBe(1);
    expect(err).toMatch(/fault\.txt:5:1.*goes to couplet 7, which is not in this key/);
    expect(out).toContain('# review: printed so; there is no couplet 7\n      to: 7');
  });
});

describe('what is no printed key', () => {
  const cases: [string, string | Buffer, string][] = [
    ['nothing.txt', '', 'is empty'],
    ['blank.txt', ' \n\t\n\f\n', 'is empty'],
    ['picture.png', Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 1, 2, 3, 0, 0, 0, 13]), 'is not plain text'],
    ['steering.txt', '\u001b[2J\u001b]0;x\u0007\u001b[31m1a. Cap red\u001b[0m\n', 'is not plain text'],
    [
      'prose.txt',
      'The tarn lies in a hollow of the fells. Its shores are of peat.\n'.repeat(40),
      'no printed key',
    ],
    ['line.txt', 'word and more words '.repeat(100_000), 'no printed key'],
    ['large.txt', Buffer.alloc(9 * 1024 * 1024, 'a'), '8 MB is the most'],
    ['long.txt', '1.\n'.repeat(200_000), '150000 lines are the most'],
    ['brackets.txt', `1a. ${'('.repeat(50_000)}\n1b. ${'['.repeat(50_000)}\n`, 'no printed key'],
  ];
  it.each(cases)('%s', async (name, text, message) => {
    write(name, text);
    const { code, out, err } = await keywright(['import', name]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(message);
    expect(err).not.toContain('unexpected error');
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may reach the terminal
    expect(err).not.toMatch(/[\u0000-\u0008\u000b-\u001f]/);
  });

  it('a layout that does not fit is named', async () => {
    write('caps.txt', ONE);
    const { code, err } = await keywright(['import', 'caps.txt', '--layout', 'serial']);
    expect(code).toBe(2);
    expect(err).toContain('cannot be read in the layout serial');
  });

  it('control signs in a few places are taken out', async () => {
    write(
      'caps.txt',
      `${ONE.repeat(1).replace('Cap red', 'Cap \u001b[31mred\u202e')}\n${'# '.repeat(200)}\n`,
    );
    const { code, out } = await keywright(['import', 'caps.txt']);
    expect(code).toBe(0);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may reach the file
    expect(out).not.toMatch(/[\u0000-\u0008\u000b-\u001f\u202e]/);
  });

  it('no file is left behind', async () => {
    write('prose.txt', 'The tarn lies in a hollow.\n');
    await keywright(['import', 'prose.txt', '--out', 'made']);
    expect(existsSync(join(folder, 'made'))).toBe(false);
  });
});
