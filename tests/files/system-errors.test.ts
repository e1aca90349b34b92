import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { constants, tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Failure } from '../../src/diagnostic/failure.js';
import { isSystemError, systemFailure } from '../../src/diagnostic/system-error.js';
import { main } from '../../src/main.js';
import { fakeWorld } from '../support/fake-world.js';
import { bin } from '../support/program.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-errors-'));
  for (const name of ['keys', 'examples']) cpSync(join(root, name), join(folder, name), { recursive: true });
  writeFileSync(join(folder, 'file'), 'text');
  mkdirSync(join(folder, 'dir.yaml'));
  symlinkSync('b.yaml', join(folder, 'a.yaml'));
  symlinkSync('a.yaml', join(folder, 'b.yaml'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const KEY = 'tarn-wood-tufts';
const TABLE = 'examples/season-2026.csv';
const RECORD = 'examples/TH-2026-018.record.yaml';
const LIST = 'examples/lower-plantation.txt';

/** Every place of the command line that a path can come from; PATH stands for it. */
const PLACES: readonly (readonly string[])[] = [
  ...['show', 'run', 'lint', 'print', 'draw', 'sheet', 'bundle'].map((c) => [c, 'PATH']),
  ['identify', 'PATH', TABLE],
  ['test', 'PATH', TABLE],
  ['trim', 'PATH', '--to', LIST],
  ['compare', 'PATH', KEY, '--with', TABLE],
  ['diff', 'PATH', KEY],
  ['diff', KEY, 'PATH'],
  ['identify', KEY, 'PATH'],
  ['identify', KEY, 'PATH', '--from', 'dwc'],
  ['identify', KEY, TABLE, '--format', 'dwc', '--out', 'PATH', '--overwrite'],
  ['test', KEY, 'PATH'],
  ['compare', KEY, '--with', 'PATH'],
  ['diff', KEY, KEY, '--with', 'PATH'],
  ['run', KEY, '--with', 'PATH'],
  ['run', KEY, '--record', 'PATH'],
  ['run', KEY, '--resume', 'PATH'],
  ['redo', 'PATH', '--key', KEY],
  ['redo', 'PATH', '--key', KEY, '--write'],
  ['redo', RECORD, '--key', 'PATH'],
  ['report', 'PATH'],
  ['report', RECORD, '--out', 'PATH', '--overwrite'],
  ['import', 'PATH'],
  ['import', 'examples/printed-ducks.txt', '--out', 'PATH/below'],
  ['draft', 'PATH'],
  ['draft', 'examples/hollow-boletes.csv', '--characters', 'PATH'],
  ['trim', KEY, '--to', 'PATH'],
  ['trim', KEY, '--to', LIST, '--out', 'PATH', '--overwrite'],
  ['trim', KEY, '--to', LIST, '--report', 'PATH', '--overwrite'],
  ...['print', 'draw', 'sheet', 'lint', 'bundle'].map((c) => [c, KEY, '--out', 'PATH', '--overwrite']),
  ['lint', KEY, '--baseline', 'PATH'],
  ['lint', KEY, '--baseline', 'PATH', '--update-baseline'],
  ['show', KEY, '--keys', 'PATH'],
  ['new', 'PATH/below/x.key.yaml', '--title', 'X'],
];

const PATHS = [
  [
    'a path below a file',
    'file/x.yaml',
    /part of its path is not a folder|not a folder|there is no such folder/,
  ],
  ['a name that is too long', `${'x'.repeat(300)}.yaml`, /its name is too long|there is no such folder/],
  ['links in a circle', 'a.yaml', /its links lead round in a circle/],
  ['a folder', 'dir.yaml', /is a folder|is not a file|is not a file, so|holds no key/],
] as const;

describe.each(PATHS)('%s', (_, path, words) => {
  it.each(PLACES.filter((p) => !(path === 'dir.yaml' && /--keys|below/.test(p.join(' ')))))(
    'is said in words: %s %s %s %s %s',
    async (...args) => {
      const world = fakeWorld({ cwd: folder });
      // What is no Failure is thrown here, and would be told as a bug.
      const code = await main(
        args.filter((a) => a !== undefined).map((a) => a.replace('PATH', path)),
        world,
      );
      const err = world.said.err();
      expect(code).toBe(2);
      expect(err.replace(/\s+/g, ' ')).toMatch(words);
      expect(err).toContain(path.split('/')[0]?.slice(0, 20));
      expect(err).not.toMatch(/\bE[A-Z]{4,}\b/);
    },
  );
});

describe('an error of the system', () => {
  it('has words, whichever it is', () => {
    const files =
      'EACCES EAGAIN EBADF EBUSY EDQUOT EEXIST EFBIG EINVAL EIO EISDIR ELOOP EMFILE ENAMETOOLONG ENFILE ENOENT ENOMEM ENOSPC ENOTDIR EPERM EROFS ESTALE ETIMEDOUT';
    for (const code of [...files.split(' '), ...Object.keys(constants.errno)]) {
      const error = Object.assign(new Error(`${code}: some words of the system, open '/x/y'`), {
        code,
        syscall: 'open',
      });
      expect(isSystemError(error)).toBe(true);
      const { message } = systemFailure(error, 'x.yaml');
      expect(message).toMatch(/^x\.yaml cannot be read: [a-z][a-z, ]+$/);
      if (files.split(' ').includes(code)) expect(message).not.toContain('some words of the system');
    }
  });

  it('is none where a bug is one', () => {
    const bug = new TypeError('x is not a function');
    expect(() => systemFailure(bug, 'x')).toThrow(bug);
    const failure = new Failure('said already');
    expect(systemFailure(failure, 'x')).toBe(failure);
  });

  it.each([
    ['lint', ['lint', '-']],
    ['identify', ['identify', KEY, '-']],
    ['trim', ['trim', KEY, '--to', '-']],
    ['import', ['import', '-']],
    ['draft', ['draft', '-']],
    ['run', ['run', KEY]],
  ])('on the standard input of %s is said in words', async (_, args) => {
    const error = Object.assign(new Error('EISDIR: illegal operation on a directory, read'), {
      code: 'EISDIR',
      syscall: 'read',
    });
    const stdin = new Readable({
      read() {
        this.destroy(error);
      },
    });
    const world = fakeWorld({ cwd: folder });
    expect(await main(args, { ...world, stdin })).toBe(2);
    expect(world.said.err()).toMatch(/(the standard input|stdin) cannot be read: it is a folder/);
  });

  it('in the folder one is in is said in words', () => {
    const gone = mkdtempSync(join(tmpdir(), 'keywright-gone-'));
    const { status, stderr } = spawnSync(
      'sh',
      ['-c', `cd ${gone} && rmdir ${gone} && exec "$0" "$1" show x`, process.execPath, bin],
      { encoding: 'utf8' },
    );
    expect([status, stderr]).toEqual([
      2,
      expect.stringContaining('keywright: the folder you are in no longer exists\nhint: '),
    ]);
  });

  it('is no bug of the program when too many files are open', () => {
    const { status, stderr } = spawnSync(
      'sh',
      ['-c', `ulimit -n 21 && exec "$0" "$1" show keys/${KEY}.key.yaml`, process.execPath, bin],
      { cwd: folder, encoding: 'utf8' },
    );
    expect(status).toBe(2);
    expect(stderr).toMatch(/too many (open files|files are open)/);
    expect(stderr).not.toContain('unexpected error');
  });
});
