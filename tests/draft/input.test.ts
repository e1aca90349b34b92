/** What tables may look like, what is said of mistakes in them, and the words that leads are put in. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readTaxaTable } from '../../src/commands/draft/table.js';
import { emptyShelf } from '../../src/key/load.js';
import { findingLines } from '../../src/words/findings.js';
import { program, root } from '../support/program.js';
import { faultsOf } from './lint.js';
import { draft, drafted } from './support.js';

const leads = (text: string) => [...text.matchAll(/- lead: "?(.*?)"?$/gm)].map((m) => m[1]);
const errors = (csv: string) => findingLines(draft(csv, {}, ',').findings);

describe('a table of cells', () => {
  const csv = [
    'name,rank,concern,frequency,cap width (cm),gills,ring,texture of the ring,spots',
    'Aus aus,species,deadly,3,(3-)5-8(-12),free,present,fibrous,0',
    'Aus bus,species,none-recorded,1,2-4,free | adnate,absent,-,3-5',
    'Bus cus,species,upset,,15-20,adnate,present,membranous,?',
    'Bus dus,species,none-recorded,2,,adnate,present,fibrous | membranous,2',
  ].join('\n');

  it('gives characters of their kinds, and what depends on what', () => {
    const { table, findings } = readTaxaTable({ file: 't.csv', text: csv }, ',', emptyShelf);
    expect(findings).toEqual([]);
    const shown = [...(table?.key.characters.values() ?? [])].map((c) => [c.id, c.kind, c.unit.id]);
    expect(shown).toEqual([
      ['cap-width', 'measure', 'cm'],
      ['gills', 'choice', '1'],
      ['ring', 'choice', '1'],
      ['texture-of-the-ring', 'choice', '1'],
      ['spots', 'count', '1'],
    ]);
    expect(table?.key.characters.get('texture-of-the-ring')?.appliesWhen).toMatchObject({
      character: 'ring',
    });
    expect(table?.key.taxa.get('bus-cus')?.traits.has('spots')).toBe(false);
  });

  it('gives a key that lint has nothing against but a term that the table does not explain', () => {
    const faults = faultsOf(drafted(csv, {}, ',').text).filter((f) => f.rule !== 'term-defined');
    expect(findingLines(faults)).toEqual([]);
  });

  it.each([
    ['', ['taxa.yaml:1:1 error: the table is empty; its first line must name the columns [table-header]']],
    [
      'name,gills\n',
      [
        'taxa.yaml:1:1 error: the table has no taxa: only the first line, which names the columns [table-rows]',
      ],
    ],
    [
      'gills,ring\nfree,present\n',
      ['taxa.yaml:1:1 error: no column holds the names of the taxa [table-header]'],
    ],
    [
      'name,gills\nAus aus,free\nAus aus,adnate\n',
      ['taxa.yaml:3:1 error: taxon "Aus aus" stands twice [id-unique]', '    taxa.yaml:2:1 the first one'],
    ],
    [
      'name,width (cm)\nAus aus,2-4\nAus bus,5-\nAus cus,7\n',
      [
        'taxa.yaml:3:9 error: width: "5-" is not a number as keys write them (12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit) [number-form]',
      ],
    ],
    [
      'name,concern,gills\nAus aus,deadley,free\nAus bus,upset,adnate\n',
      [
        'taxa.yaml:2:9 error: "level" in "concern" of taxon aus-aus is "deadley"; did you mean "deadly"? [value-allowed]',
      ],
    ],
    [
      'name,gills\nAus aus\nAus bus,free\n',
      ['taxa.yaml:2:1 error: this row has 1 cell, and the first line names 2 columns [row-length]'],
    ],
    [
      'name,gills\n"Aus aus,free\nAus bus,adnate\n',
      ['taxa.yaml:2:1 error: a quote (") opens here that is not closed [row-form]'],
    ],
    [
      'name,gills\nAus aus,free\nAus bus,\n',
      [
        'taxa.yaml:3:1 error: Aus bus is not described, so a key could lead to it anywhere; describe it, or take it out [taxon-described]',
      ],
    ],
  ])('says where a mistake is: %j', (text, said) => {
    expect(errors(text)).toEqual(said);
  });

  it('takes characters from shared terms, and names the nearest where a column or state is none of theirs', () => {
    const terms = {
      file: 'x.terms.yaml',
      text: 'keywright-terms: 1\ncharacters:\n  gills: {name: how the gills meet the stem, states: {free: not at all, adnate: by their whole width}, effort: 2}\n',
    };
    const read = (text: string) => readTaxaTable({ file: 't.csv', text }, ',', emptyShelf, terms);
    expect(findingLines(read('name,gils\nAus aus,free\n').findings)).toEqual([
      't.csv:1:6 error: column 2, "gils", is neither a character of x.terms.yaml nor a field of a taxon; did you mean gills? [column-known]',
    ]);
    expect(findingLines(read('name,gills\nAus aus,fre\n').findings)).toEqual([
      't.csv:2:9 error: "fre" is not a state of gills; did you mean free? [state-known]',
    ]);
    const good = read('name,how the gills meet the stem\nAus aus,not at all\nAus bus,adnate\n');
    expect(good.findings).toEqual([]);
    expect(good.table?.key.characters.get('gills')?.effort).toBe(2);
  });
});

describe('the words of leads', () => {
  const one = (character: object, values: readonly unknown[], more: object = {}) =>
    leads(
      drafted({
        'keywright-taxa': 1,
        ...more,
        characters: { 'the-part': character },
        taxa: Object.fromEntries(
          values.map((v, i) => [`t${i}`, { name: `Taxon ${'abc'[i]}us`, traits: { 'the-part': v } }]),
        ),
      }).text,
    );

  it.each([
    [
      { name: 'colour of the spore print', states: ['rust', 'white'] },
      ['rust', 'white'],
      ['Spore print rust', 'Spore print white'],
    ],
    [{ name: 'ring', states: ['present', 'absent'] }, ['present', 'absent'], ['Ring present', 'Ring absent']],
    [
      { name: 'width of the cap', kind: 'measure', unit: 'cm' },
      ['2-4.3', '5.1-8'],
      ['Cap width under 4.7 cm', 'Cap width 4.7 cm or more'],
    ],
    [{ name: 'number of rays', kind: 'count' }, ['0', '3-5'], ['Rays 1 or fewer', 'Rays 2 or more']],
    [{ name: 'number of rays', kind: 'count' }, ['0', '1'], ['Rays 0', 'Rays 1 or more']],
    [
      { name: 'spore length', kind: 'measure', unit: 'um' },
      ['6-8', '8.5-9'],
      ['Spore length under 8.3 µm', 'Spore length 8.3 µm or more'],
    ],
    [
      {
        name: 'smell',
        states: { mealy: 'of meal or cucumber', none: 'none', far: 'of something that nobody can name' },
      },
      ['mealy', 'none'],
      ['Smell mealy', 'Smell none or far'],
    ],
    [
      { name: 'the part, how it breaks', states: { a: 'with a crack', b: 'slowly' } },
      ['a', 'b'],
      ['The part, how it breaks a', 'The part, how it breaks slowly'],
    ],
  ])('%j', (character, values, said) => {
    expect(one(character, values)).toEqual(said);
  });

  it('are German where the key is', () => {
    const german = { language: 'de' };
    expect(
      one({ name: 'Farbe des Hutes', states: ['rot', 'gelb', 'braun'] }, ['rot', 'gelb'], german),
    ).toEqual(['Hut rot', 'Hut gelb oder braun']);
    for (const [name, part] of [
      ['Farbe des Stieles', 'Stiel'],
      ['Farbe des Stiels', 'Stiel'],
      ['Farbe des Sporenpulvers', 'Sporenpulver'],
      ['Farbe des Fußes', 'Fuß'],
      ['Farbe des Halses', 'Hals'],
      ['Farbe des Auges', 'Auge'],
      ['Farbe des Eies', 'Ei'],
      ['Farbe der Lamellen', 'Lamellen'],
      ['Größe des Randes', 'Rand: Größe'],
      ['Farbe des jungen Hutes', 'Farbe des jungen Hutes'],
    ])
      expect(one({ name, states: ['rot', 'gelb'] }, ['rot', 'gelb'], german)).toEqual([
        `${part} rot`,
        `${part} gelb`,
      ]);
    expect(one({ name: 'Hutbreite', kind: 'measure', unit: 'cm' }, ['2-4', '5-8'], german)).toEqual([
      'Hutbreite unter 4,5 cm',
      'Hutbreite 4,5 cm oder mehr',
    ]);
  });
});

describe('the command', () => {
  const folder = mkdtempSync(join(tmpdir(), 'keywright-draft-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const run = (args: readonly string[], input = '') => program(['draft', ...args], { cwd: folder, input });
  const example = readFileSync(join(root, 'examples/hollow-boletes.csv'), 'utf8');

  it('writes the key to stdout and the account to stderr, and never speaks of an optimum', () => {
    const { status, stdout, stderr } = run(['-'], example);
    expect(status).toBe(0);
    expect(findingLines(faultsOf(stdout))).toEqual([]);
    expect(stdout).toContain('\nid: draft\n');
    expect(stderr).toContain('11 taxa: 9 couplets, 10 ends');
    expect(stderr).toContain(
      'end together, since what could tell them apart is not described of all of them: Hollowia parva and Hollowia gemella (tree)',
    );
    expect(stderr).toMatch(/expected effort: [\d.]+; no key over these characters takes less than [\d.]+/);
    expect(stdout + stderr + run(['--help']).stdout).not.toMatch(/optim/i);
  });

  it('reads a key again without its couplets, keeps what stands in its way, and goes on where it may', () => {
    writeFileSync(join(folder, 'taxa.csv'), example);
    const out = join(folder, 'new.key.yaml');
    expect(run(['taxa.csv', '-o', 'new.key.yaml']).status).toBe(0);
    const first = readFileSync(out, 'utf8');
    expect(run(['new.key.yaml', '-o', 'new.key.yaml', '--overwrite']).stderr).toContain(
      'read by this very command',
    );
    const again = run(['new.key.yaml', '-o', 'again.key.yaml']);
    expect([again.status, again.stderr.includes('9 couplets')]).toEqual([0, true]);
    // What a person fixed in a draft is not lost by drafting again.
    writeFileSync(out, first.replace('title: ', 'title: My '));
    const kept = run(['taxa.csv', '-o', 'new.key.yaml']);
    expect([kept.status, kept.stderr.includes('left as it is')]).toEqual([2, true]);
    expect(run(['taxa.csv', '-o', 'new.key.yaml', '--overwrite']).status).toBe(0);
    expect(run(['taxa.csv', '-o', 'new.yaml']).stderr).toContain('a key file is called NAME.key.yaml');
  });

  it('says why there is no key', () => {
    const nothing = run(['-'], 'name,gills\nAus aus,free\nAus bus,free\n');
    expect([nothing.status, nothing.stdout]).toEqual([2, '']);
    expect(nothing.stderr).toContain('nothing that is described separates any two of its 2 taxa');
    expect(nothing.stderr).toContain('a state or a number that the other cannot');
    const gap = run(['-'], 'name,gills,length (mm)\nAus aus,free,5-10\nAus bus,free,?\n');
    expect([gap.status, gap.stdout]).toEqual([2, '']);
    expect(gap.stderr).toContain('what could separate its 2 taxa is not described of all of them');
    // One that overlaps is enough.
    expect(run(['-'], 'name,gills\nAus aus,free\nAus bus,free | adnate\n').status).toBe(0);
    expect(run(['-'], 'name,gills\nAus aus,free\n').stderr).toContain(
      'describes one taxon, and a key separates two or more',
    );
    expect(run(['-'], '').status).toBe(2);
    expect(run(['-'], 'keywright-taxa: 1\ntaxa: {a: {nam: x}}\n').stderr).toContain('did you mean "name"?');
    expect(run(['none.csv']).stderr).toContain('none.csv cannot be read: there is no such file');
  });
});
