import { describe, expect, it } from 'vitest';
import { readChecklist } from '../../src/commands/trim/checklist.js';
import { understandList } from '../../src/commands/trim/listed.js';
import { open } from '../support/open.js';

const KEY = open(`keywright: 1
id: moss
title: Moss
version: 1.0.0
couplets:
  1: [{lead: A, to: 2}, {lead: B, taxon: [bryum, dicranum-majus]}, {lead: C, taxon: agg}]
  2: [{lead: A, taxon: galerina-marginata}, {lead: B, taxon: poa-annua-reptans}]
taxa:
  galerina-marginata: {name: Galerina marginata, authority: (Batsch) Kühner, common: [funeral bell], synonyms: [Galerina unicolor, "Galerina autumnalis (Peck) A.H. Sm. & Singer"]}
  bryum: {name: Bryum, rank: genus}
  dicranum-majus: {name: Dicranum majus}
  poa-annua-reptans: {name: Poa annua subsp. reptans}
  agg: {name: Rubus fruticosus, rank: aggregate}
  rubus-idaeus-x: {name: Rubus bifrons, within: agg}
`);

const KEY_OF_BELLS = open(`keywright: 1
id: bells
title: Bells
version: 1.0.0
couplets:
  1: [{lead: A, taxon: aa}, {lead: B, taxon: bb}]
taxa:
  aa: {name: Aa prima, common: [bell]}
  bb: {name: Bb secunda, common: [bell]}
`);

const kept = (text: string, file = 'l.txt') =>
  [...understandList(readChecklist(text, file), KEY).kept].sort();
const strange = (text: string, file = 'l.txt') =>
  understandList(readChecklist(text, file), KEY).strange.map((s) => [s.name.line, s.name.written, s.nearest]);

describe('names of a list', () => {
  it.each([
    ['galerina-marginata'],
    ['Galerina marginata'],
    ['GALERINA MARGINATA'],
    ['Galerina_marginata'],
    ['Galerina marginata (Batsch) Kühner'],
    ['Galerina marginata (Batsch) Kühner, 1935'],
    ['Galerina cf. marginata'],
    ['  galerina   marginata  # on a log'],
    ['Galerina unicolor (Vahl) Singer'],
    ['Galerina autumnalis'],
    ['Funeral bell'],
    ['Galerina'],
    ['Galerina sp.'],
    ['Galerina Earle'],
    ['Galerina marginata var. tarnensis'],
  ])('%s is Galerina marginata', (name) => {
    expect(kept(name)).toEqual(['galerina-marginata']);
  });

  it('a species keeps the end of its genus, or of the group that it lies in', () => {
    expect(kept('Bryum argenteum Hedw.')).toEqual(['bryum']);
    expect(kept('Rubus bifrons')).toEqual(['agg', 'rubus-idaeus-x']);
  });

  it('a species keeps what is parted within it', () => {
    expect(kept('Poa annua L.')).toEqual(['poa-annua-reptans']);
  });

  it('a name that may be several keeps all of them, and is said, unless another word of its row is clear', () => {
    const bells = KEY_OF_BELLS;
    const read = (text: string, file = 'l.txt') => understandList(readChecklist(text, file), bells);
    const list = read('# bells\nbell\n');
    expect([...list.kept].sort()).toEqual(['aa', 'bb']);
    expect(list.unclear.map((u) => [u.name.line, u.taxa.map((t) => t.id)])).toEqual([[2, ['aa', 'bb']]]);
    const clear = read('scientificName,vernacularName\nAa prima,bell\n', 'l.csv');
    expect([[...clear.kept], clear.unclear]).toEqual([['aa'], []]);
  });

  it('another species of a genus is not known', () => {
    expect(strange('Galerina paludosa\n\nDicranum mayus\nGalerina marginatta')).toEqual([
      [1, 'Galerina paludosa', undefined],
      [3, 'Dicranum mayus', 'Dicranum majus'],
      [4, 'Galerina marginatta', 'Galerina marginata'],
    ]);
  });
});

describe('tables', () => {
  it('Darwin Core: accepted names, parts of names, absences, each taxon once', () => {
    const list = readChecklist(
      [
        'occurrenceID,scientificName,acceptedScientificName,genus,specificEpithet,occurrenceStatus',
        '1,"Galerina unicolor (Vahl) Singer",Galerina marginata,,,PRESENT',
        '2,"Galerina unicolor (Vahl) Singer",Galerina marginata,,,PRESENT',
        '3,,,Dicranum,majus,present',
        '4,Bryum argenteum,,,,absent',
      ].join('\n'),
      'o.csv',
    );
    expect(list.absent).toBe(1);
    expect(list.names.map((n) => [n.line, n.written])).toEqual([
      [2, 'Galerina marginata'],
      [4, 'Dicranum majus'],
    ]);
    expect([...understandList(list, KEY).kept].sort()).toEqual(['dicranum-majus', 'galerina-marginata']);
  });

  it('tabs, semicolons, name spaces, ids, quotes over lines', () => {
    expect(kept('dwc:taxonID\tdwc:scientificName\nx1\tBryum\n', 'l.tsv')).toEqual(['bryum']);
    expect(kept('id;number\r\nbryum;3\r\n', 'l.csv')).toEqual(['bryum']);
    expect(kept('note,Name\n"two\nlines",Dicranum majus\n', 'l.csv')).toEqual(['dicranum-majus']);
    expect(kept('scientificName\nBryum\n')).toEqual(['bryum']);
  });

  it('say where no column holds names, and where a quote is not closed', () => {
    const [none] = readChecklist('# my list\nwhat,where\nBryum,here\n', 'l.csv').findings;
    expect(none?.place.start).toMatchObject({ line: 2, column: 1 });
    expect(none?.message).toMatch(/no column holds names/);
    const [open] = readChecklist('name,note\nBryum,"here\n', 'l.csv').findings;
    expect(open?.place.start.line).toBe(2);
  });

  it('a list of plain names may have commas in it', () => {
    expect(kept('# list\nDicranum majus Turner, 1804\nBryum\n')).toEqual(['bryum', 'dicranum-majus']);
  });
});
