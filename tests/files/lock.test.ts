import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { lockFile } from '../../src/files/lock.js';
import { readRecord } from '../../src/record/read.js';
import { piped, workFolder } from '../run/lines.js';
import { started } from '../support/program.js';

// Many processes at once take their time on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

let folder: string;
let remove: () => void;
beforeEach(() => {
  ({ folder, remove } = workFolder());
});
afterEach(() => remove());

const at = (name: string) => join(folder, name);
const CAPS = 'hollow-caps.key.yaml';
const LOCK = '.rec.yaml.lock';

function determinations(name = 'rec.yaml') {
  const read = readRecord(readFileSync(at(name), 'utf8'), name);
  if (!read.ok) throw new Error(read.problem);
  return read.record.determinations;
}

/** The number of a process that has ended. */
const ended = () => spawnSync(process.execPath, ['-e', '0']).pid;

/** Starts many at once; resolves to the code and the words of each. */
function together(calls: readonly { args: readonly string[]; input?: string }[]) {
  return Promise.all(
    calls.map(
      ({ args, input = '' }) =>
        new Promise<{ code: number | null; err: string }>((resolve) => {
          const child = started(args, folder);
          let err = '';
          child.stderr.setEncoding('utf8').on('data', (t: string) => {
            err += t;
          });
          child.stdout.resume();
          child.on('close', (code) => resolve({ code, err }));
          child.stdin.end(input);
        }),
    ),
  );
}

describe('many at once on one record', () => {
  it('redo --write keeps every determination that it says it added', async () => {
    expect(piped(folder, [CAPS, '--record', 'rec.yaml', '--id', 'TH-1'], ['a', 'b', 'a']).status).toBe(0);
    const caps = readFileSync(at(CAPS), 'utf8');
    const versions = [0, 1, 2, 3, 4, 5, 6, 7].map((n) => `2.${n}.0`);
    for (const v of versions)
      writeFileSync(at(`v${v}.key.yaml`), caps.replace('version: 1.2.0', `version: ${v}`));
    const said = await together(
      versions.map((v) => ({ args: ['redo', 'rec.yaml', '--key', `v${v}.key.yaml`, '--write'] })),
    );
    expect(said.map((s) => s.code)).toEqual(versions.map(() => 0));
    for (const { err } of said) expect(err.replace(/\s+/g, ' ')).toContain('1 determination was added');
    expect(
      determinations()
        .map((d) => d.key.version)
        .sort(),
    ).toEqual(['1.2.0', ...versions]);
    expect(readdirSync(folder).filter((n) => n.startsWith('.'))).toEqual([]);
  });

  it('redo --write with one and the same key adds one', async () => {
    expect(piped(folder, [CAPS, '--record', 'rec.yaml', '--id', 'TH-1'], ['a', 'b', 'a']).status).toBe(0);
    writeFileSync(
      at('v.key.yaml'),
      readFileSync(at(CAPS), 'utf8').replace('version: 1.2.0', 'version: 2.0.0'),
    );
    const call = { args: ['redo', 'rec.yaml', '--key', 'v.key.yaml', '--write'] };
    const said = await together([call, call, call, call]);
    const added = said.filter(({ err }) => err.replace(/\s+/g, ' ').includes('1 determination was added'));
    expect([added.length, determinations().length]).toEqual([1, 2]);
  });

  it('run --record keeps all, also where the first finds the lock of one that was killed', async () => {
    writeFileSync(at(LOCK), JSON.stringify({ pid: ended(), host: hostname(), since: '2026-01-01' }));
    const names = ['A', 'B', 'C', 'D', 'E', 'F'];
    const said = await together(
      names.map((by) => ({
        args: ['run', CAPS, '--record', 'rec.yaml', '--id', 'TH-1', '--by', by],
        input: 'a\nb\na\n',
      })),
    );
    // Whoever would have to wait too long is told so, and loses nothing.
    for (const { code, err } of said)
      if (code !== 0) expect([code, err]).toEqual([2, expect.stringContaining('is in use by another')]);
    const kept = names.filter((_, i) => said[i]?.code === 0);
    expect(kept.length).toBeGreaterThan(1);
    expect(
      determinations()
        .map((d) => d.by)
        .sort(),
    ).toEqual(kept);
    expect(determinations().every((d) => d.status === 'finished' && d.answers.length === 3)).toBe(true);
    expect(readdirSync(folder).filter((n) => n.startsWith('.'))).toEqual([]);
  });
});

describe('a lock', () => {
  it('keeps others off until it is let go, and says who has it', () => {
    const lock = lockFile(at('rec.yaml'), 'rec.yaml');
    expect(() => lockFile(at('rec.yaml'), 'rec.yaml', 0)).toThrow(
      `rec.yaml is in use by another keywright (process ${process.pid} on ${hostname()}, since `,
    );
    lock.release();
    lockFile(at('rec.yaml'), 'rec.yaml', 0).release();
    expect(readdirSync(folder)).not.toContain(LOCK);
  });

  it.each([
    ['whose process is gone', () => ({ pid: ended(), host: hostname() })],
    // Numbers of processes are given again.
    ['whose process was another of that number', () => ({ pid: process.pid, host: hostname(), began: '1' })],
  ])('%s is taken over', (_, holder) => {
    writeFileSync(at(LOCK), JSON.stringify(holder()));
    lockFile(at('rec.yaml'), 'rec.yaml', 0).release();
    expect(readdirSync(folder).filter((n) => n.startsWith('.'))).toEqual([]);
  });

  it('of another machine is not, however old', () => {
    writeFileSync(at(LOCK), JSON.stringify({ pid: ended(), host: 'elsewhere.example', since: '2020-01-01' }));
    expect(() => lockFile(at('rec.yaml'), 'rec.yaml', 0)).toThrow(/on elsewhere\.example, since 2020-01-01/);
    expect(readdirSync(folder)).toContain(LOCK);
  });

  it('that says nothing is taken over when it is old', () => {
    writeFileSync(at(LOCK), '');
    expect(() => lockFile(at('rec.yaml'), 'rec.yaml', 0)).toThrow('is in use');
    utimesSync(at(LOCK), 0, 0);
    lockFile(at('rec.yaml'), 'rec.yaml', 0).release();
  });

  it('that another has taken meanwhile is not taken away on leaving', () => {
    const lock = lockFile(at('rec.yaml'), 'rec.yaml');
    writeFileSync(at(LOCK), 'of another');
    lock.release();
    expect(readFileSync(at(LOCK), 'utf8')).toBe('of another');
  });

  it('needs no longer name than there can be, and leaves no folder behind', () => {
    const outside = mkdtempSync(join(tmpdir(), 'keywright-lock-'));
    lockFile(join(outside, 'new', 'x'.repeat(255)), 'x').release();
    expect(readdirSync(outside)).toEqual([]);
    rmSync(outside, { recursive: true });
  });
});
