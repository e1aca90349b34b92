import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { analyse } from '../../src/analysis/analysis.js';
import { KnownSpecimens } from '../../src/commands/test/known.js';
import type { CompiledCouplet, CompiledLead } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import { blameLead } from '../../src/engine/slips.js';
import { TaxonNames } from '../../src/key/taxon-names.js';
import { ByDefinition, contradictoryFind, contradictoryKey, names } from '../support/contradictory.js';
import { find, observed, open } from '../support/open.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 240_000 });

const keyOf = (
  characters: Record<string, object>,
  leads: readonly object[],
  taxa: readonly string[] = ['one', 'two'],
) =>
  open({
    keywright: 1,
    id: 'k',
    title: 'K',
    version: '1',
    characters,
    couplets: { 1: leads.map((l, i) => ({ lead: `Lead ${i}`, taxon: taxa[i], ...l })) },
    taxa: Object.fromEntries(taxa.map((t) => [t, { name: `Taxon ${t}`, concern: { level: 'deadly' } }])),
  });

const g = { name: 'g', states: ['p', 'n'] };
const d = { name: 'd', states: ['p', 'q'], 'applies-when': { g: 'p' } };

describe('a slip in a find that contradicts itself', () => {
  const cases: [string, Record<string, object>, object, Record<string, string>, string[]][] = [
    [
      'what was silent speaks when the other character is taken back',
      { g, d },
      { when: { all: [{ g: 'p' }, { not: { d: 'p' } }] } },
      { g: 'n', d: 'p' },
      ['g', 'd'],
    ],
    [
      'also through two steps',
      { g, d, e: { ...d, name: 'e', 'applies-when': { d: 'p' } } },
      { when: { all: [{ g: 'p' }, { not: { e: 'p' } }] } },
      { g: 'n', d: 'p', e: 'p' },
      ['g', 'e'],
    ],
    [
      'what is recorded as not applying goes with what it depends on, though that says it applies',
      { g, d },
      { when: { all: [{ g: 'n' }, { d: 'q' }] } },
      { g: 'p', d: '-' },
      ['g'],
    ],
  ];
  for (const [what, characters, lead, written, expected] of cases)
    it(what, () => {
      const key = keyOf(characters, [lead, {}]);
      const { near } = determine(key, find(observed(key, written)), { slips: 3 });
      expect(near.map((n) => [n.taxon.id, n.slips, n.recheck])).toEqual([['one', expected.length, expected]]);
    });

  it('is counted for "otherwise" too: without g the first lead does not fit, but the second does', () => {
    const key = keyOf(
      { g, d },
      [{ when: { g: 'n' } }, { when: { d: 'p' } }, { otherwise: true }],
      ['a', 'b', 'c'],
    );
    const { near } = determine(key, find(observed(key, { g: 'n', d: 'p' })), { slips: 3 });
    expect(near.map((n) => [n.taxon.id, n.slips, [...n.recheck].sort()])).toContainEqual([
      'c',
      2,
      ['d', 'g'],
    ]);
  });
});

describe('slips in random finds that contradict themselves', () => {
  const drawn = fc.tuple(contradictoryKey, contradictoryFind);

  it('are the fewest characters without which a lead is not ruled out, and these are named', () => {
    fc.assert(
      fc.property(drawn, ([data, asWritten]) => {
        const key = open(data);
        const own = new ByDefinition(data);
        const { written } = own.closed(asWritten);
        const { evidence } = determine(key, find(observed(key, asWritten)));
        for (const [couplet, leads] of Object.entries(data.couplets))
          leads.forEach((_, i) => {
            if (own.lead(couplet, i, written) >= 0) return;
            const compiled = key.couplets[key.coupletIndex.get(couplet) as number] as CompiledCouplet;
            const blamed = blameLead(compiled, compiled.leads[i] as CompiledLead, evidence.known, key.gates);
            const gone = blamed.map((c) => key.characters[c]?.id ?? '');
            expect(gone).toHaveLength(own.slips(couplet, i, written));
            expect(own.lead(couplet, i, own.without(gone, written))).toBeGreaterThanOrEqual(0);
          });
      }),
      { numRuns: 500 },
    );
  });

  it('are added along paths', () => {
    fc.assert(
      fc.property(drawn, ([data, written]) => {
        const key = open(data);
        const { candidates, near } = determine(key, find(observed(key, written)), { slips: 6 });
        const found = [...candidates, ...near].map((c) => [c.taxon.id, c.slips]).sort();
        const own = new ByDefinition(data);
        const every = [...own.reached(own.closed(written).written)];
        const least = Math.min(...every.map(([, slips]) => slips));
        expect(found).toEqual(every.filter(([, slips]) => slips <= Math.max(6, least)).sort());
      }),
      { numRuns: 300 },
    );
  });

  it('are what an analysis and a test of known specimens say', () => {
    fc.assert(
      fc.property(drawn, ([data, written]) => {
        const key = open(data);
        const own = new ByDefinition(data);
        const collection = find(observed(key, written));
        const determined = determine(key, collection);
        const taxa = (w: Record<string, string>) =>
          [...own.reached(w)].flatMap(([taxon, slips]) => (slips === 0 ? [taxon] : []));
        const closed = own.closed(written);
        const candidates = taxa(closed.written);
        const expected = names.flatMap((name) => {
          if (['', '?'].includes(closed.written[name] ?? '')) return [];
          // What nobody saw and follows from one other character is wrong when that one is.
          const seen = !['', '?', undefined].includes(written[name]);
          if (!seen && closed.by.get(name)?.length === 1) return [];
          const rest = own.closed(own.without([name], written), name).written;
          const fresh = taxa(rest).filter((t) => !candidates.includes(t));
          return fresh.length === 0 ? [] : [[name, fresh.sort()]];
        });
        const { doubts } = analyse(determined);
        const named = doubts.one.map((o) => [o.character?.id, o.ends.map((e) => e.taxon.id).sort()]);
        expect(named.sort()).toEqual(expected.sort());

        const specimens = new KnownSpecimens(key, new TaxonNames(key.chain.taxa.values()));
        for (const [taxon, slips] of own.reached(closed.written)) {
          const { left } = specimens.test({ ...collection, expect: [taxon] });
          if (slips === 0 || left === undefined) expect([slips, left]).toEqual([0, undefined]);
          else expect(left.slips).toBe(slips);
        }
      }),
      { numRuns: 300 },
    );
  });
});

describe('a condition that many characters speak against', () => {
  it('is decided although trying every set of them would take for ever', () => {
    // Thirty parts that hang together by one character, each with two of its own.
    const n = 30;
    const characters: Record<string, object> = { g };
    const all = Array.from({ length: n }, (_, i) => {
      characters[`a${i}`] = { name: `a${i}`, states: ['p', 'q'] };
      characters[`b${i}`] = { name: `b${i}`, states: ['p', 'q'] };
      return { any: [{ [`a${i}`]: 'p' }, { [`b${i}`]: 'p', g: 'p' }] };
    });
    const key = keyOf(characters, [{ when: { all } }, {}]);
    const written = Object.fromEntries(Object.keys(characters).map((c) => [c, c === 'g' ? 'p' : 'q']));
    const { near } = determine(key, find(observed(key, written)), { slips: 100 });
    expect(near[0]?.slips).toBeGreaterThanOrEqual(n);
    expect(near[0]?.recheck.length).toBe(near[0]?.slips);
  });
});
