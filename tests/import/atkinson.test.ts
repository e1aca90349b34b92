/**
 * A printed key of 1901, from the raw text of its pages: G. F. Atkinson, Studies of American Fungi, 2nd edition, New York,
 * Henry Holt, impression of 1903 (copyright 1900, 1901), pp. 308-311, public domain. Text and what must come out, which
 * was read from the printed pages, are no part of the project: the test reads them from the folder that
 * KEYWRIGHT_PUBLISHED names, and is skipped where it names none.
 */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { imported } from './structure.js';

interface Lead {
  text: string;
  to: string | { taxon: string; page?: string };
}
interface Expected {
  keys: { id: string; title: string; couplets: { id: string; leads: Lead[] }[] }[];
}

const folder = process.env.KEYWRIGHT_PUBLISHED ?? '';
const files = ['atkinson-1901-agarics.txt', 'atkinson-1901-agarics.json'].map((name) => join(folder, name));
const there = folder !== '' && files.every((file) => existsSync(file));
const [text = '', truth = '{"keys":[]}'] = there ? files.map((file) => readFileSync(file, 'utf8')) : [];
const GENERA = ['white', 'ochre', 'rosy', 'brown', 'black'];
const expected = (JSON.parse(truth) as Expected).keys.filter((k) => GENERA.includes(k.id));
/** A line of the text. */
const line = (n: number) => (text.split('\n')[n - 1] ?? '').trim();

/** A genus and its page, without what else is known of it. */
function plainEnd({ taxon, page }: { taxon: string; page?: string }): object {
  return { taxon, ...(page === undefined ? {} : { page }) };
}

/** Where the e-text has other words than the page: key, couplet, lead. */
const E_TEXT = new Set(['white 12 1', 'ochre 0 0', 'ochre 3 1', 'brown 4 0']);

describe.skipIf(!there)(
  'the keys to gilled genera of 1901 (set KEYWRIGHT_PUBLISHED to the folder that holds them)',
  () => {
    const { result, keys, problems } = imported(text, { cite: 'Atkinson 1901' });

    it('are five, with the printed headings', () => {
      const plain = (heading: string) => heading.toLowerCase().replace(/\.$/, '');
      expect(keys.map((k) => plain(k.title))).toEqual(expected.map((k) => plain(k.title)));
      expect(result.keys.map((k) => k.id)).toEqual([
        'white-spored-agarics',
        'ochre-spored-agarics',
        'rosy-spored-agarics',
        'brown-spored-agarics',
        'black-spored-agarics',
      ]);
      expect(problems).toEqual([]);
    });

    it.each(expected.map((k, i) => [k.title, k, i] as const))(
      '%s: every couplet, lead, target, name and page',
      (_, printed, i) => {
        const key = keys[i];
        expect([...(key?.couplets.keys() ?? [])]).toEqual(printed.couplets.map((c) => c.id));
        for (const { id, leads } of printed.couplets) {
          const found = key?.couplets.get(id)?.leads.map(({ text: words, end, note }, n) => {
            const page = /p\. (\d+)/.exec(note ?? '')?.[1];
            const to =
              end.kind === 'couplet'
                ? end.couplet
                : {
                    taxon: end.kind === 'taxa' ? end.taxa.map((t) => key.taxa.get(t)?.name).join() : '',
                    ...(page === undefined ? {} : { page }),
                  };
            return { text: E_TEXT.has(`${printed.id} ${id} ${n}`) ? leads[n]?.text : words, to };
          });
          expect(found).toEqual(
            leads.map(({ text: words, to }) => ({
              text: words,
              to: typeof to === 'string' ? to : plainEnd(to),
            })),
          );
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
        for (const taxon of key.taxa.values())
          expect([taxon.name, taxon.rank]).toEqual([taxon.name, 'genus']);
    });

    it('reports the words that the e-text lost, with their line', () => {
      const said = result.findings.map((f) => `${f.place.start.line} ${f.rule} ${f.level}`);
      expect(said).toContain('155 words-whole warning');
      expect(result.keys[1]?.text).toContain('the words break off after "from"');
      expect(result.findings.filter((f) => f.level === 'error')).toEqual([]);
    });

    it('keeps what the print says beside the couplets', () => {
      for (const n of [147, 18, 3]) expect(result.keys[0]?.text).toContain(`# line ${n}: ${line(n)}`);
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
      expect(key?.couplets.get('start')?.leads[1]?.text).toMatch(/^The ochre-spored agarics \(.+\)$/);
      expect(key?.couplets.size).toBe(51);
      expect(key?.taxa.size).toBe(60);
    });
  },
);
