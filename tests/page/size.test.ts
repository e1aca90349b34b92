/** How large a page is before its pictures. */
import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { program } from '../support/program.js';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-size-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the page of a key with 100 couplets', () => {
  it('has at most 150 KB before pictures', async () => {
    const { generateKey } = (await import('../bench/generate.mjs' as string)) as {
      generateKey(options: object): { readonly text: string };
    };
    writeFileSync(join(folder, 'k.key.yaml'), generateKey({ couplets: 100, seed: 5 }).text);
    const { status, stderr } = program(['page', 'k.key.yaml', '--out', 'k.html'], { cwd: folder });
    expect([status, stderr]).toEqual([0, expect.stringContaining('written')]);
    expect(statSync(join(folder, 'k.html')).size).toBeLessThanOrEqual(150 * 1024);
  });
});
