/**
 * Journal articles in JATS with TaxPub, held against what their keys say. The articles are no part of the project: the
 * test reads them from the folder that KEYWRIGHT_PUBLISHED names, and is skipped where it names none.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { importDocument } from '../../src/commands/import/document.js';
import type { Key } from '../../src/key/key.js';
import { emptyShelf, loadKey } from '../../src/key/load.js';

interface Truth {
  title: string;
  leads: { couplet: string; label: string; to: { couplet?: string; taxon?: string; cell?: string } }[];
}

const published = process.env.KEYWRIGHT_PUBLISHED ?? '';
const folder = join(published, 'journals');
const there = published !== '' && existsSync(folder);
const names = there ? readdirSync(folder).filter((n) => n.endsWith('.xml')) : [];

/** The label of this lead has a wrong number in print: it is the second of couplet 2. */
const MISPRINTED = new Map([['zookeys-196-2774.xml 3', '2']]);
/** Names that the markup of the article cuts short. */
const CUT = /^Euspilotus(?: \(Hesperosaprinus\) (?:parenthes|connecte|azure))?$/;

describe.skipIf(!there)(
  'articles with keys in tables (set KEYWRIGHT_PUBLISHED to the folder that holds them)',
  () => {
    it.each(names)('%s: every couplet, lead and end', async (name) => {
      const text = readFileSync(join(folder, name), 'utf8');
      const truth = JSON.parse(
        readFileSync(join(folder, name.replace(/xml$/, 'truth.json')), 'utf8'),
      ) as Truth;
      const { keys, findings } = await importDocument(text, { file: name, when: false });
      const [first] = keys;
      const loaded = loadKey(first?.text ?? '', 'article.key.yaml', emptyShelf);
      expect(loaded.findings).toEqual([]);
      const key = loaded.key as Key;
      const found = [...key.couplets.values()].flatMap((c) =>
        c.leads.map((lead) => ({ couplet: c.id, lead })),
      );
      expect(found.map((f) => f.couplet)).toEqual(
        truth.leads.map((l, i) => MISPRINTED.get(`${name} ${i}`) ?? l.couplet),
      );
      truth.leads.forEach(({ to }, i) => {
        const end = found[i]?.lead.end;
        if (to.couplet !== undefined) expect(end).toEqual({ kind: 'couplet', couplet: to.couplet });
        else {
          const taxon =
            end?.kind === 'taxa' && end.taxa.length === 1 ? key.taxa.get(end.taxa[0] as string) : undefined;
          if (!CUT.test(to.taxon ?? '')) expect(taxon?.name).toBe(to.taxon);
          const cell = (to.cell ?? '').replace(/\s*\b(?:sp|gen)\. n ?\.?$/, '').replace(/[,.\s]+$/, '');
          const whole = [taxon?.name, taxon?.authority].filter((t) => t !== undefined).join(' ');
          expect(cell.startsWith(whole.replace(/[,.\s]+$/, ''))).toBe(true);
        }
      });
      // One lead of a second key has no alternative in print.
      const errors = findings.filter((f) => f.level === 'error').map((f) => f.message);
      expect(errors).toEqual(name === 'zookeys-212-3254.xml' ? ['lead 3a: couplet 3 has only one lead'] : []);
      expect(key.licence).toBe('CC-BY-3.0');
      expect(key.authors.length).toBeGreaterThan(0);
      expect([...key.sources.values()][0]?.url).toMatch(/^https:\/\/doi\.org\/10\.3897\/zookeys\./);
      // Only the misprinted label is doubted.
      const doubted = first?.text.match(/: doubtful$/gm)?.length ?? 0;
      expect(doubted).toBe(name === 'zookeys-196-2774.xml' ? 1 : 0);
    });
  },
);
