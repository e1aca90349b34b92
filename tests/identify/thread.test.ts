import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { finds, keywright } from './run.js';

const folder = mkdtempSync(join(tmpdir(), 'keywright-thread-'));
const table = join(folder, 'large.csv');
const broken = join(folder, 'broken.csv');
const [header = '', ...rows] = finds.trim().split('\n');
/** So large that a second thread cuts it. */
const large = Array.from({ length: 60_000 }, (_, i) => {
  const [first = '', ...rest] = (rows[i % rows.length] ?? '').split(',');
  return [`${first}-${Math.floor(i / rows.length)}`, ...rest].join(',');
});

beforeAll(() => {
  writeFileSync(table, `${[header, ...large].join('\n')}\n`);
  const wrong = large.with(50_000, `"${large[50_000] ?? ''}`);
  writeFileSync(broken, `${[header, ...wrong].join('\n')}\n`);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('a large table', () => {
  it('is identified as it is from the standard input, which one thread reads', () => {
    const args = ['caps.key.yaml', table, '--format', 'csv'];
    const apart = keywright(args);
    const together = keywright(args.with(1, '-'), { input: `${[header, ...large].join('\n')}\n` });
    expect(apart.status).toBe(together.status);
    expect(apart.stderr).toBe(together.stderr.replaceAll('standard input', table));
    expect(apart.stdout === together.stdout).toBe(true);
    expect(apart.stdout.length).toBeGreaterThan(1_000_000);
  });

  it('has its mistakes told with their places', () => {
    const { status, stderr } = keywright(['caps.key.yaml', broken, '--format', 'csv']);
    expect(status).toBe(2);
    expect(stderr).toContain('broken.csv:50002:1');
  });

  it('that is not text is refused in a sentence', () => {
    const bytes = join(folder, 'bytes.csv');
    writeFileSync(bytes, Buffer.alloc(1_000_000, 0));
    const { status, stderr } = keywright(['caps.key.yaml', bytes, '--format', 'csv']);
    expect([status, stderr]).toEqual([2, expect.stringContaining('is not text')]);
    expect(stderr).not.toContain(' at ');
  });

  it('does not keep a program waiting whose key cannot be used', () => {
    const { status, stderr } = keywright(['no-such-key', table]);
    expect([status, stderr]).toEqual([2, expect.stringContaining('no-such-key')]);
  });
});
