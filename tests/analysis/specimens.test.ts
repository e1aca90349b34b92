import { beforeAll, describe, expect, it } from 'vitest';
import { compareGatherings, compareSpecimens } from '../../src/analysis/specimens.js';
import type { CompiledKey } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import type { Collection } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { season, tufts } from './season.js';

let key: CompiledKey;
let finds: ReadonlyMap<string, Collection>;
beforeAll(() => {
  key = tufts();
  finds = season(key);
});

const study = (id: string) => compareSpecimens(key, finds.get(id) as Collection);
const setsOf = (id: string) =>
  study(id)?.sets.map((s) => `${s.specimens.join(' ')}: ${s.taxa.map((t) => t.id).join(' ')}`);

describe('several specimens', () => {
  it('gives each its own result beside the joint one', () => {
    const results = study('017')?.specimens.map((s) => [s.specimen, s.found.name, s.found.verdict.word]);
    expect(results).toEqual([
      ['a', 'Kuehneromyces mutabilis', 'not cleared'],
      ['b', 'Galerina marginata', 'leave it'],
      ['c', 'Kuehneromyces mutabilis', 'not cleared'],
    ]);
    expect(compareSpecimens(key, finds.get('003') as Collection)).toBeUndefined();
  });

  it('finds two species in one basket', () => {
    expect(setsOf('017')).toEqual(['a c: kuehneromyces-mutabilis', 'b: galerina-marginata']);
    expect(setsOf('032')).toEqual(['a d: hypholoma-fasciculare', 'b c: hypholoma-capnoides']);
    expect(study('017')?.conflicts.map((c) => [c.character.id, c.varies])).toEqual([
      ['ring-texture', false],
      ['stem-surface', false],
      ['smell', false],
    ]);
  });

  it('leaves together what one species may show', () => {
    expect(setsOf('035')).toEqual(['a b: galerina-marginata']);
    expect(study('035')?.conflicts.map((c) => [c.character.id, c.varies])).toEqual([
      ['ring', true],
      ['ring-texture', true],
    ]);
    expect(setsOf('002')).toEqual(['a b c: kuehneromyces-mutabilis']);
  });

  it('says when nothing was seen on both of two specimens', () => {
    expect(study('041')?.unconnected).toEqual([['a'], ['b']]);
    expect(study('002')?.unconnected).toEqual([]);
  });

  const pair = open({
    keywright: 1,
    id: 'p',
    title: 'P',
    version: '1',
    characters: { a: { name: 'a', states: ['x', 'y', 'z'] }, b: { name: 'b', states: ['x', 'y'] } },
    couplets: {
      1: [
        { lead: 'X', when: { a: 'x' }, taxon: 'tx' },
        { lead: 'Y', when: { a: 'y' }, taxon: 'ty' },
      ],
    },
    taxa: { tx: { name: 'TX', traits: { b: 'x' } }, ty: { name: 'TY', traits: { b: 'y' } } },
  });

  it('goes by descriptions where the key does not part what differs', () => {
    const specimens = [
      ...observed(pair, { b: 'x' }, { specimen: '1' }),
      ...observed(pair, { b: 'y' }, { specimen: '2' }),
      ...observed(pair, { a: '?' }, { specimen: '3' }),
    ];
    const result = compareSpecimens(pair, find(specimens));
    expect(result?.sets.map((s) => [s.specimens, s.taxa.map((t) => t.id)])).toEqual([
      [['1'], ['tx']],
      [['2'], ['ty']],
    ]);
    expect(result?.either).toEqual(['3']);
  });

  it('names a specimen that fits nothing by itself', () => {
    const specimens = [
      ...observed(pair, { a: 'z' }, { specimen: '1' }),
      ...observed(pair, { a: 'x' }, { specimen: '2' }),
    ];
    const result = compareSpecimens(pair, find(specimens));
    expect(result?.nothing).toEqual(['1']);
    expect(result?.sets.map((s) => s.specimens)).toEqual([['2']]);
  });
});

describe('a second gathering', () => {
  it('is compared with the first character by character', () => {
    const [first, second] = ['002', '005'].map((id) => determine(key, finds.get(id) as Collection));
    const both = compareGatherings(first!, second!);
    expect(both.sameTaxon).toBe('ruled out');
    expect(both.conflicts.map((c) => c.character.id)).toEqual([
      'ring-texture',
      'stem-surface',
      'smell',
      'wood',
    ]);
    expect(both.measuresApart.map((c) => c.id)).toEqual(['cap-width']);
    expect(both.agrees.map((c) => c.id)).toContain('spore-print');
  });

  it('may be the same where a taxon suits both', () => {
    const [first, second] = ['006', '021'].map((id) => determine(key, finds.get(id) as Collection));
    const both = compareGatherings(first!, second!);
    expect([both.sameTaxon, both.common.map((t) => t.id)]).toEqual(['possible', ['hypholoma-capnoides']]);
    expect(both.onlyFirst.map((c) => c.id)).toEqual(['gill-colour', 'flesh-colour', 'wood']);
  });
});
