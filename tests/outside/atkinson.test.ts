/**
 * Fourteen descriptions, run through the key that stands in the same book.
 *
 * Source: G. F. Atkinson, Studies of American Fungi, 2nd edition, New York, Henry Holt, impression of 1903 (copyright
 * 1900, 1901), public domain. Key to the North American genera of the Agaricaceae: pp. 308-311. The descriptions: the
 * pages in each id.
 */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { type CompiledKey, compile } from '../../src/engine/compile.js';
import { type Determination, determine } from '../../src/engine/determine.js';
import { FolderShelf } from '../../src/files/shelf.js';
import { loadChain } from '../../src/key/chain.js';
import type { Collection } from '../../src/traits/collection.js';
import { readTable } from '../tables/reading.js';

/** Where the book does not lead its own description to the genus it gives it to, and what comes out instead. */
const DISAGREES: Readonly<Record<string, { given: string; reached: string[]; because: string }>> = {
  'atk-1901-p087-tricholoma-personatum': {
    given: 'tricholoma',
    reached: ['entoloma'],
    because:
      'pp. 87-88 give dull pink or salmon spores in the mass, and the key has Tricholoma under white (pp. 308-309)',
  },
  'atk-1901-p102-pleurotus-ulmarius': {
    given: 'pleurotus',
    reached: ['armillaria', 'tricholoma', 'pleurotus'],
    because:
      'p. 102 sets the stem near the middle, which both leads of white 4 take in, "central or sub-central" and "rarely sub-central" (p. 308)',
  },
};

let key: CompiledKey;
let collections: readonly Collection[];

beforeAll(() => {
  const file = 'keys/gill-genera.key.yaml';
  const { chain, findings } = loadChain(readFileSync(file, 'utf8'), file, new FolderShelf(process.cwd()));
  if (chain === undefined) throw new Error(findings.map((f) => f.message).join('\n'));
  key = compile(chain);
  const read = readTable(readFileSync('examples/gill-genera-specimens.yaml', 'utf8'), 'yaml', { key });
  expect(read.mistakes).toEqual([]);
  collections = read.entries.map((e) => e.collection);
});

const run = (collection: Collection): Determination => determine(key, collection);

describe('the key of 1901', () => {
  it('has the 60 genera of the book under five colours of spores', () => {
    const genera = [...key.chain.taxa.values()].filter((t) => t.rank === 'genus');
    const ends = new Set(
      key.couplets.flatMap((c) => c.leads.flatMap((l) => l.taxa.map((t) => key.taxa[t]?.id))),
    );
    expect(key.chain.keys).toHaveLength(6);
    expect(genera.filter((g) => ends.has(g.id))).toHaveLength(60);
  });
});

describe('the descriptions of the same book', () => {
  it('are fourteen', () => {
    expect(collections).toHaveLength(14);
    for (const id of Object.keys(DISAGREES)) expect(collections.map((c) => c.id)).toContain(id);
  });

  it('run to the genus the book gives them to, and to no other', () => {
    const agreeing = collections.filter((c) => !(c.id in DISAGREES));
    expect(agreeing).toHaveLength(12);
    expect(agreeing.map((c) => [c.id, run(c).possible.map((t) => t.id)])).toEqual(
      agreeing.map((c) => [c.id, c.expect]),
    );
  });

  it('run elsewhere just where the book disagrees with its own key', () => {
    for (const [id, { given, reached }] of Object.entries(DISAGREES)) {
      const collection = collections.find((c) => c.id === id) as Collection;
      expect(collection.expect).toEqual([given]);
      expect([
        id,
        run(collection)
          .possible.map((t) => t.id)
          .sort(),
      ]).toEqual([id, [...reached].sort()]);
    }
  });

  it('lack nothing but the colour of the spores to be Tricholoma', () => {
    const blewit = collections.find((c) => c.id === 'atk-1901-p087-tricholoma-personatum') as Collection;
    const white = {
      ...blewit,
      observations: blewit.observations.filter((o) => o.character !== 'spore-print'),
    };
    expect(run(white).possible.map((t) => t.id)).toContain('tricholoma');
    const near = determine(key, blewit, { slips: 1 }).near.find((n) => n.taxon.id === 'tricholoma');
    expect([near?.slips, near?.recheck]).toEqual([1, ['spore-print']]);
  });

  it('are named through two keys: the entry and that of the spore colour', () => {
    for (const collection of collections)
      for (const candidate of run(collection).candidates) {
        expect(candidate.path[0]).toMatch(/^0[a-e]$/);
        expect(candidate.path.slice(1).every((l) => /^gill-genera-\w+\/\d+[a-z]$/.test(l))).toBe(true);
      }
  });
});
