import { beforeEach, describe, expect, it } from 'vitest';
import { beach, filesIn, keywright, read, withKeyFolder, write } from '../support/key-folder.js';
import { OTHER, PEBBLES } from '../support/pebbles.js';

withKeyFolder();

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
      'keys/third.key.yaml:6 continues in pebbles at couplet 7, which is couplet 4 now: change it there',
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
    expect(filesIn()).toEqual(['keys', 'mine.txt', 'p.html']);
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
