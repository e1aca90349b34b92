/** What `page` writes, where, and what it refuses. */
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
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { program } from '../support/program.js';

const key = (id: string, more = '') => `keywright: 1
id: ${id}
title: Caps <of> the hollow
version: 1.0.0
scope: {group: caps, regions: [GB-CMA]}
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: deadly, source: from memory}}
  bb: {name: Bb bb, concern: {level: unknown}}
${more}`;

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-page-'));
  mkdirSync(join(folder, 'mine'));
  writeFileSync(join(folder, 'mine/one.key.yaml'), key('one'));
  writeFileSync(join(folder, 'mine/two.key.yaml'), key('two'));
  writeFileSync(join(folder, 'bad.key.yaml'), key('bad').replace('taxon: aa', 'to: 7'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const page = (...args: string[]) => {
  const { status, stderr } = program(['page', ...args], { cwd: folder });
  return { status, said: stderr.replace(/\s+/g, ' ') };
};

describe('keywright page', () => {
  it('names the page after the key, and leaves a file that is there', () => {
    expect(page('mine/one.key.yaml')).toMatchObject({ status: 0 });
    expect(existsSync(join(folder, 'one-1.0.0.html'))).toBe(true);
    const again = page('mine/one.key.yaml');
    expect([again.status, again.said]).toEqual([2, expect.stringContaining('is there already')]);
    expect(page('mine/one.key.yaml', '--overwrite').status).toBe(0);
  });

  it('never writes over the key', () => {
    const before = readFileSync(join(folder, 'mine/one.key.yaml'), 'utf8');
    const { status, said } = page('mine/one.key.yaml', '--out', 'mine/one.key.yaml', '--overwrite');
    expect([status, said]).toEqual([2, expect.stringContaining('is read by this very command')]);
    expect(readFileSync(join(folder, 'mine/one.key.yaml'), 'utf8')).toBe(before);
  });

  it('makes a page of each key of a folder, and one that names them', () => {
    expect(page('mine', '--out', 'site').status).toBe(0);
    expect(readdirSync(join(folder, 'site')).sort()).toEqual([
      'index.html',
      'one-1.0.0.html',
      'two-1.0.0.html',
    ]);
    const index = readFileSync(join(folder, 'site/index.html'), 'utf8');
    expect(index).toContain('<a href="one-1.0.0.html">Caps &lt;of&gt; the hollow</a>');
    expect(index).toContain("default-src 'none'");
    expect(index).not.toContain('<script');
  });

  it('wants a folder for several keys', () => {
    const { status, said } = page('mine/one.key.yaml', 'mine/two.key.yaml');
    expect([status, said]).toEqual([2, expect.stringContaining('--out FOLDER')]);
  });

  it('refuses a key with errors, and makes the others', () => {
    const { status, said } = page('bad.key.yaml', 'mine/two.key.yaml', '--out', 'some');
    expect([status, said]).toEqual([1, expect.stringContaining('no page is made of bad.key.yaml')]);
    expect(readdirSync(join(folder, 'some')).sort()).toEqual(['index.html', 'two-1.0.0.html']);
  });

  it('refuses a key with stand-ins, or with what was imported and not reviewed', () => {
    const doubtful = key('unsure').replace(/^( {2})1:$/m, '$1# lines 3-4: doubtful\n$&');
    writeFileSync(join(folder, 'unsure.key.yaml'), doubtful);
    const refused = page('unsure.key.yaml');
    expect(refused.status).toBe(1);
    expect(refused.said).toContain('unsure.key.yaml:7:3 couplet 1 is doubtful');
    expect(refused.said).toContain('keywright import unsure.key.yaml --review');
    writeFileSync(join(folder, 'unsure.key.yaml'), doubtful.replace(': doubtful', ': reviewed'));
    expect(page('unsure.key.yaml').status).toBe(0);
    writeFileSync(join(folder, 'fresh.key.yaml'), key('fresh').replace('GB-CMA', 'ZZ'));
    const fresh = page('fresh.key.yaml');
    expect([fresh.status, fresh.said]).toEqual([1, expect.stringContaining('[stand-ins-replaced]')]);
  });

  it('wants to know how many kilobytes pictures may have as a number', () => {
    const { status, said } = page('mine/one.key.yaml', '--pictures', 'many', '--out', 'p.html');
    expect([status, said]).toEqual([2, expect.stringContaining('expected how many kilobytes')]);
  });
});
