/** Headings of tables: their units, columns that are remarks, tables of common names; and drafts in German. */
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/analysis/key-measures.js';
import { readTaxaTable } from '../../src/commands/draft/table.js';
import { draftText } from '../../src/commands/draft/text.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { findingLines } from '../../src/words/findings.js';
import { faultsOf } from './lint.js';
import { drafted } from './support.js';

const read = (text: string, asCharacter: readonly string[] = []) =>
  readTaxaTable({ file: 't.csv', text }, ',', emptyShelf, undefined, asCharacter);
const characterOf = (heading: string, cells = ['1-2', '3-4']) => {
  const { table, findings } = read(`name,${heading}\nAus aus,${cells[0]}\nAus bus,${cells[1]}\n`);
  const [character] = table?.key.characters.values() ?? [];
  return findings.length > 0
    ? findingLines(findings)
    : [character?.id, character?.name, character?.kind, character?.unit.id];
};

describe('the unit of a heading', () => {
  it.each<[string, (string | undefined)[]]>([
    ['cap width (cm)', ['cap-width', 'cap width', 'measure', 'cm']],
    ['cap width [CM]', ['cap-width', 'cap width', 'measure', 'cm']],
    ['cap width (inches)', ['cap-width', 'cap width', 'measure', 'in']],
    ['cap width cm', ['cap-width', 'cap width', 'measure', 'cm']],
    ['cap width (feet)', ['cap-width', 'cap width', 'measure', 'ft']],
    ['spore length (µm)', ['spore-length', 'spore length', 'measure', 'um']],
    // What may stand for something else is no unit where it has no brackets.
    ['leaf length min', ['leaf-length-min', 'leaf length min', 'count', '1']],
    ['teeth (n)', ['teeth', 'teeth', 'count', '1']],
    ['teeth (upper jaw)', ['teeth-upper-jaw', 'teeth (upper jaw)', 'count', '1']],
    [
      'cap width (mmm)',
      [
        't.csv:1:6 error: "mmm" in the heading "cap width (mmm)" is not a unit; did you mean mm? [column-unit]',
      ],
    ],
    [
      'cap width (centimters)',
      [
        't.csv:1:6 error: "centimters" in the heading "cap width (centimters)" is not a unit; did you mean centimeter? [column-unit]',
      ],
    ],
  ])('%s', (heading, said) => {
    expect(characterOf(heading)).toEqual(said);
  });

  it('is looked for in columns of numbers only', () => {
    expect(characterOf('gills (young)', ['white', 'pink'])).toEqual([
      'gills-young',
      'gills (young)',
      'choice',
      '1',
    ]);
  });

  it('counts where shared terms have another', () => {
    const terms = {
      file: 'x.terms.yaml',
      text: 'keywright-terms: 1\ncharacters: {width: {name: width of the cap, kind: measure, unit: cm}}\n',
    };
    const text = 'name,width (mm)\nAus aus,20-40\nAus bus,5\n';
    const { table, findings } = readTaxaTable({ file: 't.csv', text }, ',', emptyShelf, terms);
    expect(findings).toEqual([]);
    expect(table?.data.taxa).toMatchObject({ 'aus-aus': { traits: { width: '20-40 mm' } } });
  });
});

describe('numbers in cells', () => {
  it('that come out of calculations are read', () => {
    expect(characterOf('length (m)', ['0.30000000000000004', '0.1-0.7000000000000001'])).toEqual([
      'length',
      'length',
      'measure',
      'm',
    ]);
  });

  it('with thousands set apart are never advised to be decimals', () => {
    const said = characterOf('length (m)', ['"1,000"', '2']).join('\n');
    expect(said).toContain('write "1000"');
    expect(said).not.toMatch(/1\.0/);
  });
});

describe('columns that are remarks', () => {
  const csv = 'name,habitat,note\nAus aus,wood,x\nAus bus,field,\n';

  it('are told, and can be asked', () => {
    expect(read(csv).table?.remarks).toEqual([
      'column "habitat" is kept with each taxon as a remark and never asked; --ask habitat makes a character of it',
      'column "note" is kept with each taxon as a remark and never asked; --ask note makes a character of it',
    ]);
    const { table } = read(csv, ['Habitat']);
    expect([...(table?.key.characters.keys() ?? [])]).toEqual(['habitat']);
    expect(findingLines(read(csv, ['habitt']).findings)).toEqual([
      't.csv:1:1 error: no column is called "habitt"; did you mean habitat? [column-known]',
    ]);
  });
});

describe('common names', () => {
  it('name the taxa of a table that has no others, and are not judged as scientific ones', () => {
    const { text } = drafted(
      'common,rank,ring\nlesser spotted newt,species,present\nnewt (great),species,absent\n',
      {},
      ',',
    );
    expect(text).toContain('name: lesser spotted newt\n    common: [lesser spotted newt]');
    expect(findingLines(faultsOf(text))).toEqual([]);
  });
});

describe('the account', () => {
  it('speaks of one answer in the singular', () => {
    const { text, account } = drafted(
      'name,ring,gills\nAus aus,present,free\nAus bus,absent,free\n',
      {},
      ',',
    );
    const { chain } = loadChain(text, 'x.key.yaml', emptyShelf);
    if (chain === undefined) throw new Error('not loaded');
    const measures = measure(chain, false);
    const one = { ...measures, bounds: { ...measures.bounds, answers: 1 } };
    expect(draftText(account, one, [])[1]).toContain('the least that 1 answer needs: mean');
    expect(draftText(account, measures, [])[1]).toContain('the least that 2 answers need: mean');
  });
});

describe('a draft in German', () => {
  const csv = [
    'name,rank,Farbe des Hutes,Breite des Hutes (cm),Form der Lamellen,Ring',
    'Aus aus,species,rot,2-4.5,frei,vorhanden',
    'Aus bus,species,rot,6-8,frei,vorhanden',
    'Aus cus,species,gelb,2-3,frei,fehlend',
    'Aus dus,species,gelb,2-3,herablaufend,fehlend',
    'Aus eus,species,gelb,2-3,herablaufend,fehlend',
  ].join('\n');
  const { text } = drafted(
    csv,
    { head: { id: 'd', title: 'D', date: '2026-11-25', regions: [], language: 'de' } },
    ',',
  );

  it('has German leads, organ first, and German words beside them', () => {
    const leads = [...text.matchAll(/- lead: "?(.*?)"?$/gm)].map((m) => m[1]);
    expect(leads).toContain('Lamellen: Form frei');
    expect(leads).toContain('Hut: Breite unter 5 cm');
    expect(text).toMatch(/# 5 Taxa: \d und \d/);
    expect(text).toContain('nichts, was beschrieben ist und hier gefragt werden kann, trennt diese');
    expect(text).toMatch(/^# Entworfen aus taxa.yaml/);
    expect(text).toContain('cite: Tabelle der Taxa taxa.yaml');
  });

  it('has nothing that lint objects to', () => {
    expect(findingLines(faultsOf(text))).toEqual([]);
  });
});
