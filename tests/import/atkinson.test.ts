/**
 * A printed key of 1901, from the raw text of its pages: G. F. Atkinson, Studies of American Fungi, 2nd edition, New York,
 * Henry Holt, impression of 1903 (copyright 1900, 1901), pp. 308-311, public domain. What must come out stands in
 * `atkinson-1901.expected.json`, which was read from the printed pages.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { imported } from './structure.js';

interface Expected {
  keys: {
    heading: string;
    couplets: Record<string, { words: string; to?: string; taxon?: string; page?: string }[]>;
  }[];
}

const folder = new URL('../fixtures/import/', import.meta.url);
const text = readFileSync(new URL('atkinson-1901.txt', folder), 'utf8');
const expected = JSON.parse(readFileSync(new URL('atkinson-1901.expected.json', folder), 'utf8')) as Expected;

/** Where the e-text has other words than the page. */
const E_TEXT: Record<string, string> = {
  'Gills not separating readily from the pileus.': 'Gills not separating readily from',
  'Gills not decurrent, plants parastic on other mushrooms.':
    'Gills not decurrent, plants parasitic on other mushrooms.',
  'Volva and annulus wanting': 'Volva and annulus wanting.',
  'Stipe tenaceous, margin of pileus first incurved.': 'Stipe tenacious, margin of pileus first incurved.',
};

describe('the keys to gilled genera of 1901', () => {
  const { result, keys, problems } = imported(text, { cite: 'Atkinson 1901' });

  it('are five, with the printed headings', () => {
    const plain = (heading: string) => heading.toLowerCase().replace(/\.$/, '');
    expect(keys.map((k) => plain(k.title))).toEqual(expected.keys.map((k) => plain(k.heading)));
    expect(result.keys.map((k) => k.id)).toEqual([
      'white-spored-agarics',
      'ochre-spored-agarics',
      'rosy-spored-agarics',
      'brown-spored-agarics',
      'black-spored-agarics',
    ]);
    expect(problems).toEqual([]);
  });

  it.each(expected.keys.map((k, i) => [k.heading, k, i] as const))(
    '%s: every couplet, lead, target, name and page',
    (_, printed, i) => {
      const key = keys[i];
      expect([...(key?.couplets.keys() ?? [])]).toEqual(Object.keys(printed.couplets));
      for (const [id, leads] of Object.entries(printed.couplets)) {
        const found = key?.couplets.get(id)?.leads.map((lead) => ({
          words: lead.text,
          ...(lead.end.kind === 'couplet' ? { to: lead.end.couplet } : {}),
          ...(lead.end.kind === 'taxa'
            ? { taxon: lead.end.taxa.map((t) => key.taxa.get(t)?.name).join() }
            : {}),
          ...(/p\. (\d+)/.exec(lead.note ?? '')?.[1] === undefined
            ? {}
            : { page: /p\. (\d+)/.exec(lead.note ?? '')?.[1] }),
        }));
        expect(found).toEqual(leads.map((l) => ({ ...l, words: E_TEXT[l.words] ?? l.words })));
      }
    },
  );

  it('all are sound keys of their own', () => {
    for (const key of result.keys) {
      const { chain, findings } = loadChain(key.text, `${key.id}.key.yaml`, emptyShelf);
      expect(findings).toEqual([]);
      expect(chain?.main.couplets.size).toBe(key.couplets);
    }
  });

  it('every genus is a genus', () => {
    for (const key of keys)
      for (const taxon of key.taxa.values()) expect([taxon.name, taxon.rank]).toEqual([taxon.name, 'genus']);
  });

  it('reports the words that the e-text lost, with their line', () => {
    const said = result.findings.map((f) => `${f.place.start.line} ${f.rule} ${f.level}`);
    expect(said).toContain('155 words-whole warning');
    expect(result.keys[1]?.text).toContain('the words break off after "from"');
    expect(result.findings.filter((f) => f.level === 'error')).toEqual([]);
  });

  it('keeps what the print says beside the couplets', () => {
    for (const words of [
      '# line 147: There are only a few rare species of Hiatula, Nyctalis, Heliomyces and',
      '# line 18: (Sometimes there is a faint tinge of pink or lilac when the spores are',
      '# line 3: Pileus more or less expanded',
    ])
      expect(result.keys[0]?.text).toContain(words);
    expect(result.keys[1]?.text).toContain('note: not reported in U. S.');
    expect(result.keys[4]?.text).toContain('note: footnote mark [G]');
  });

  it('joins the five into one, opened by their headings', () => {
    const { keys: joined, problems: none } = imported(text, { asOne: true });
    expect(none).toEqual([]);
    const [key] = joined;
    expect(joined).toHaveLength(1);
    expect(key?.start).toBe('start');
    expect(
      key?.couplets.get('start')?.leads.map((l) => (l.end.kind === 'couplet' ? l.end.couplet : '')),
    ).toEqual(['A0', 'B0', 'C0', 'D0', 'E0']);
    expect(key?.couplets.get('start')?.leads[1]?.text).toBe(
      'The ochre-spored agarics (The spores are yellowish brown or rusty brown.)',
    );
    expect(key?.couplets.size).toBe(51);
    expect(key?.taxa.size).toBe(60);
  });
});
