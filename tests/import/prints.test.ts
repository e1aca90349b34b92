/**
 * Prints of invented keys, one for each layout and way of printing. Beside each stands what must come out, read and
 * approved by eye.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { imported, shown } from './structure.js';

const folder = fileURLToPath(new URL('../fixtures/import/prints/', import.meta.url));
const names = readdirSync(folder).filter((n) => n.endsWith('.txt'));

/** Words of three letters and more, as plain letters. */
function words(text: string): string[] {
  return (
    text
      .normalize('NFKD')
      .replace(/\p{M}/gu, '')
      .replace(/[ﬁ]/g, 'fi')
      .toLowerCase()
      .match(/\p{L}{3,}|\d+/gu) ?? []
  );
}

describe('printed keys', () => {
  it('are many', () => {
    expect(names.length).toBeGreaterThan(90);
  });

  it.each(names)('%s', async (name) => {
    const text = readFileSync(folder + name, 'utf8');
    await expect(shown(text)).toMatchFileSnapshot(`${folder}${name.replace(/\.txt$/, '.read')}`);
  });

  it.each(names)('%s: no word is dropped', (name) => {
    const text = readFileSync(folder + name, 'utf8').replace(/(\p{L})-\n\s*(?=\p{Ll})/gu, '$1');
    const out = new Set(imported(text).result.keys.flatMap((k) => words(k.text)));
    const labels = /^(?:la|lb|aaa|bbb|iii)$/;
    const lost = words(text).filter((w) => !out.has(w) && !labels.test(w));
    expect(lost.filter((w) => !/^(?:go|to|see|page|seite|siehe|goto|section|agg|\d+)$/.test(w))).toEqual([]);
  });
});
