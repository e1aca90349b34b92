import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { writeAtomically, writeNew } from '../../src/files/atomic-write.js';

/** What the file system refuses from now on, by the name of the operation. */
const refused = vi.hoisted(() => new Map<string, string>());

vi.mock('node:fs', async (original) => {
  const fs = await original<typeof import('node:fs')>();
  const refusing =
    <A extends unknown[], R>(syscall: string, work: (...args: A) => R) =>
    (...args: A): R => {
      const code = refused.get(syscall);
      if (code === undefined) return work(...args);
      throw Object.assign(new Error(`${code}: refused, ${syscall}`), { code, syscall });
    };
  return {
    ...fs,
    linkSync: refusing('link', fs.linkSync),
    writeSync: refusing('write', fs.writeSync as (...args: unknown[]) => number),
    fsyncSync: refusing('fsync', fs.fsyncSync),
    renameSync: refusing('rename', fs.renameSync),
  };
});

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-whole-'));
});
afterEach(() => {
  refused.clear();
  rmSync(folder, { recursive: true, force: true });
});
const at = (name: string) => join(folder, name);

describe('a file that is written whole', () => {
  it.each(['EPERM', 'ENOTSUP', 'ENOSYS', 'EMLINK'])(
    'is made new where the file system has no links (%s), and never takes the place of another',
    (code) => {
      refused.set('link', code);
      writeNew(at('a'), 'first');
      expect(() => writeNew(at('a'), 'second', 'a')).toThrow('a is there already; it is left as it is');
      expect([readFileSync(at('a'), 'utf8'), readdirSync(folder)]).toEqual(['first', ['a']]);
    },
  );

  it.each([
    ['write', 'ENOSPC', 'the disk is full'],
    ['fsync', 'EIO', 'the disk or the device fails'],
    ['rename', 'EPERM', 'the system does not allow it'],
  ])('leaves nothing behind when %s fails (%s)', (syscall, code, words) => {
    writeFileSync(at('old'), 'old');
    refused.set(syscall, code);
    if (syscall === 'rename') refused.set('link', 'EPERM');
    expect(() => writeAtomically(at('old'), 'new', 'old')).toThrow(`old cannot be written: ${words}`);
    expect(() => writeNew(at('deep/down/new'), 'new', 'new')).toThrow(`new cannot be written: ${words}`);
    expect([readdirSync(folder), readFileSync(at('old'), 'utf8')]).toEqual([['old'], 'old']);
  });

  it('takes away what a killed keywright left, and nothing else', () => {
    const { pid: gone } = spawnSync(process.execPath, ['-e', '0']);
    const host = hostname()
      .replace(/[^A-Za-z0-9.]+/g, '_')
      .slice(0, 64);
    const left = `.keywright-${gone}-${host}-0.part`;
    const kept = [
      // Of a process that runs, of another machine, of other programs, of a person.
      `.keywright-${process.ppid}-${host}-0.part`,
      `.keywright-${gone}-elsewhere.example-0.part`,
      `.keywright-${gone}-${host}-0.part.bak`,
      `key.${gone}.part`,
      'mine.part',
    ];
    mkdirSync(at('f'));
    for (const name of [left, ...kept]) writeFileSync(at(`f/${name}`), '');
    writeAtomically(at('f/a'), 'a');
    expect(readdirSync(at('f')).sort()).toEqual([...kept, 'a'].sort());
  });

  it('may have the longest name that there can be', () => {
    const name = 'x'.repeat(255);
    writeNew(at(name), 'a');
    writeAtomically(at(name), 'b');
    expect(readFileSync(at(name), 'utf8')).toBe('b');
  });
});
