import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import type { Shelf } from '../../src/key/load.js';
import type { Collection } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

type Level = 'deadly' | 'severe' | 'upset' | 'unknown' | 'none-recorded' | undefined;

/** A key of one couplet by colour: the first taxon is red, the second green ..., each of the given concern. */
function byColour(levels: readonly Level[], taxa: Record<string, object> = {}, scope?: object) {
  const states = levels.map((_, i) => `c${i}`);
  return open({
    keywright: 1,
    id: 'k',
    title: 'T',
    version: '1',
    ...(scope === undefined ? {} : { scope }),
    characters: { colour: { name: 'colour', states }, smell: { name: 'smell', states: ['sweet', 'foul'] } },
    couplets: {
      1: [
        { lead: 'Sweet', when: { smell: 'sweet' }, to: '2' },
        { lead: 'Foul', when: { smell: 'foul' }, taxon: 'foul' },
      ],
      2: levels.map((_, i) => ({ lead: 'L', when: { colour: `c${i}` }, taxon: `t${i}` })),
    },
    taxa: {
      foul: { name: 'Foul', concern: { level: 'none-recorded' } },
      ...Object.fromEntries(
        levels.map((level, i) => [
          `t${i}`,
          { name: `Taxon ${i}`, ...(level === undefined ? {} : { concern: { level } }) },
        ]),
      ),
      ...taxa,
    },
  });
}
const of = (key: ReturnType<typeof open>, written: Record<string, string>, more: Partial<Collection> = {}) =>
  determine(key, find(observed(key, written), more));
/** Everything in the couplet of colours is still possible. */
const ALL = { smell: 'sweet' };

describe('the verdict', () => {
  it.each<[Level[], string, string, boolean]>([
    [['deadly', 'none-recorded'], 'leave it', 'deadly', false],
    [['none-recorded', 'deadly'], 'leave it', 'deadly', false],
    [['severe', 'unknown'], 'leave it', 'severe', false],
    [['upset', 'none-recorded'], 'leave it', 'upset', false],
    [['deadly', 'severe', 'upset'], 'leave it', 'deadly', true],
    [['upset', 'upset'], 'leave it', 'upset', true],
    [['upset', undefined], 'leave it', 'upset', false],
    [['unknown', 'none-recorded'], 'not cleared', 'unknown', false],
    [['none-recorded', 'none-recorded'], 'not cleared', 'none-recorded', false],
    [['none-recorded', undefined], 'not cleared', 'unknown', false],
    [[undefined, undefined], 'not cleared', 'unknown', false],
  ])('on %j: %s, worst %s, settled %s', (levels, word, worst, settled) => {
    expect(of(byColour(levels), ALL).verdict).toEqual({ word, worst, settled });
  });

  it('looks only at what is still possible', () => {
    const key = byColour(['deadly', 'upset', 'none-recorded']);
    expect(of(key, { ...ALL, colour: 'c0 | c1' }).verdict).toEqual({
      word: 'leave it',
      worst: 'deadly',
      settled: true,
    });
    expect(of(key, { ...ALL, colour: 'c1 | c2' }).verdict).toEqual({
      word: 'leave it',
      worst: 'upset',
      settled: false,
    });
    expect(of(key, { ...ALL, colour: 'c2' }).verdict).toEqual({
      word: 'not cleared',
      worst: 'none-recorded',
      settled: false,
    });
  });

  it('on nothing is not cleared, and never settled', () => {
    const key = byColour(['deadly', 'upset']);
    expect(of(key, { smell: '-', colour: '-' }).verdict).toEqual({
      word: 'not cleared',
      worst: 'unknown',
      settled: false,
    });
  });

  it('is settled only where every answer that is left leads to what is to be left', () => {
    fc.assert(
      fc.property(
        keyData(5, 'reticulate'),
        specimen.chain((s) => seen(s)),
        (data, written) => {
          const key = open(data);
          const { verdict, possible } = determine(key, find(observed(key, written)));
          const harmful = possible.filter((t) => ['deadly', 'severe', 'upset'].includes(t.concern.level));
          expect(verdict.word).toBe(harmful.length > 0 ? 'leave it' : 'not cleared');
          expect(verdict.settled).toBe(possible.length > 0 && harmful.length === possible.length);
        },
      ),
    );
  });
});

describe('what one slip hides', () => {
  it('is named when it is deadly or severe, with what to look at again', () => {
    const key = byColour(['deadly', 'severe', 'upset', 'none-recorded']);
    const { warnings, near, candidates } = of(key, { ...ALL, colour: 'c3' });
    expect(candidates.map((c) => [c.taxon.id, c.slips, c.path])).toEqual([['t3', 0, ['1a', '2d']]]);
    expect(near.map((n) => [n.taxon.id, n.slips, n.recheck])).toEqual([
      ['t0', 1, ['colour']],
      ['t1', 1, ['colour']],
      ['t2', 1, ['colour']],
      ['foul', 1, ['smell']],
    ]);
    expect(warnings.map((w) => [w.kind, w.message, w.characters])).toEqual([
      ['harmful-near', 'Taxon 0 (deadly) is one slip away: look again at colour', ['colour']],
      ['harmful-near', 'Taxon 1 (severe) is one slip away: look again at colour', ['colour']],
    ]);
  });

  it('is named however few slips were asked for, and not when it is two away', () => {
    const key = byColour(['deadly', 'none-recorded']);
    const none = determine(key, find(observed(key, { ...ALL, colour: 'c1' })), { slips: 0 });
    expect(none.near).toEqual([]);
    expect(none.warnings.map((w) => w.kind)).toEqual(['harmful-near']);
    const two = determine(key, find(observed(key, { smell: 'foul', colour: 'c1' })), { slips: 2 });
    expect(two.near.map((n) => [n.taxon.id, n.slips, n.recheck])).toEqual([
      ['t1', 1, ['smell']],
      ['t0', 2, ['smell', 'colour']],
    ]);
    expect(two.warnings).toEqual([]);
  });

  it("may be a person's own answer", () => {
    const key = byColour(['deadly', 'none-recorded']);
    const { warnings, near } = determine(
      key,
      find([], {
        choices: [
          { couplet: '1', letter: 'a' },
          { couplet: '2', letter: 'b' },
        ],
      }),
    );
    expect(near.map((n) => [n.taxon.id, n.slips, n.recheck, n.reconsider])).toEqual([
      ['t0', 1, ['colour'], ['2b']],
      ['foul', 1, ['smell'], ['1a']],
    ]);
    expect(warnings.map((w) => w.message)).toEqual([
      'Taxon 0 (deadly) is one slip away: look again at colour and answer 2b',
    ]);
  });
});

describe('a find that fits nothing', () => {
  const key = byColour(['deadly', 'upset']);

  it('is given no name, but the ends one slip away and what to look at again', () => {
    const { name, qualifier, candidates, near, warnings } = of(key, { ...ALL, colour: '-' });
    expect([name, qualifier, candidates]).toEqual([undefined, undefined, []]);
    expect(near.map((n) => [n.taxon.id, n.slips, n.recheck])).toEqual([
      ['t0', 1, ['colour']],
      ['t1', 1, ['colour']],
      ['foul', 1, ['smell']],
    ]);
    expect(warnings.map((w) => w.kind)).toEqual(['fits-nothing']);
  });

  it('is shown the nearest ends when none is one slip away', () => {
    const far = open({
      keywright: 1,
      id: 'k',
      title: 'T',
      version: '1',
      characters: Object.fromEntries(
        ['a', 'b', 'c', 'd'].map((id) => [id, { name: id, states: ['yes', 'no'] }]),
      ),
      couplets: {
        1: [
          { lead: 'L', when: { a: 'yes', b: 'yes' }, taxon: 'two' },
          { lead: 'L', when: { a: 'yes', b: 'yes', c: 'yes', d: 'yes' }, taxon: 'four' },
        ],
      },
      taxa: { two: { name: 'Two' }, four: { name: 'Four' } },
    });
    const { near } = of(far, { a: 'no', b: 'no', c: 'no', d: 'no' });
    expect(near.map((n) => [n.taxon.id, n.slips, n.recheck])).toEqual([['two', 2, ['a', 'b']]]);
  });
});

describe('the name', () => {
  const ranks = {
    fam: { name: 'Familia', rank: 'family' },
    gen: { name: 'Genus', rank: 'genus', within: 'fam' },
    other: { name: 'Altera', rank: 'genus', within: 'fam' },
    t0: { name: 'Genus primus', rank: 'species', within: 'gen' },
    t1: { name: 'Genus secundus', rank: 'species', within: 'gen' },
    t2: { name: 'Altera tertia', rank: 'species', within: 'other' },
    t3: { name: 'Sola quarta', rank: 'species' },
  };
  const key = byColour([undefined, undefined, undefined, undefined], ranks);
  const named = (written: Record<string, string>) => {
    const { name, qualifier } = of(key, written);
    return [name, qualifier];
  };

  it('of one candidate is its own', () => {
    expect(named({ ...ALL, colour: 'c0' })).toEqual(['Genus primus', undefined]);
  });

  it('has cf. when the end lies behind a lead that is open', () => {
    const doubtful = open({
      keywright: 1,
      id: 'k',
      title: 'T',
      version: '1',
      characters: { colour: { name: 'colour', states: ['red', 'green'] } },
      couplets: {
        1: [
          { lead: 'Large', to: '2' },
          { lead: 'Red', when: { colour: 'red' }, taxon: 'b' },
        ],
        2: [
          { lead: 'Green', when: { colour: 'green' }, taxon: 'a' },
          { lead: 'Red', when: { colour: 'red' }, taxon: 'a' },
        ],
      },
      taxa: { a: { name: 'Aa bb' }, b: { name: 'Bb cc' } },
    });
    const { name, qualifier } = of(doubtful, { colour: 'green' });
    expect([name, qualifier]).toEqual(['Aa bb', 'cf.']);
    const taken = determine(
      doubtful,
      find(observed(doubtful, { colour: 'green' }), { choices: [{ couplet: '1', letter: 'a' }] }),
    );
    expect([taken.name, taken.qualifier]).toEqual(['Aa bb', undefined]);
  });

  it('of several is the lowest that holds them all', () => {
    expect(named({ ...ALL, colour: 'c0 | c1' })).toEqual(['Genus', 'sp.']);
    expect(named({ ...ALL, colour: 'c0 | c2' })).toEqual(['Familia', 'sp.']);
  });

  it('is indet. when nothing holds them all', () => {
    expect(named({ ...ALL, colour: 'c0 | c3' })).toEqual([undefined, 'indet.']);
    expect(named({})).toEqual([undefined, 'indet.']);
  });

  it('is spp. when the specimens are of several species', () => {
    const observations = [
      ...observed(key, { ...ALL, colour: 'c0' }, { specimen: 'a' }),
      ...observed(key, { ...ALL, colour: 'c1' }, { specimen: 'b' }),
    ];
    const { name, qualifier } = determine(key, find(observations));
    expect([name, qualifier]).toEqual(['Genus', 'spp.']);
  });

  it('may be that of a group which is itself an end', () => {
    const groups = byColour([undefined, undefined], {
      t0: { name: 'Genus', rank: 'genus' },
      t1: { name: 'Genus secundus', rank: 'species', within: 't0' },
    });
    const { name, qualifier } = of(groups, ALL);
    expect([name, qualifier]).toEqual(['Genus', 'sp.']);
  });

  it('is never aff., and qualifiers are kept apart from it', () => {
    fc.assert(
      fc.property(
        keyData(5, 'reticulate'),
        specimen.chain((s) => seen(s)),
        (data, written) => {
          const random = open(data);
          const { name, qualifier, possible } = determine(random, find(observed(random, written)));
          expect([undefined, 'cf.', 'sp.', 'spp.', 'indet.']).toContain(qualifier);
          if (name !== undefined) expect(name).not.toMatch(/\b(cf|aff|sp|spp|indet)\b/);
          if (possible.length === 1) expect(name).toBe(possible[0]?.name);
        },
      ),
    );
  });
});

describe('the scope of a key', () => {
  const scope = { regions: ['GB-CMA', 'IE'], months: [9, 10], stages: ['mature'] };
  const key = byColour([undefined, undefined], {}, scope);
  const warned = (more: Partial<Collection>) =>
    of(key, { ...ALL, colour: 'c0' }, more).warnings.map((w) => w.message);

  it.each<[Partial<Collection>, string[]]>([
    [{}, []],
    [{ region: 'GB-CMA', date: '2026-09-30', stages: ['mature'] }, []],
    [{ region: 'GB' }, []],
    [{ region: 'IE-KY' }, []],
    [
      { region: 'GB-CON' },
      ['GB-CON lies outside the regions of k (GB-CMA and IE): the find may not be in this key'],
    ],
    [{ region: 'I' }, ['I lies outside the regions of k (GB-CMA and IE): the find may not be in this key']],
    [
      { date: '2026-08-31' },
      ['August lies outside the months of k (September and October): the find may not be in this key'],
    ],
    [
      { date: '2026-12' },
      ['December lies outside the months of k (September and October): the find may not be in this key'],
    ],
    [{ date: '2026' }, []],
    [{ date: 'last week' }, []],
    [
      { stages: ['young'] },
      ['k is for mature specimens, and these are young: the find may not be in this key'],
    ],
    [{ stages: ['young', 'mature'] }, []],
  ])('%j', (more, messages) => {
    expect(warned(more)).toEqual(messages);
  });

  it('is that of the keys that were used, and of no others', () => {
    const chained = (id: string, region: string) =>
      JSON.stringify({
        keywright: 1,
        id,
        title: 'T',
        version: '1',
        scope: { regions: [region] },
        couplets: {
          1: [
            { lead: 'L', taxon: 'a' },
            { lead: 'L', taxon: 'b' },
          ],
        },
        taxa: { a: { name: 'A' }, b: { name: 'B' } },
      });
    const shelf: Shelf = {
      key: (id) => ({ ok: true, file: id, text: chained(id, id === 'near' ? 'GB' : 'FR') }),
      terms: () => ({ ok: false, problem: 'none' }),
    };
    const main = open(
      {
        keywright: 1,
        id: 'main',
        title: 'T',
        version: '1',
        scope: { regions: ['GB'] },
        characters: { colour: { name: 'colour', states: ['red', 'green'] } },
        couplets: {
          1: [
            { lead: 'Red', when: { colour: 'red' }, key: 'near' },
            { lead: 'Green', when: { colour: 'green' }, key: 'far' },
          ],
        },
        taxa: { a: { name: 'A' } },
      },
      shelf,
    );
    const messages = (colour: string, slips: number) =>
      determine(main, find(observed(main, { colour }), { region: 'GB-CMA' }), { slips }).warnings.map(
        (w) => w.message,
      );
    expect(messages('red', 0)).toEqual([]);
    // The other key is one slip away, but nothing ends there.
    expect(messages('red', 1)).toEqual([]);
    expect(messages('green', 0)).toEqual([
      'GB-CMA lies outside the regions of far (FR): the find may not be in this key',
    ]);
  });
});

describe('the order of the candidates', () => {
  it('does not hang on how many slips are looked at', () => {
    fc.assert(
      fc.property(
        keyData(7, 'reticulate'),
        specimen.chain((s) => seen(s)),
        (data, written) => {
          const key = open(data);
          const collection = find(observed(key, written));
          const orders = [0, 1, 3].map((slips) => {
            const { possible, candidates } = determine(key, collection, { slips });
            expect(possible.map((t) => t.id)).toEqual(candidates.map((c) => c.taxon.id));
            return possible.map((t) => t.id);
          });
          expect(orders[1]).toEqual(orders[0]);
          expect(orders[2]).toEqual(orders[0]);
        },
      ),
      { numRuns: 150 },
    );
  });
});

describe('duties', () => {
  it('are shown for every candidate, with the advice to check the rules', () => {
    const key = byColour([undefined, undefined], {
      t0: {
        name: 'Rara avis',
        duties: [
          { kind: 'protected', note: 'by name' },
          { kind: 'notifiable', note: 'within a week' },
        ],
      },
    });
    expect(of(key, { ...ALL, colour: 'c0' }).warnings.map((w) => w.message)).toEqual([
      'Rara avis is recorded as protected (by name); check your local rules',
      'Rara avis is recorded as notifiable (within a week); check your local rules',
    ]);
    expect(of(key, { ...ALL, colour: 'c1' }).warnings).toEqual([]);
  });
});
