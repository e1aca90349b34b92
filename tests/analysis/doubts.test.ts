import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { analyse } from '../../src/analysis/analysis.js';
import { determine } from '../../src/engine/determine.js';
import { gatherEvidence } from '../../src/engine/evidence.js';
import { Walk } from '../../src/engine/walk.js';
import { severity } from '../../src/key/severity.js';
import type { Collection } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const withFind = (shape: 'tree' | 'reticulate') =>
  fc.tuple(keyData(7, shape), specimen).chain(([key, s]) => seen(s).map((written) => ({ key, written })));

describe('one wrong observation', () => {
  for (const shape of ['tree', 'reticulate'] as const)
    it(`hides just what is reached when it is taken back (${shape})`, () => {
      fc.assert(
        fc.property(withFind(shape), ({ key: data, written }) => {
          const key = open(data);
          const found = determine(key, find(observed(key, written)));
          const candidates = new Set(found.possible.map((t) => t.id));
          const expected: Record<string, string[]> = {};
          for (const [id, text] of Object.entries(written)) {
            if (text === '' || text === '?') continue;
            const rest = { ...written, [id]: '' };
            // What does not apply for want of a ring is taken back with the ring.
            if (id === 'ring' && written.texture === '-') rest.texture = '';
            const ring = key.characterIndex.get('ring') as number;
            const evidence = gatherEvidence(
              key,
              find(observed(key, rest)),
              new Set(id === 'ring' ? [ring] : []),
            );
            const fresh = new Walk(key, evidence).reached
              .map((t) => key.taxa[t]?.id ?? '')
              .filter((t) => !candidates.has(t));
            if (fresh.length > 0) expected[id] = fresh.sort();
          }
          const { doubts } = analyse(found);
          const named = Object.fromEntries(
            doubts.one.map((d) => [d.character?.id ?? d.answer, d.ends.map((e) => e.taxon.id).sort()]),
          );
          expect(named).toEqual(expected);
          // Harmful ones first.
          for (const { ends } of doubts.one)
            expect(ends.map((e) => severity(e.taxon))).toEqual(
              ends.map((e) => severity(e.taxon)).sort((a, b) => a - b),
            );
          // What rules it out is a lead of the key that fails.
          for (const end of doubts.one.flatMap((d) => d.ends)) expect(end.at).toMatch(/^\d+[a-z]$/);
        }),
        { numRuns: 300 },
      );
    });
});

const key = open({
  keywright: 1,
  id: 'k',
  title: 'K',
  version: '1',
  characters: {
    print: { name: 'print', states: ['white', 'rust'], reliability: 0.95, stages: ['mature'] },
    ring: { name: 'ring', states: ['present', 'absent'], perishable: true },
    colour: { name: 'colour of the cap', states: ['brown', 'red'] },
    smell: { name: 'smell', states: ['mealy', 'none'], reliability: 0.7 },
    width: { name: 'width', kind: 'measure', unit: 'cm' },
  },
  couplets: {
    1: [
      { lead: 'Print rusty', when: { print: 'rust' }, to: '2' },
      { lead: 'Print white', when: { print: 'white' }, to: '3' },
    ],
    2: [
      { lead: 'Ring; brown', when: { any: [{ ring: 'present' }, { colour: 'brown' }] }, taxon: 'bell' },
      { lead: 'No ring; red', when: { ring: 'absent', colour: 'red' }, taxon: 'tuft' },
    ],
    3: [
      { lead: 'Small', when: { width: '< 4' }, taxon: 'small' },
      { lead: 'Large', when: { width: '>= 4' }, to: '4' },
    ],
    4: [
      { lead: 'By eye, one', taxon: 'large' },
      { lead: 'By eye, two', taxon: 'other' },
    ],
  },
  taxa: {
    bell: { name: 'Bell', concern: { level: 'deadly' }, traits: { smell: 'mealy', print: 'rust' } },
    tuft: { name: 'Tuft', traits: { smell: 'none' } },
    small: { name: 'Small' },
    large: {
      name: 'Large',
      concern: { level: 'upset' },
      traits: { smell: 'none', print: 'white', width: '4-9 cm' },
    },
    other: { name: 'Other' },
  },
});

const doubtsOf = (written: Record<string, string>, more: Partial<Collection> = {}, stage?: string) => {
  const on = stage === undefined ? {} : { stage };
  const { doubts } = analyse(determine(key, find(observed(key, written, on), more)));
  return doubts.one.map(
    (d) =>
      `${d.character?.id ?? d.answer}: ${d.ends.map((e) => `${e.taxon.id} ${e.at} ${e.fits}`).join(', ')}${d.likely.map((l) => ` (${l})`).join('')}`,
  );
};

describe('what is said of a doubt', () => {
  it('names the lead, the fit to the rest, and what makes it likely', () => {
    expect(
      doubtsOf({ print: 'rust', ring: 'absent', colour: 'red', smell: 'none', width: '4.2 cm' }),
    ).toEqual([
      'ring: bell 2a worse (soon lost)',
      'colour: bell 2a worse (a colour)',
      'print: large 1b as well, other 1b not compared (shows on mature specimens only, and the age is not recorded)',
    ]);
  });

  it('knows the age', () => {
    const [, , print] = doubtsOf(
      { print: 'rust', ring: 'absent', colour: 'red', width: '5 cm' },
      {},
      'mature',
    );
    expect(print).toBe('print: large 1b not compared, other 1b not compared');
  });

  it('says when a measure was taken once and lies near the border', () => {
    expect(doubtsOf({ print: 'white', width: '3.8 cm' })).toContain(
      'width: large 3b not compared, other 3b not compared (measured once) (within a tenth of what 3b allows)',
    );
    expect(doubtsOf({ print: 'white', width: '2 cm' })).toContain(
      'width: large 3b not compared, other 3b not compared (measured once)',
    );
  });

  it('takes an answer back with all that is known by it', () => {
    const choices = [
      { couplet: '1', letter: 'b' },
      { couplet: '3', letter: 'b' },
      { couplet: '4', letter: 'b' },
    ];
    expect(doubtsOf({ smell: 'mealy' }, { choices, stages: ['young'] })).toEqual([
      '1b: bell 1a not compared, tuft 1a not compared (shows on mature specimens only, and these are young)',
      '4b: large 4a not compared',
      '3b: small 3a not compared',
    ]);
  });

  it('holds for a find that fits nothing', () => {
    const found = determine(
      key,
      find(observed(key, { print: 'rust', ring: 'absent', colour: 'red', smell: 'mealy' })),
    );
    expect(found.possible.map((t) => t.id)).toEqual(['tuft']);
    const none = open({
      keywright: 1,
      id: 'n',
      title: 'N',
      version: '1',
      characters: { a: { name: 'a', states: ['x', 'y', 'z'] } },
      couplets: {
        1: [
          { lead: 'X', when: { a: 'x' }, taxon: 'tx' },
          { lead: 'Y', when: { a: 'y' }, taxon: 'ty' },
        ],
      },
      taxa: { tx: { name: 'TX' }, ty: { name: 'TY', concern: { level: 'severe' } } },
    });
    const { doubts, decision } = analyse(determine(none, find(observed(none, { a: 'z' }))));
    expect(doubts.one.map((d) => [d.character?.id, d.ends.map((e) => e.taxon.id)])).toEqual([
      ['a', ['ty', 'tx']],
    ]);
    expect(decision.notInKey[0]).toBe('nothing in this key fits: the find may not be in this key');
  });

  it('names harmful taxa two slips away with what speaks against them', () => {
    const { doubts } = analyse(
      determine(key, find(observed(key, { print: 'white', ring: 'absent', colour: 'red', width: '2 cm' }))),
    );
    expect(doubts.two[0]?.taxon.id).toBe('bell');
    expect(doubts.two[0]?.recheck).toEqual(expect.arrayContaining(['print']));
    expect(doubts.two[0]?.recheck).toHaveLength(2);
  });
});

describe('a doubt of what others say too', () => {
  const g = { name: 'g', states: ['p', 'n', 'q'] };
  const on = (name: string, gate: object) => ({ name, states: ['p', 'q'], 'applies-when': gate });
  const told = (characters: Record<string, object>, hidden: object) =>
    open({
      keywright: 1,
      id: 'k',
      title: 'K',
      version: '1',
      characters,
      couplets: {
        1: [
          { lead: 'Harmless', taxon: 'one' },
          { lead: 'Hidden', when: hidden, taxon: 'two' },
        ],
      },
      taxa: { one: { name: 'One' }, two: { name: 'Two', concern: { level: 'deadly' } } },
    });
  const named = (...[key, collection]: Parameters<typeof determine>) =>
    analyse(determine(key, collection))
      .doubts.one.map((o) => [o.character?.id, o.ends.map((e) => e.taxon.id)])
      .sort();

  it('names each of two characters that say a third together, where it alone hides a harm', () => {
    // From e, g is p or n; from f, p or q: together p.
    const characters = { g, e: on('e', { g: { not: 'q' } }), f: on('f', { g: { not: 'n' } }) };
    const written = { e: 'p', f: 'p' };
    const narrow = told(characters, { g: 'q' });
    expect(named(narrow, find(observed(narrow, written)))).toEqual([
      ['e', ['two']],
      ['g', ['two']],
    ]);
    const other = told(characters, { g: 'n' });
    expect(named(other, find(observed(other, written)))).toEqual([
      ['f', ['two']],
      ['g', ['two']],
    ]);
  });

  it('names one that is behind all tests of a lead that fail', () => {
    const both = { g, h: { ...g, name: 'h' }, f: on('f', { g: 'p', h: 'p' }) };
    const key = told(both, { g: 'q', h: 'q' });
    expect(named(key, find(observed(key, { f: 'p' })))).toEqual([['f', ['two']]]);
    const with2 = { ...both, e: on('e', { g: { not: 'n' } }), d: on('d', { h: { not: 'n' } }) };
    const more = told(with2, { g: 'q', h: 'q' });
    expect(named(more, find(observed(more, { f: 'p', e: 'p', d: 'p' })))).toEqual([['f', ['two']]]);
  });

  it('names what was seen too, not only what narrows it', () => {
    const key = told({ g, f: on('f', { g: { not: 'n' } }) }, { g: 'q' });
    // The look at g was wrong: by f it may be q as well.
    expect(named(key, find(observed(key, { g: 'p | n', f: 'p' })))).toEqual([['g', ['two']]]);
  });

  it('names what narrows it on one specimen, though another shows it', () => {
    const key = told({ g, f: on('f', { g: 'p' }) }, { g: 'n' });
    const first = observed(key, { g: 'p' }, { specimen: 'A' });
    const second = observed(key, { g: 'p | n', f: 'p' }, { specimen: 'B' });
    expect(named(key, find([...first, ...second]))).toContainEqual(['f', ['two']]);
  });
});
