import { describe, expect, it } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import { regionRelation } from '../../src/engine/region.js';
import { find, open } from '../support/open.js';

describe('whether a region lies within another', () => {
  it.each([
    // ISO 3166: a country holds its parts.
    ['GB-CMA', 'GB', 'within'],
    ['GB-CMA', 'GB-CMA', 'within'],
    ['GB', 'GB-CMA', 'within'],
    ['GB-CMA', 'GB-LND', 'apart'],
    ['DE-BY', 'GB', 'apart'],
    // WGSRPD, 2nd edition: Oregon (ORE, ORE-OO) in Northwestern USA (73) in Northern America (7).
    ['ORE-OO', 'ORE', 'within'],
    ['ORE-OO', '73', 'within'],
    ['ORE', '7', 'within'],
    ['73', '7', 'within'],
    ['7', 'ORE', 'within'],
    ['ORE', '71', 'apart'],
    ['ORE', 'WAS', 'apart'],
    ['BRC', '71', 'within'],
    ['GER', '11', 'within'],
    ['GRB', '1', 'within'],
    ['NSW', '5', 'within'],
    ['NSW', '7', 'apart'],
    // A unit that is not in the table, and two schemes.
    ['XYZ', '73', 'not known'],
    ['XYZ', 'ORE', 'not known'],
    ['GB-CMA', 'GRB', 'not known'],
  ] as const)('%s to %s: %s', (inner, outer, lie) => {
    expect(regionRelation(inner, outer)).toBe(lie);
  });

  it('is said of a find before anything else', () => {
    const key = open({
      keywright: 1,
      id: 'k',
      title: 'K',
      version: '1',
      scope: { regions: ['73', 'BRC'] },
      couplets: {
        1: [
          { lead: 'A', taxon: 't' },
          { lead: 'B', taxon: 't' },
        ],
      },
      taxa: { t: { name: 'T' } },
    });
    const warnings = (region: string) => determine(key, find([], { region })).warnings.map((w) => w.message);
    expect(warnings('ORE-OO')).toEqual([]);
    expect(warnings('GER')).toEqual([
      'GER lies outside the regions of k (73 and BRC): the find may not be in this key',
    ]);
    expect(warnings('US-OR')).toEqual([
      'whether US-OR lies within the regions of k (73 and BRC) cannot be told from the codes: the find may not be in this key',
    ]);
  });
});
