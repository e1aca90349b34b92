import { readFileSync } from 'node:fs';
import { parse as csv } from 'csv-parse/sync';
import fc from 'fast-check';
import { SaxesParser } from 'saxes';
import { describe, expect, it } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import { ARCHIVE_FILES, DWC, DWC_TEXT } from '../../src/tables/dwc/terms.js';
import { CLEARING } from '../support/clearing.js';
import { find, observed } from '../support/open.js';
import { capsKey, readTable } from '../tables/reading.js';
import { archiveOf, textsOf } from './archives.js';

/** Darwin Core, list of terms (TDWG): see the head of the file for edition and source. */
const STANDARD = new Set(
  readFileSync('tests/fixtures/dwc/terms.txt', 'utf8')
    .split('\n')
    .filter((line) => /^[A-Za-z]/.test(line))
    .map((line) => DWC + (line.split(/\s/)[0] ?? '')),
);

const FINDS = `id,date,place,region,by,specimen,stage,print,ring,width,note,expect
TH-1,2026-09-05,"Lower Plantation, oak",GB-CMA,E. Marlow,a,mature,rust,present,3 cm,kept dry,bell
TH-2,2026-09-06,North Ride,ORE,H. Wren,,,white,?,,,
TH-3,2026-09-07,North Ride,GB,H. Wren,a,young,white | purple-black,-,< 4 cm,,
TH-4,2026-09-08,North Ride,,,,,,,,,
`;

interface Element {
  readonly name: string;
  readonly uri: string;
  readonly attributes: Readonly<Record<string, string>>;
}

/** The elements of an XML text in their order, and the texts of those named `location`. */
function xml(text: string): { elements: Element[]; locations: string[] } {
  const elements: Element[] = [];
  const locations: string[] = [];
  const parser = new SaxesParser({ xmlns: true });
  let inLocation = false;
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', ({ local, uri, attributes }) => {
    inLocation = local === 'location';
    elements.push({
      name: local,
      uri,
      attributes: Object.fromEntries(Object.entries(attributes).map(([n, a]) => [n, a.value])),
    });
  });
  parser.on('text', (words) => {
    if (inLocation) locations.push(words);
    inLocation = false;
  });
  parser.write(text).close();
  return { elements, locations };
}

async function filesOf(bytes: Uint8Array): Promise<Map<string, string>> {
  const texts = textsOf(bytes);
  const files = new Map<string, string>();
  for (const name of texts.names) {
    let text = '';
    for await (const piece of texts.text(name, 'UTF-8')) text += piece;
    files.set(name, text);
  }
  return files;
}

function written(table = FINDS): Promise<Map<string, string>> {
  const results = readTable(table, 'csv').entries.map((entry) =>
    entry.findings.length > 0
      ? ({ kind: 'failed', entry } as const)
      : ({ kind: 'found', found: determine(capsKey, entry.collection) } as const),
  );
  return filesOf(archiveOf(results));
}

/** Rows by the names of their columns, read by a general CSV reader. */
const rows = (files: ReadonlyMap<string, string>, name: string): Record<string, string>[] =>
  csv(files.get(name) ?? '', { columns: true });

describe('an archive that is written', () => {
  it('uses terms and classes of the standard only', () => {
    expect(STANDARD.size).toBeGreaterThan(80);
    for (const { rowType, terms } of ARCHIVE_FILES)
      for (const term of [rowType, ...terms]) expect(STANDARD, term).toContain(DWC + term);
    expect(STANDARD).not.toContain(`${DWC}substrate`);
  });

  // Darwin Core text guide (TDWG, 2014, from memory): an archive has one core, whose id the coreids of extensions name;
  // fields have a term and the number of their column.
  it('describes its files as the text guide says', async () => {
    const files = await written();
    const { elements, locations } = xml(files.get('meta.xml') ?? '');
    expect(elements[0]).toMatchObject({ name: 'archive', uri: DWC_TEXT });
    expect(elements.every((e) => e.uri === DWC_TEXT)).toBe(true);
    expect(elements.filter((e) => e.name === 'core').length).toBe(1);
    expect(locations).toEqual(['occurrence.txt', 'identification.txt', 'measurementorfact.txt']);
    expect([...files.keys()]).toEqual(['meta.xml', ...locations]);
    let at = -1;
    const columns = new Map<string, string[]>();
    for (const { name, attributes } of elements) {
      if (name === 'core' || name === 'extension') {
        at++;
        columns.set(locations[at] ?? '', []);
        expect(STANDARD).toContain(attributes.rowType);
        expect(attributes).toMatchObject({
          encoding: 'UTF-8',
          fieldsTerminatedBy: ',',
          fieldsEnclosedBy: '"',
          linesTerminatedBy: '\\n',
          ignoreHeaderLines: '1',
        });
      }
      const of = columns.get(locations[at] ?? '');
      if (name === 'id' || name === 'coreid') expect(attributes).toEqual({ index: '0' });
      if (name === 'coreid') of?.push('coreid');
      if (name !== 'field') continue;
      expect(STANDARD).toContain(attributes.term);
      expect(Number(attributes.index)).toBe(of?.length);
      of?.push((attributes.term ?? '').slice(DWC.length));
    }
    for (const [file, names] of columns) {
      const lines: string[][] = csv(files.get(file) ?? '');
      expect(lines[0]).toEqual(names);
      for (const line of lines) expect(line.length).toBe(names.length);
    }
  });

  it('has one accepted name a find, then what is still possible, with qualifiers outside the names', async () => {
    const files = await written();
    const names = rows(files, 'identification.txt').map((r) => [
      r.coreid,
      r.isAcceptedIdentification,
      r.scientificName,
      r.identificationQualifier,
      r.taxonRank,
      r.taxonFormula,
    ]);
    expect(names.filter(([id]) => id === 'TH-1' || id === 'TH-2')).toEqual([
      ['TH-1', 'true', '', 'indet.', '', ''],
      ['TH-1', 'false', 'Galerina funebris', '?', '', 'A ?'],
      ['TH-1', 'false', 'Tufta mutabilis', '?', '', 'A ?'],
      ['TH-2', 'true', 'Plana', 'sp.', 'genus', 'A'],
      ['TH-2', 'false', 'Plana communis', '?', '', 'A ?'],
      ['TH-2', 'false', 'Plana parva', '?', '', 'A ?'],
      ['TH-2', 'false', 'Plana magna', '?', '', 'A ?'],
    ]);
    const accepted = rows(files, 'identification.txt').filter((r) => r.isAcceptedIdentification === 'true');
    expect(accepted.map((r) => r.coreid)).toEqual(['TH-1', 'TH-2', 'TH-3', 'TH-4']);
    for (const row of rows(files, 'identification.txt')) {
      expect(row.scientificName).not.toMatch(/\b(cf|aff|sp|spp|indet)\.|\?/);
      expect(row.nameAccordingTo).toBe('Caps of Tarn Hollow. Key caps, version 1.10');
      expect(row.identifiedBy).toBe('keywright 0.0.0-test');
      expect(row.dateIdentified).toBe('2026-11-25');
      expect(row.identificationVerificationStatus).toBe('0');
    }
    expect(rows(files, 'identification.txt')[1]?.identificationReferences).toBe(
      'Caps of Tarn Hollow. Key caps, version 1.10: 1a 2a',
    );
    const ids = rows(files, 'identification.txt').map((r) => r.identificationID);
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('keeps place, region and what was seen in the terms that there are', async () => {
    const files = await written();
    expect(rows(files, 'occurrence.txt').slice(0, 3)).toMatchObject([
      {
        occurrenceID: 'TH-1',
        recordNumber: 'TH-1',
        basisOfRecord: 'HumanObservation',
        eventDate: '2026-09-05',
        locality: 'Lower Plantation, oak',
        countryCode: 'GB',
        stateProvince: 'GB-CMA',
        recordedBy: 'E. Marlow',
        lifeStage: 'mature',
        occurrenceRemarks: 'kept dry',
        previousIdentifications: 'Galerina funebris',
        dynamicProperties: '{"expectedTaxa":["bell"]}',
      },
      { occurrenceID: 'TH-2', higherGeographyID: 'ORE', countryCode: '', stateProvince: '' },
      { occurrenceID: 'TH-3', higherGeographyID: 'GB', countryCode: 'GB', stateProvince: '' },
    ]);
    const seen = rows(files, 'measurementorfact.txt').map((r) => [
      r.coreid,
      r.materialEntityID,
      r.lifeStage,
      r.measurementType,
      r.measurementValue,
      r.measurementUnit,
    ]);
    expect(seen).toEqual([
      ['TH-1', 'TH-1/a', 'mature', 'print', 'rust', ''],
      ['TH-1', 'TH-1/a', 'mature', 'ring', 'present', ''],
      ['TH-1', 'TH-1/a', 'mature', 'width', '3', 'cm'],
      ['TH-2', '', '', 'print', 'white', ''],
      ['TH-2', '', '', 'ring', '?', ''],
      ['TH-3', 'TH-3/a', 'young', 'print', 'white | purple-black', ''],
      ['TH-3', 'TH-3/a', 'young', 'ring', '-', ''],
      ['TH-3', 'TH-3/a', 'young', 'width', '< 4', 'cm'],
    ]);
  });

  it('says at every verdict what it is and what it is not', async () => {
    const files = await written();
    for (const row of rows(files, 'identification.txt').filter(
      (r) => r.isAcceptedIdentification === 'true',
    )) {
      expect(row.identificationRemarks).toMatch(/^(Leave it|Not cleared)\. /);
      expect(row.identificationRemarks).toMatch(
        / No key, program, picture or single book can clear a find for eating\. Any doubt means: leave it\.$/,
      );
    }
    const [first] = rows(files, 'identification.txt');
    expect(first?.identificationRemarks).toContain(
      'Still possible: Galerina funebris (deadly) and Tufta mutabilis (none-recorded).',
    );
  });

  it('has each find once, also one that could not be read or fits nothing', async () => {
    const files = await written(`id,print,ring,ring-texture,width
TH-1,rsut,present,,3 cm
TH-2,rust,absent,membranous,
`);
    expect(rows(files, 'occurrence.txt').map((r) => r.occurrenceID)).toEqual(['TH-1', 'TH-2']);
    const [unread] = rows(files, 'identification.txt');
    expect(unread).toMatchObject({ coreid: 'TH-1', isAcceptedIdentification: 'false', scientificName: '' });
    expect(unread?.identificationRemarks).toMatch(
      /^Not identified: .*Line 2, column 6: .*did you mean rust\?/,
    );
  });

  it('never clears a find', async () => {
    const value = fc.constantFrom('white', 'rust', 'purple-black', '?', '-', 'white | rust');
    await fc.assert(
      fc.asyncProperty(value, fc.constantFrom('present', 'absent', '?', '-'), async (print, ring) => {
        const found = determine(capsKey, find(observed(capsKey, { print, ring })));
        for (const [name, text] of await filesOf(archiveOf([{ kind: 'found', found }])))
          expect(text, name).not.toMatch(CLEARING);
      }),
      { numRuns: 20 },
    );
  });
});
