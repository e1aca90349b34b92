import { describe, expect, it } from 'vitest';
import { emptyShelf, loadKey } from '../../src/key/load.js';
import { lintKey } from '../../src/lint/lint.js';
import { filesIn, inFolder, keywright, read, withKeyFolder, write } from '../support/key-folder.js';
import { OTHER } from '../support/pebbles.js';
import { KEY, Pty } from '../support/terminal.js';

withKeyFolder();

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
    expect(filesIn('keys')).toEqual(['old.key.yaml']);
  });

  it('says which line of the answers will not do, and writes nothing', async () => {
    for (const [stdin, text] of [
      ['', 'Title of the key: a key needs a title, and the answers ran out'],
      ['\n', 'line 1 of the answers (Title of the key): a key needs a title'],
      ['T\n\nnowhere\n', 'line 3 of the answers (Regions): "nowhere" is not a region code'],
      ['T\n\n\nring\n', 'line 4 of the answers (Characters): the character ring needs two states'],
      ['T\n\n\n\n\nCC-BY-9\n', 'line 6 of the answers (Licence): "CC-BY-9" is not on the SPDX licence list'],
      ['T\n\n\n\nRing present\n', 'Second lead: a lead needs its contrast, and the answers ran out'],
    ] as const) {
      const { code, err } = await keywright(['new'], { stdin });
      expect([code, err]).toEqual([2, expect.stringContaining(text)]);
    }
    expect(filesIn('keys')).toEqual([]);
    for (const [args, text] of [
      [['new', 'My Key', '--title', 'x'], 'not "My Key" (my-key would do)'],
      [['new', 'x.yaml', '--title', 'x'], 'a key file is called NAME.key.yaml'],
      [['new', 'x', '--title', 'x', '--lead', 'one'], '--lead is given twice'],
      [['new', '--title', '!!!'], 'no file name can be made from this title'],
      [['new', 'keys', '--title', 'x'], 'keys is a folder'],
    ] as const) {
      const { code, err } = await keywright([...args]);
      expect([code, err]).toEqual([2, expect.stringContaining(text)]);
    }
  });

  it('asks at a terminal, again where an answer will not do', async () => {
    const pty = new Pty(['new'], { columns: 80, rows: 24, cwd: inFolder() });
    try {
      await pty.shows('Title of the key:');
      pty.type(KEY.enter);
      await pty.shows('a key needs a title');
      await pty.press(`Pebbles${KEY.enter}`, 'Group:');
      await pty.press(`pebbles${KEY.enter}`, 'Regions:');
      await pty.press(`xx${KEY.enter}`, 'is not a region code');
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
    const pty = new Pty(['new'], { columns: 80, rows: 24, cwd: inFolder() });
    try {
      await pty.shows('Title of the key:');
      pty.type(KEY.c);
      expect(await pty.exit).toBe(130);
      expect(filesIn('keys')).toEqual([]);
    } finally {
      pty.end();
    }
  });
});
