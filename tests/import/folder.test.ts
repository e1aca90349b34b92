/** A folder of texts, imported at once. */
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { emptyShelf, loadKey } from '../../src/key/load.js';
import { inProcess } from '../support/in-process.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-shelf-'));
  mkdirSync(join(folder, 'texts'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const write = (name: string, text: string | Buffer) => writeFileSync(join(folder, 'texts', name), text);
const keywright = (...args: string[]) => inProcess(['import', ...args], { cwd: folder });

const CAPS =
  'KEY TO THE CAPS\n\n1a. Cap red ........ 2\n1b. Cap white ...... Aria alba\n2a. Stem hollow .... Aria cava\n2b. Stem solid ..... Aria plena\n';
const SHELLS = '| 1 | Shell coiled | *Helia tarni* |\n|---|---|---|\n| – | Shell flat | *Plania tarni* |\n';
const FAULTY =
  'KEY TO THE LEAVES\n\n1a. Leaves long .... 2\n1b. Leaves short ... Folia brevis\n2a. Edge red ....... 9\n2b. Edge green ..... Folia viridis\n';

describe('import of a folder', () => {
  it('writes each key to a file and says in a table what came of it', async () => {
    write('caps.txt', CAPS);
    write('shells.md', SHELLS);
    write('picture.png', Buffer.from([0x89, 0x50, 0, 1]));
    const { code, out, err } = await keywright('texts', '--out', 'keys');
    expect(code).toBe(0);
    expect(out).toBe(
      'file       key     couplets  ends  doubtful  faults\ncaps.txt   caps           2     4         0       0\nshells.md  shells         1     2         0       0\n',
    );
    expect(err).toContain('left alone, for they are no texts: picture.png');
    expect(err).toContain('2 texts, 2 keys written to keys; 0 to review, 0 failed');
    for (const name of ['caps', 'shells']) {
      const text = readFileSync(join(folder, 'keys', `${name}.key.yaml`), 'utf8');
      expect(loadKey(text, `${name}.key.yaml`, emptyShelf).findings).toEqual([]);
    }
  });

  it('ends with 1 when a key needs review', async () => {
    write('caps.txt', CAPS);
    write('leaves.txt', FAULTY);
    const { code, out, err } = await keywright('texts', '--out', 'keys');
    expect(code).toBe(1);
    expect(out).toMatch(/^leaves\.txt +leaves +2 +3 of 4 +1 +1 +to review$/m);
    expect(err).toContain('1 to review, 0 failed');
  });

  it('goes on behind a text that cannot be read, and ends with 2', async () => {
    write('a.txt', Buffer.from([0, 1, 2, 3, 0, 0, 0, 5]));
    write('b.txt', 'No key stands here.\n');
    write('c.xml', '<article><front></article>');
    write('d.txt', CAPS);
    const { code, out, err } = await keywright('texts', '--out', 'keys');
    expect(code).toBe(2);
    expect(out.split('\n').filter((l) => l.endsWith('failed')).length).toBe(3);
    expect(err).toContain('a.txt is not plain text');
    expect(err).toContain('b.txt: no key was found in it');
    expect(readdirSync(join(folder, 'keys'))).toEqual(['caps.key.yaml']);
  });

  it('replaces nothing unasked, and gives two keys of one title two ids', async () => {
    write('caps.txt', CAPS);
    write('more.txt', CAPS.replace('red', 'blue'));
    expect((await keywright('texts', '--out', 'keys')).code).toBe(0);
    expect(readdirSync(join(folder, 'keys'))).toEqual(['caps.key.yaml', 'more.key.yaml']);
    writeFileSync(join(folder, 'keys', 'caps.key.yaml'), 'mine\n');
    const again = await keywright('texts', '--out', 'keys');
    expect(again.code).toBe(2);
    expect(again.err).toContain('keys/caps.key.yaml is there already');
    expect(readFileSync(join(folder, 'keys', 'caps.key.yaml'), 'utf8')).toBe('mine\n');
    expect((await keywright('texts', '--out', 'keys', '--overwrite')).code).toBe(0);
    expect(readFileSync(join(folder, 'keys', 'caps.key.yaml'), 'utf8')).toContain('id: caps');
  });

  it.each([
    [[], '--out'],
    [['--out', 'keys', '--id', 'x'], '--id is for one text'],
    [['--out', 'keys', '--title', 'x'], '--title is for one text'],
    [['--out', 'keys', '--pick', '1'], '--pick is for one text'],
  ])('does not take %j', async (args, said) => {
    write('caps.txt', CAPS);
    const { code, err } = await keywright('texts', ...args);
    expect(code).toBe(2);
    expect(err).toContain(said);
    expect(existsSync(join(folder, 'keys'))).toBe(false);
  });

  it('says so when a folder holds no text', async () => {
    const { code, err } = await keywright('texts', '--out', 'keys');
    expect([code, err.includes('holds no text that is read')]).toEqual([2, true]);
  });
});
