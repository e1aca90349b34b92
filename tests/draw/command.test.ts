import { beforeEach, describe, expect, it } from 'vitest';
import { beach, keywright, withKeyFolder } from '../support/key-folder.js';

withKeyFolder();

describe('draw', () => {
  beforeEach(beach);

  it('marks what lint finds, as far as asked', async () => {
    const all = (await keywright(['draw', 'pebbles', '--findings', 'note'])).out;
    expect(all).toContain('What lint finds');
    const none = (await keywright(['draw', 'pebbles', '--findings', 'none'])).out;
    expect(none).not.toContain('What lint finds');
    expect((await keywright(['draw', 'pebbles', '--chain', '--format', 'mermaid'])).out).toContain(
      'k0c3 -->',
    );
  });
});
