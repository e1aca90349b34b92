import { beforeEach, describe, expect, it } from 'vitest';
import { beach, keywright, withKeyFolder } from '../support/key-folder.js';

withKeyFolder();

describe('show', () => {
  beforeEach(beach);

  it('writes text, or JSON that says the same', async () => {
    const text = await keywright(['show', 'pebbles']);
    expect([text.code, text.err]).toEqual([0, '']);
    expect(text.out).toContain('2 couplets, each with two leads; 4 leads');
    const json = JSON.parse((await keywright(['show', 'pebbles', '--format', 'json'])).out);
    expect(json).toMatchObject({
      key: { id: 'pebbles' },
      size: { couplets: 2, ends: 3, handOvers: 1, taxa: 2 },
      depth: { least: 1, greatest: 2 },
      chain: [{ id: 'other' }],
      whole: { size: { couplets: 3 } },
    });
  });
});
