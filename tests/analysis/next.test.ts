import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { analyse } from '../../src/analysis/analysis.js';
import { criteria, minutesOf } from '../../src/analysis/next-characters.js';
import { determine } from '../../src/engine/determine.js';
import type { Collection } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const withFind = (shape: 'tree' | 'reticulate') =>
  fc.tuple(keyData(7, shape), specimen).chain(([key, s]) => seen(s).map((written) => ({ key, written })));

describe('what a look would leave, in a key without descriptions', () => {
  for (const shape of ['tree', 'reticulate'] as const)
    it(`is what the key names when it is recorded (${shape})`, () => {
      fc.assert(
        fc.property(withFind(shape), ({ key: data, written }) => {
          const key = open(data);
          const found = determine(key, find(observed(key, written)));
          if (found.possible.length < 2) return;
          const { next } = analyse(found);
          for (const look of next.looks) {
            for (const { shows, left } of look.outcomes) {
              const after = { ...written, [look.character.id]: shows === 'does not apply' ? '-' : shows };
              const named = determine(key, find(observed(key, after))).possible.map((t) => t.id);
              const said = left.map((t) => t.id);
              expect([look.character.id, shows, said.sort()]).toEqual([
                look.character.id,
                shows,
                named.sort(),
              ]);
            }
            expect(look.pairs).toBeLessThanOrEqual(next.pairs);
            expect(look.decisivePairs).toBeLessThanOrEqual(Math.min(look.pairs, next.decisivePairs));
            expect(look.expectedLeft).toBeLessThanOrEqual(next.among.length + 1e-9);
            expect(look.information).toBeLessThanOrEqual(Math.log2(next.among.length) + 1e-9);
          }
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
    print: { name: 'print', states: ['white', 'rust'], wait: '6 h', effort: 6, stages: ['mature'] },
    ring: { name: 'ring', states: ['present', 'absent'], perishable: true },
    drying: { name: 'drying', states: ['zoned', 'even'], wait: '30 min', effort: 2 },
    gills: { name: 'gills', states: ['yellow', 'pale'], stages: ['young'] },
    smell: { name: 'smell', states: ['mealy', 'none'] },
    width: { name: 'width', kind: 'measure', unit: 'cm' },
    warts: { name: 'warts', kind: 'count' },
  },
  couplets: {
    1: [
      { lead: 'Print rusty', when: { print: 'rust' }, taxon: 'bell' },
      { lead: 'Print white', when: { print: 'white' }, to: '2' },
    ],
    2: [
      { lead: 'Small', when: { width: '< 4' }, taxon: 'small' },
      { lead: 'Large', when: { width: '>= 4' }, to: '3' },
    ],
    3: [
      { lead: 'By eye, one', taxon: 'large' },
      { lead: 'By eye, two', taxon: 'other' },
    ],
  },
  taxa: {
    bell: {
      name: 'Bell',
      concern: { level: 'deadly' },
      traits: { ring: 'present', drying: 'zoned', gills: 'pale' },
    },
    small: { name: 'Small', traits: { ring: 'absent', drying: 'even', gills: 'pale', warts: '0-3' } },
    large: { name: 'Large', traits: { ring: 'absent', drying: 'zoned', gills: 'yellow', warts: '4-6' } },
    other: { name: 'Other', traits: { ring: ['present', 'absent'], warts: '7' } },
  },
});

const nextOf = (
  written: Record<string, string>,
  more: Partial<Collection> = {},
  by?: readonly (typeof criteria)[number][],
) => analyse(determine(key, find(observed(key, written), more)), by === undefined ? {} : { by }).next;

describe('what to look at next', () => {
  it('ranks harm before the rest, and says when', () => {
    const next = nextOf({ smell: 'none' }, { stages: ['mature'] });
    expect(next.among.map((t) => t.id)).toEqual(['bell', 'small', 'large', 'other']);
    expect([next.pairs, next.decisivePairs, next.couplets]).toEqual([6, 3, ['3']]);
    expect(next.looks.map((l) => [l.character.id, l.when, l.fresh, l.decisivePairs, l.pairs])).toEqual([
      ['print', 'tonight', false, 3, 3],
      ['ring', 'now', true, 2, 2],
      ['gills', 'another age', false, 1, 2],
      ['drying', 'now', false, 1, 2],
      ['warts', 'now', false, 0, 3],
      ['width', 'now', false, 0, 2],
    ]);
  });

  it('takes what descriptions are silent of from the leads', () => {
    // No width is described; the leads of couplet 2 part Small from Large and Other, and say nothing of Bell.
    const width = nextOf({}).looks.find((l) => l.character.id === 'width');
    expect(width?.outcomes.map((o) => [o.shows, o.left.map((t) => t.id)])).toEqual([
      ['< 4 cm', ['bell', 'small']],
      ['>= 4 cm', ['bell', 'large', 'other']],
    ]);
    const print = nextOf({}).looks.find((l) => l.character.id === 'print');
    expect(print?.outcomes.map((o) => [o.shows, o.left.length])).toEqual([
      ['white', 3],
      ['rust', 1],
    ]);
  });

  it('cuts counts between whole numbers', () => {
    const warts = nextOf({}).looks.find((l) => l.character.id === 'warts');
    expect(warts?.outcomes.map((o) => [o.shows, o.left.map((t) => t.id)])).toEqual([
      ['<= 3', ['bell', 'small']],
      ['4-6', ['bell', 'large']],
      ['7', ['bell', 'other']],
      ['>= 8', ['bell']],
    ]);
  });

  it('leaves out what is known, and names what was looked at in vain or is known in part', () => {
    const next = nextOf({ print: '?', ring: 'absent', width: '3-5 cm' });
    expect(next.looks.find((l) => l.character.id === 'ring')).toBeUndefined();
    expect(next.looks.find((l) => l.character.id === 'print')?.seen).toBe('in vain');
    expect(next.looks.find((l) => l.character.id === 'width')?.seen).toBe('in part');
    expect(next.looks.find((l) => l.character.id === 'drying')?.seen).toBe('no');
  });

  it('orders by any criterion that is asked for', () => {
    expect(nextOf({}, {}, ['finish']).looks[0]?.character.id).not.toBe('print');
    for (const by of criteria) {
      const { looks } = nextOf({}, {}, [by]);
      const value = (l: (typeof looks)[number]) =>
        ({
          harm: -l.decisivePairs,
          pairs: -l.pairs,
          information: -l.information,
          left: l.expectedLeft,
          effort: -l.perEffort,
          finish: l.finish,
        })[by];
      const values = looks.map(value);
      expect(values.map((v) => v.toFixed(6))).toEqual(
        [...values].sort((a, b) => a - b).map((v) => v.toFixed(6)),
      );
    }
  });

  it('tells a single candidate from what one slip hides, where that is grave or fits as well', () => {
    const next = nextOf({ print: 'white', width: '3 cm' });
    expect(next.among.map((t) => t.id)).toEqual(['small', 'bell', 'large', 'other']);
    expect(next.looks[0]?.character.id).toBe('ring');
  });

  it('has nothing to say where nothing is to be told apart', () => {
    const one = open({
      keywright: 1,
      id: 'o',
      title: 'O',
      version: '1',
      couplets: {
        1: [
          { lead: 'A', taxon: 't' },
          { lead: 'B', taxon: 't' },
        ],
      },
      taxa: { t: { name: 'T' } },
    });
    expect(analyse(determine(one, find([]))).next).toMatchObject({ pairs: 0, looks: [] });
  });

  it('reads waits', () => {
    expect([
      minutesOf('6 h'),
      minutesOf('30 min'),
      minutesOf('90 s'),
      minutesOf('1 d'),
      minutesOf(undefined),
    ]).toEqual([360, 30, 1.5, 1440, 0]);
  });
});
