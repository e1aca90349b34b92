import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { Failure } from '../../src/diagnostic/failure.js';
import { Utf8Reader, utf8Text } from '../../src/diagnostic/utf8.js';
import { main } from '../../src/main.js';
import { inputLines } from '../../src/terminal/lines.js';
import { fakeWorld } from '../support/fake-world.js';

const folder = mkdtempSync(join(tmpdir(), 'keywright-encoding-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const KEY = `keywright: 1
id: caps
title: Clé des chapeaux
version: 1.0.0
language: fr
taxa:
  aa: {name: Aa}
  bb: {name: Bb}
couplets:
  1:
    - {lead: Cap red, taxon: aa}
    - {lead: Cap blue, taxon: bb}
`;

const latin = (text: string): Buffer => Buffer.from(text, 'latin1');
const put = (name: string, bytes: Uint8Array | string): void => writeFileSync(join(folder, name), bytes);
const held = (name: string): Buffer => readFileSync(join(folder, name));

beforeEach(() => {
  rmSync(join(folder, 'keys'), { recursive: true, force: true });
  mkdirSync(join(folder, 'keys'));
  put('caps.key.yaml', KEY);
  put('old.key.yaml', latin(KEY));
  put('finds.yaml', 'keywright-collections: 1\ncollections:\n  - {id: TH-1, leads: {1: a}}\n');
});

async function said(args: readonly string[], stdin?: Uint8Array) {
  const world = fakeWorld({ cwd: folder });
  const input = new PassThrough();
  input.end(stdin);
  const code = await main(args, { ...world, stdin: input });
  return { code, all: world.said.out() + world.said.err() };
}

describe('what is not text in UTF-8', () => {
  const WHERE = /is not text in UTF-8: in line 3, column 10 stands the byte E9, which is é in Windows-1252/;

  it.each([
    ['lint', 'old.key.yaml'],
    ['lint', 'old.key.yaml', '--fix'],
    ['lint', '.'],
    ['print', 'old.key.yaml', '--write'],
    ['show', 'old.key.yaml'],
    ['diff', 'caps.key.yaml', 'old.key.yaml'],
    ['draft', 'old.key.yaml'],
    ['identify', 'old.key.yaml', 'finds.yaml'],
    ['trim', 'caps.key.yaml', '--to', 'old.key.yaml'],
    ['identify', 'caps.key.yaml', 'old.key.yaml'],
    ['report', 'old.key.yaml'],
    ['redo', 'old.key.yaml', '--key', 'caps.key.yaml', '--write'],
    ['run', 'caps.key.yaml', '--resume', 'old.key.yaml'],
    ['run', 'caps.key.yaml', '--with', 'old.key.yaml'],
    ['lint', 'caps.key.yaml', '--baseline', 'old.key.yaml'],
    ['bundle', 'old.key.yaml', '--out', 'old.keywright.zip'],
  ])('is refused with its place by %s %s %s %s, and stays as it is', async (...args) => {
    const { code, all } = await said(args);
    expect(all).toMatch(WHERE);
    expect(code).toBe(2);
    expect(held('old.key.yaml')).toEqual(latin(KEY));
  });

  it.each([
    ['lint', '-'],
    ['trim', 'caps.key.yaml', '--to', '-'],
    ['draft', '-'],
    ['identify', 'caps.key.yaml', '-'],
    ['run', 'caps.key.yaml'],
  ])('is refused from stdin by %s %s', async (...args) => {
    const { code, all } = await said(args, latin(KEY));
    expect(all).toMatch(WHERE);
    expect(code).toBe(2);
  });

  it('is refused in settings and in what a key uses', async () => {
    put('.keywright.yaml', latin('rules:\n  # é\n'));
    const settings = await said(['lint', 'caps.key.yaml']);
    rmSync(join(folder, '.keywright.yaml'));
    expect(settings.all).toMatch(/.keywright.yaml is not text in UTF-8: in line 2, column 5/);
    expect(settings.code).toBe(2);
    put('terms.yaml', latin('# é\n'));
    put('uses.key.yaml', KEY.replace('taxa:', 'uses: [terms.yaml]\ntaxa:'));
    const terms = await said(['lint', 'uses.key.yaml']);
    expect(terms.all).toMatch(/terms.yaml is not text in UTF-8: in line 1, column 3/);
    expect(terms.code).not.toBe(0);
  });

  it('is named when it can be told: UTF-16 with and without its mark, and a text that was cut', () => {
    const why = (bytes: Uint8Array): string => {
      try {
        return utf8Text(bytes, 'x');
      } catch (error) {
        if (!(error instanceof Failure)) throw error;
        return error.message + (error.hint ?? '');
      }
    };
    expect(why(Buffer.from('\ufeffid: x', 'utf16le'))).toMatch(/^x is text in UTF-16.*iconv -f UTF-16 /);
    expect(why(Buffer.from('id: x', 'utf16le'))).toMatch(/^x is not text in UTF-8; it may be UTF-16/);
    expect(why(latin('a\r\nb\x81'.padEnd(9)))).toMatch(/line 2, column 2 stands the byte 81save it/);
    expect(why(Buffer.from('né').subarray(0, 2))).toMatch(/ends in line 1, column 2 in the middle/);
    // Neither a letter outside the first plane, nor one that stands for a lost letter, moves the place.
    expect(why(Buffer.concat([Buffer.from('\ufffd𝄞\ufffd'), latin('\xe9 ')]))).toMatch(/line 1, column 5 /);
  });

  it('has its place also when it comes in pieces, wherever they are cut', () => {
    const whole = Buffer.concat([Buffer.from('ab\ncé𝄞\n€'), latin('\xfc.')]);
    for (let cut = 0; cut <= whole.length; cut++) {
      const reader = new Utf8Reader('x');
      expect(() => {
        reader.read(whole.subarray(0, cut));
        reader.read(whole.subarray(cut));
        reader.end();
      }).toThrow(/line 3, column 2 stands the byte FC, which is ü/);
    }
  });
});

describe('what is text in UTF-8', () => {
  it('may begin with a byte order mark', async () => {
    put('caps.key.yaml', `\ufeff${KEY}`);
    const { code } = await said(['identify', 'caps.key.yaml', 'finds.yaml']);
    expect(code).toBe(0);
  });

  it('comes line by line as it is typed, however its letters are cut', async () => {
    const stdin = new PassThrough();
    const lines = inputLines(stdin);
    stdin.write(Buffer.from('a\n'));
    expect((await lines.next()).value).toBe('a');
    stdin.write(Buffer.from([0xc3]));
    stdin.end(Buffer.from([0xa9, 0x0a]));
    expect((await lines.next()).value).toBe('é');
    expect((await lines.next()).done).toBe(true);
  });
});
