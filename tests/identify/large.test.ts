import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { finds, keywright } from './run.js';

const folder = mkdtempSync(join(tmpdir(), 'keywright-large-'));
const table = join(folder, 'large.csv');
const broken = join(folder, 'broken.csv');
const [header = '', ...rows] = finds.trim().split('\n');
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
  it('is identified as it is from the standard input', () => {
    const args = ['caps.key.yaml', table, '--format', 'csv'];
    const named = keywright(args);
    const piped = keywright(args.with(1, '-'), { input: `${[header, ...large].join('\n')}\n` });
    expect(named.status).toBe(piped.status);
    expect(named.stderr).toBe(piped.stderr.replaceAll('standard input', table));
    expect(named.stdout === piped.stdout).toBe(true);
    expect(named.stdout.length).toBeGreaterThan(1_000_000);
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
});
