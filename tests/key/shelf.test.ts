import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, realpathSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Failure } from '../../src/diagnostic/failure.js';
import { FolderShelf, readKeyText } from '../../src/files/shelf.js';
import { loadChain } from '../../src/key/chain.js';
import { LARGEST_TEXT } from '../../src/key/document.js';

let root: string;
let home: string;
beforeEach(() => {
  root = realpathSync(mkdtempSync(join(tmpdir(), 'keywright-shelf-')));
  home = join(root, 'home');
  mkdirSync(home);
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

const key = (id: string, end = 'taxon: a') =>
  `keywright: 1\nid: ${id}\ntitle: T\nversion: 1\ncouplets:\n  1:\n    - {lead: A, ${end}}\n    - {lead: B, taxon: b}\ntaxa:\n  a: {name: A}\n  b: {name: B}\n`;

/** Writes a file below the root of the test. */
function put(path: string, text: string): void {
  mkdirSync(dirname(join(root, path)), { recursive: true });
  writeFileSync(join(root, path), text);
}
const shelf = (...folders: string[]) => new FolderShelf(home, folders);
const said = (found: ReturnType<FolderShelf['key']>) => (found.ok ? found.file : found.problem);

describe('a chained key', () => {
  it('is found by id beside the key that names it, in the folders given, and in ./keys, in this order', () => {
    put('home/own/main.key.yaml', key('main'));
    mkdirSync(join(root, 'elsewhere'), { recursive: true });
    expect(said(shelf().key('other', 'own/main.key.yaml'))).toBe('there is none in own, keys');
    put('home/keys/third.key.yaml', key('other'));
    expect(said(shelf('../elsewhere').key('other', 'own/main.key.yaml'))).toBe('keys/third.key.yaml');
    put('elsewhere/second.key.yaml', key('other'));
    expect(said(shelf('../elsewhere').key('other', 'own/main.key.yaml'))).toBe(
      join(root, 'elsewhere/second.key.yaml'),
    );
    put('home/own/first.key.yaml', key('other'));
    expect(said(shelf('../elsewhere').key('other', 'own/main.key.yaml'))).toBe('own/first.key.yaml');
  });

  it('is found by a path relative to the folder of the key that names it', () => {
    put('home/own/sub/next.key.yaml', key('next'));
    put('home/own/plain.yaml', key('plain'));
    expect(said(shelf().key('sub/next.key.yaml', 'own/main.key.yaml'))).toBe('own/sub/next.key.yaml');
    expect(said(shelf().key('./sub/../plain.yaml', 'own/main.key.yaml'))).toBe('own/plain.yaml');
    // By id only the keys right in the folder are looked at.
    expect(said(shelf().key('next', 'own/main.key.yaml'))).toBe('there is none in own, keys');
  });

  it('is told apart by the id in its file, whatever the file is called', () => {
    put('home/keys/a.key.yaml', key('"quoted"'));
    put('home/keys/b.key.yaml', `\ufeff# a comment\n${key('commented')}`);
    put('home/keys/c.key.yaml', key('crlf').replaceAll('\n', '\r\n'));
    put('home/keys/named-by-file.key.yaml', 'broken: [');
    for (const [id, file] of [
      ['quoted', 'a'],
      ['commented', 'b'],
      ['crlf', 'c'],
      ['named-by-file', 'named-by-file'],
    ] as const)
      expect(said(shelf().key(id, 'main.key.yaml'))).toBe(`keys/${file}.key.yaml`);
  });

  it('that is missing is answered with the nearest id or file', () => {
    put('home/keys/tarn-rust-spored.key.yaml', key('tarn-rust-spored'));
    expect(shelf().key('tarn-rust-spore', 'main.key.yaml')).toMatchObject({
      ok: false,
      nearest: 'tarn-rust-spored',
    });
    expect(shelf().key('tarn-rust-spored.key.yml.yaml', 'main.key.yaml')).toMatchObject({
      ok: false,
      nearest: 'tarn-rust-spored.key.yaml',
    });
    expect(shelf().key('nothing-like-it', 'main.key.yaml')).toEqual({
      ok: false,
      there: false,
      problem: 'there is none in ., keys',
    });
  });

  it('of an id that two files have is not guessed at', () => {
    put('home/keys/a.key.yaml', key('twin'));
    put('home/keys/b copy.key.yaml', key('twin'));
    const problem =
      'the files keys/a.key.yaml and keys/b copy.key.yaml have the same id, so it is not clear which is meant';
    expect(said(shelf().key('twin', 'main.key.yaml'))).toBe(problem);
    expect(() => shelf().named('twin')).toThrow(`key twin cannot be used: ${problem}`);
    expect(shelf().named('keys/a.key.yaml')).toBe('keys/a.key.yaml');
  });

  it.each([
    '../secret.key.yaml',
    'sub/../../secret.key.yaml',
    './../secret.key.yaml',
    '/etc/passwd',
    '/etc/hosts.yaml',
    '..',
    '../',
  ])('outside its folder is not opened: %s', (reference) => {
    put('secret.key.yaml', key('secret'));
    mkdirSync(join(home, 'sub'));
    const found = shelf().key(reference, 'main.key.yaml');
    expect(found.ok).toBe(false);
    expect(said(found)).toMatch(/lies outside the folder|there is none/);
    expect(shelf().terms(reference, 'main.key.yaml').ok).toBe(false);
  });

  it('is not opened through a link that leads out', () => {
    put('secret.key.yaml', key('secret'));
    put('secrets/deep.key.yaml', key('deep'));
    symlinkSync(join(root, 'secret.key.yaml'), join(home, 'link.key.yaml'));
    symlinkSync(join(root, 'secrets'), join(home, 'way-out'));
    const out = 'it is a link that leads out of its folder';
    expect(said(shelf().key('secret', 'main.key.yaml'))).toBe(out);
    expect(said(shelf().key('link.key.yaml', 'main.key.yaml'))).toBe(out);
    expect(said(shelf().key('way-out/deep.key.yaml', 'main.key.yaml'))).toBe(out);
    expect(said(shelf().terms('link.key.yaml', 'main.key.yaml'))).toBe(out);
    mkdirSync(join(home, 'keys'));
    symlinkSync(join(root, 'secret.key.yaml'), join(home, 'keys/link.key.yaml'));
    expect(() => shelf().named('secret')).toThrow(`key secret cannot be used: ${out}`);
  });

  it('may be a link that stays inside', () => {
    put('home/real/one.key.yaml', key('one'));
    symlinkSync('real/one.key.yaml', join(home, 'here.key.yaml'));
    expect(said(shelf().key('one', 'main.key.yaml'))).toBe('here.key.yaml');
  });

  it('may lie in a folder that is itself reached through a link', () => {
    put('elsewhere/one.key.yaml', key('one'));
    symlinkSync(join(root, 'elsewhere'), join(home, 'keys'));
    expect(said(shelf().key('one', 'main.key.yaml'))).toBe('keys/one.key.yaml');
  });

  it.each([
    '',
    '.',
    'a\0b.yaml',
    'a\0b',
    `${'x'.repeat(5000)}.yaml`,
    'x'.repeat(5000),
    'keys',
    'keys/',
    '\u001b[2J.yaml',
    '*',
    '~/x.yaml',
  ])('cannot be called %j', (reference) => {
    mkdirSync(join(home, 'keys'));
    expect(shelf().key(reference, 'main.key.yaml').ok).toBe(false);
    expect(shelf().terms(reference, 'main.key.yaml').ok).toBe(false);
    expect(() => shelf().named(reference)).toThrow(Failure);
  });

  it('is no folder, no loop of links and no pipe', () => {
    mkdirSync(join(home, 'folder.key.yaml'));
    symlinkSync('loop.key.yaml', join(home, 'loop.key.yaml'));
    // Opening a pipe that nobody writes to would wait for ever.
    if (process.platform !== 'win32') execFileSync('mkfifo', [join(home, 'pipe.key.yaml')]);
    for (const [name, why] of [
      ['folder', 'it is a folder'],
      ['loop', 'its links lead round in a circle'],
      ['pipe', 'it is a device'],
    ] as const) {
      expect(said(shelf().key(name, 'main.key.yaml'))).toBe('there is none in ., keys');
      expect(said(shelf().key(`${name}.key.yaml`, 'main.key.yaml'))).toBe('there is none in ., keys');
      expect(() => shelf().named(`${name}.key.yaml`)).toThrow(`${name}.key.yaml cannot be read: ${why}`);
    }
  });

  it('too large is refused before it is read', () => {
    put('home/large.key.yaml', '');
    writeFileSync(join(home, 'large.key.yaml'), '#'.repeat(LARGEST_TEXT + 1));
    expect(() => readKeyText(join(home, 'large.key.yaml'), 'large.key.yaml')).toThrow(
      'large.key.yaml is 24 MB; 24 MB is the most that a key may have',
    );
    expect(said(shelf().key('large.key.yaml', 'main.key.yaml'))).toContain('is the most that a key may have');
  });
});

describe('a key that a person names', () => {
  it('is a path, wherever it leads, or an id', () => {
    put('elsewhere/one.key.yaml', key('one'));
    put('home/keys/two.key.yaml', key('two'));
    expect(shelf().named('../elsewhere/one.key.yaml')).toBe(join(root, 'elsewhere/one.key.yaml'));
    expect(shelf().named('keys/two.key.yaml')).toBe('keys/two.key.yaml');
    expect(shelf().named('./keys/../keys/two.key.yaml')).toBe('keys/two.key.yaml');
    expect(shelf().named('two')).toBe('keys/two.key.yaml');
    expect(shelf('../elsewhere').named('one')).toBe(join(root, 'elsewhere/one.key.yaml'));
  });

  it('and that is missing is answered with where it was looked for and the nearest id', () => {
    put('home/keys/tarn-wood-tufts.key.yaml', key('tarn-wood-tufts'));
    mkdirSync(join(home, 'more'));
    const failure = (() => {
      try {
        return shelf('more').named('tarn-wood-tuft');
      } catch (error) {
        return error;
      }
    })();
    expect(failure).toBeInstanceOf(Failure);
    expect((failure as Failure).message).toBe(
      'there is no key tarn-wood-tuft: no file of that name, and none of that id in more, keys',
    );
    expect((failure as Failure).hint).toBe('did you mean tarn-wood-tufts?');
  });
});

describe('a chain on the disk', () => {
  it('is loaded through several folders, each key once', () => {
    put('home/main.key.yaml', key('main', 'key: next'));
    put('home/keys/next.key.yaml', key('next', 'key: sub/last.key.yaml').replace('taxon: b', 'key: last'));
    put('home/keys/sub/last.key.yaml', key('last'));
    put('home/keys/last-by-id.key.yaml', key('other'));
    const { chain, findings } = loadChain(readKeyText(join(home, 'main.key.yaml')), 'main.key.yaml', shelf());
    expect(chain).toBeUndefined();
    expect(findings.map((f) => `${f.place.file} ${f.message}`)).toEqual([
      'keys/next.key.yaml lead 1b continues in key "last": there is none in keys',
    ]);
    const fixed = loadChain(readKeyText(join(home, 'main.key.yaml')), 'main.key.yaml', shelf('keys/sub'));
    expect(fixed.findings).toEqual([]);
    expect(fixed.chain?.keys.map((k) => k.file)).toEqual([
      'main.key.yaml',
      'keys/next.key.yaml',
      'keys/sub/last.key.yaml',
    ]);
  });

  it('that comes back to its first key is a circle, not a second key of the same id', () => {
    put('home/keys/one.key.yaml', key('one', 'key: two'));
    put('home/keys/two.key.yaml', key('two', 'key: one'));
    const there = shelf();
    const file = there.named('./keys/one.key.yaml');
    const { findings } = loadChain(readKeyText(join(home, file)), file, there);
    expect(findings.map((f) => f.message)).toEqual(['the leads one/1a → two/1a → one/1 run in a circle']);
  });
});
