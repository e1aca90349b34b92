import { describe, expect, it } from 'vitest';
import { TaxonNames } from '../../src/key/taxon-names.js';
import { open } from '../support/open.js';

const KEY = open(`keywright: 1
id: moss
title: Moss
version: 1.0.0
couplets:
  1: [{lead: A, taxon: [bell, alder]}, {lead: B, taxon: [honey, dark-honey, plana]}, {lead: C, taxon: [fries, pers]}]
taxa:
  bell: {name: Galerina marginata, authority: (Batsch) Kühner, common: [funeral bell, Gift-Häubling], synonyms: [Galerina unicolor, "Galerina autumnalis (Peck) A.H. Sm. & Singer"]}
  alder: {name: Naucoria escharioides, synonyms: [Agaricus varius]}
  honey: {name: Armillaria mellea, common: [honey fungus, Hallimasch]}
  dark-honey: {name: Armillaria ostoyae, common: [Hallimasch], synonyms: [Armillaria mellea var. obscura]}
  plana: {name: Plana communis, synonyms: [Agaricus varius, Armillaria mellea]}
  fries: {name: Agaricus albus, authority: Fr.}
  pers: {name: Agaricus albus, authority: Pers.}
`);
const names = new TaxonNames(KEY.chain.taxa.values());
const called = (written: string) => names.called(written).map((t) => t.id);

describe('what a taxon is called', () => {
  it.each<[string, ...string[]]>([
    ['bell', 'bell'],
    ['Galerina marginata', 'bell'],
    ['GALERINA_marginata', 'bell'],
    ['Galerina marginata (Batsch) Kühner', 'bell'],
    ['Galerina marginata (Batsch) Ku\u0308hner', 'bell'],
    ['Galerina marginata (Batsch) Kühner, 1935', 'bell'],
    ['Galerina cf. marginata', 'bell'],
    ['Galerina unicolor (Vahl) Singer', 'bell'],
    ['Galerina autumnalis', 'bell'],
    ['Funeral Bell', 'bell'],
    ['gift-häubling', 'bell'],
    ['Armillaria mellea var. obscura Gillet', 'dark-honey'],
    // The taxon that bears a name comes before one that once did.
    ['Armillaria mellea', 'honey'],
    ['Dark-Honey', 'dark-honey'],
    ['Agaricus albus Pers.', 'pers'],
    ['Agaricus albus Fr.', 'fries'],
    // Not clear which.
    ['Hallimasch', 'honey', 'dark-honey'],
    ['Agaricus varius', 'alder', 'plana'],
    ['Agaricus albus', 'fries', 'pers'],
    ['Agaricus albus Quél.', 'fries', 'pers'],
    ['Galerina paludosa'],
    ['constructor'],
    [''],
  ])('%j', (written, ...ids) => {
    expect(called(written)).toEqual(ids);
  });

  it('the nearest is found with an author behind it, and among common names', () => {
    expect(names.nearest('Galerina marginatta (Batsch) Kühner')).toBe('Galerina marginata');
    expect(names.nearest('funerel bell')).toBe('funeral bell');
  });
});
