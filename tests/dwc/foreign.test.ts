import { describe, expect, it } from 'vitest';
import { writeArchive } from '../../src/archive/archive.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { readFinds } from './archives.js';

const DWC = 'http://rs.tdwg.org/dwc/terms/';

interface Part {
  readonly tag?: string;
  readonly rowType?: string;
  readonly file?: string;
  /** Terms of the columns; `-` is a column that nothing is said of. */
  readonly terms: readonly string[];
  /** Which column holds the id, or the id of the core. */
  readonly id?: number;
  /** Further fields, as XML. */
  readonly more?: string;
  readonly form?: string;
}

const TABS = 'fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" fieldsEnclosedBy="" ignoreHeaderLines="1"';

const part = ({ tag = 'core', rowType = 'Occurrence', file, terms, id = 0, more = '', form = TABS }: Part) =>
  `<${tag} encoding="UTF-8" ${form} rowType="${rowType.includes(':') ? rowType : DWC + rowType}">
<files><location>${file ?? (tag === 'core' ? 'occurrence.txt' : 'facts.txt')}</location></files>
<${tag === 'core' ? 'id' : 'coreid'} index="${id}"/>
${terms.map((t, i) => (t === '-' ? '' : `<field index="${i}" term="${t.includes(':') ? t : DWC + t}"/>`)).join('\n')}${more}
</${tag}>`;

const meta = (...parts: Part[]) =>
  `<?xml version="1.0"?>\n<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">\n${parts.map(part).join('\n')}\n</archive>\n`;

const CORE: Part = { terms: ['occurrenceID', 'eventDate', 'locality'] };
const FACTS: Part = {
  tag: 'extension',
  rowType: 'MeasurementOrFact',
  terms: ['-', 'measurementType', 'measurementValue', 'measurementUnit'],
};
const OCCURRENCES = 'id\tdate\tplace\nX-1\t2026-09-05\tNorth Ride\nX-2\t2026-09-06\tSawpit Bank\n';
const SEEN = 'id\ttype\tvalue\tunit\nX-1\tprint\trust\t\nX-1\twidth\t35\tmm\nX-2\tprint\twhite\t\n';

const zip = (description: string, files: Record<string, string | Uint8Array>) =>
  writeArchive([['meta.xml', description], ...Object.entries(files)]);
const usual = (seen = SEEN, occurrences = OCCURRENCES) =>
  zip(meta(CORE, FACTS), { 'occurrence.txt': occurrences, 'facts.txt': seen });

/** What is read of each find: `X-1 2026-09-05 North Ride: print width`. */
async function told(bytes: Uint8Array): Promise<string[]> {
  const { entries, mistakes } = await readFinds(bytes);
  expect(mistakes).toEqual([]);
  return entries.map(({ collection: c }) => {
    const seen = c.observations.map((o) =>
      [o.character, o.specimen, o.stage].filter((x) => x !== undefined).join('/'),
    );
    return `${c.id} ${c.date ?? '?'} ${c.place ?? '?'}: ${seen.join(' ')}`;
  });
}

const BOTH = ['X-1 2026-09-05 North Ride: print width', 'X-2 2026-09-06 Sawpit Bank: print'];

describe('an archive from elsewhere', () => {
  it('is read with its own delimiters, quotes and header lines', async () => {
    expect(await told(usual())).toEqual(BOTH);
    const form = `fieldsTerminatedBy=";" fieldsEnclosedBy="'" linesTerminatedBy="\\r\\n" ignoreHeaderLines="2"`;
    const bytes = zip(meta({ ...CORE, form }, { ...FACTS, form: TABS.replace('"1"', '"0"') }), {
      'occurrence.txt':
        "about\r\nid;date;place\r\nX-1;2026-09-05;'North Ride'\r\n'X-2';2026-09-06;'Sawpit; ''Bank'''\r\n",
      'facts.txt': SEEN.slice(SEEN.indexOf('\n') + 1),
    });
    expect(await told(bytes)).toEqual([BOTH[0], "X-2 2026-09-06 Sawpit; 'Bank': print"]);
  });

  it('is read with the defaults of the text guide where it says nothing', async () => {
    // Darwin Core text guide (TDWG), from memory: commas, double quotes, no header line.
    const bytes = zip(meta({ ...CORE, form: '' }), { 'occurrence.txt': 'X-1,2026-09-05,"North, Ride"\n' });
    expect(await told(bytes)).toEqual(['X-1 2026-09-05 North, Ride: ']);
  });

  it('keeps quotes where cells are never put in them', async () => {
    const bytes = usual(SEEN, 'h\nX-1\t2026-09-05\t"North" Ride\nX-2\t2026-09-06\t"Sawpit\n');
    expect(await told(bytes)).toEqual([
      'X-1 2026-09-05 "North" Ride: print width',
      'X-2 2026-09-06 "Sawpit: print',
    ]);
  });

  it('is read whatever the order of columns and rows, and with columns nobody knows', async () => {
    const core = { terms: ['http://purl.org/dc/terms/modified', 'locality', 'kingdom', 'eventDate'], id: 4 };
    const bytes = zip(meta(core, FACTS), {
      'occurrence.txt': 'h\nm\tNorth Ride\tFungi\t2026-09-05\tX-1\nm\tSawpit Bank\tFungi\t2026-09-06\tX-2\n',
      'facts.txt': 'h\nX-2\tprint\twhite\t\nX-1\tprint\trust\t\nX-1\twidth\t35\tmm\n',
    });
    expect(await told(bytes)).toEqual(BOTH);
    expect(await told(usual('h\nX-1\tprint\trust\t\nX-2\tprint\twhite\t\nX-1\twidth\t35\tmm\n'))).toEqual(
      BOTH,
    );
  });

  it('is read from several files, in a folder, in another encoding, and with texts that stand for columns', async () => {
    const core = meta(
      {
        ...CORE,
        terms: ['occurrenceID'],
        more: `<field term="${DWC}locality" default="Süd"/><field index="1" term="${DWC}eventDate" default="2026"/>`,
      },
      FACTS,
    )
      .replace(
        '<location>occurrence.txt</location>',
        '<location>a.txt</location><location>./b.txt</location>',
      )
      .replace('encoding="UTF-8"', 'encoding="ISO-8859-1"');
    const bytes = writeArchive([
      ['season/meta.xml', core],
      ['season/a.txt', 'h\nX-1\t2026-09-05\n'],
      ['season/b.txt', Buffer.from('h\nX-\xe9\t\n', 'latin1')],
      ['season/facts.txt', 'h\nX-1\tprint\trust\t\nX-é\tprint\twhite\t\n'],
    ]);
    expect(await told(bytes)).toEqual(['X-1 2026-09-05 Süd: print', 'X-é 2026 Süd: print']);
  });

  it('gives measurements the age of their occurrence where they have none', async () => {
    const aged = { ...CORE, terms: ['occurrenceID', 'lifeStage', 'countryCode'] };
    const bytes = zip(
      meta(aged, { ...FACTS, rowType: 'http://rs.iobis.org/obis/terms/ExtendedMeasurementOrFact' }),
      {
        'occurrence.txt': 'h\nX-1\tyoung\tZZ\nX-2\tyoung | old\tGB\n',
        'facts.txt': SEEN,
      },
    );
    expect(await told(bytes)).toEqual(['X-1 ? ?: print/young width/young', 'X-2 ? ?: print']);
    const { entries } = await readFinds(bytes);
    expect(entries.map((e) => [e.collection.region, e.collection.stages])).toEqual([
      [undefined, ['young']],
      ['GB', ['young', 'old']],
    ]);
  });

  it('may have dynamic properties of its own', async () => {
    const core = { ...CORE, terms: ['occurrenceID', 'dynamicProperties'] };
    const files = {
      'occurrence.txt': 'h\nX-1\t{"leadsChosen": 7, "expectedTaxa": {}, "x": [1]}\nX-2\t{not json\n',
    };
    expect(await told(zip(meta(core), files))).toEqual(['X-1 ? ?: ', 'X-2 ? ?: ']);
  });
});

describe('a mistake in an archive', () => {
  const mistakes = async (bytes: Uint8Array) => (await readFinds(bytes)).mistakes;

  it('is told with the file in the archive, line and column', async () => {
    const seen = 'h\nX-1\tprnt\trust\t\nX-2\tprint\trsut\t\nX-2\twidth\t3\tkg\nX-2\twidth\t900\tcm\n';
    expect(await mistakes(usual(seen))).toEqual([
      'finds.zip/facts.txt:2:5 "prnt" is not a character of caps; did you mean print?',
      'finds.zip/facts.txt:3:11 print of "X-2": "rsut" is not a state of print; did you mean rust?',
      'finds.zip/facts.txt:4:11 width of "X-2": a number in kg does not fit here: this character is in cm; expected a number in cm, such as 3.5 or 2-4',
      'finds.zip/facts.txt:5:11 width of "X-2": "900 cm" is outside the limits of width (0.2-60 cm); expected 0.2-60 cm',
    ]);
    const occurrences =
      'h\nX-1\tlast week\tNorth Ride\nX-1\t2026-09-06\tSawpit Bank\n\t2026\tNorth Ride\nX-4\n';
    const facts = 'h\n';
    expect(await mistakes(usual(facts, occurrences))).toEqual([
      'finds.zip/occurrence.txt:2:5 "last week" is not a date; write year-month-day, such as 2026-10-18',
      'finds.zip/occurrence.txt:3:1 collection "X-1" stands in line 2 already; the rows of one collection must follow each other',
      'finds.zip/occurrence.txt:4:1 the row in line 4 has no id',
      'finds.zip/occurrence.txt:5:4 the row has only 1 of the 3 columns that meta.xml speaks of',
    ]);
  });

  it('is one where a measurement belongs to no occurrence', async () => {
    expect(await mistakes(usual(`${SEEN}X-9\tprint\trust\t\n`))).toEqual([
      'finds.zip/facts.txt:5:1 there is no occurrence for "X-9", which a measurement names',
    ]);
  });

  it('is told where the archive describes itself wrongly', async () => {
    const files = { 'occurrence.txt': OCCURRENCES, 'facts.txt': SEEN };
    const wrong = async (change: (text: string) => string) => {
      const { mistakes, stopped, entries } = await readFinds(zip(change(meta(CORE, FACTS)), files));
      expect(stopped).toBe(true);
      expect(entries).toEqual([]);
      return mistakes.join('\n');
    };
    expect(await wrong((t) => t.replace('</archive>', ''))).toMatch(
      /^finds\.zip\/meta\.xml:\d+:\d+ the XML cannot be read: unclosed tag: archive/,
    );
    expect(await wrong((t) => t.replace('&', '').replace('<files>', '<files>&xxe;'))).toMatch(
      /undefined entity/,
    );
    expect(await wrong(() => '<html/>')).toMatch(
      /:1:\d+ "html" is not what a Darwin Core archive is described by/,
    );
    expect(await wrong((t) => t.replace('index="1"', 'index="one"'))).toMatch(
      /meta\.xml:7:\d+ "one" is not a column number/,
    );
    expect(await wrong((t) => t.replace('occurrence.txt', 'https://example.org/o.txt'))).toMatch(
      /lies elsewhere/,
    );
    expect(await wrong((t) => t.replace('occurrence.txt', '../o.txt'))).toMatch(
      /there is no "\.\.\/o\.txt" in the archive/,
    );
    expect(await wrong((t) => t.replace('terms/Occurrence', 'terms/Event'))).toMatch(
      /the core of the archive holds rows of "Event", and only one of occurrences can be read/,
    );
    expect(await wrong((t) => t.replace('fieldsTerminatedBy="\\t"', 'fieldsTerminatedBy="||"'))).toMatch(
      /cells that end with "\|\|" are not read here/,
    );
    expect(await wrong((t) => t.replace('fieldsTerminatedBy', 'fieldTerminatedBy'))).toMatch(
      /"fieldTerminatedBy" is not known; did you mean fieldsTerminatedBy\?/,
    );
    expect(await wrong((t) => t.replace('<coreid index="0"/>', ''))).toMatch(/the extension has no coreid/);
    expect(await wrong((t) => t.replace(`${DWC}measurementValue`, `${DWC}measurementMethod`))).toMatch(
      /have no measurementType or no measurementValue/,
    );
  });

  it('is that it does not describe itself', async () => {
    const bytes = writeArchive([['occurrence.txt', OCCURRENCES]]);
    const refused = readFinds(bytes);
    await expect(refused).rejects.toThrow(
      /^finds\.zip is not a Darwin Core archive: there is no meta\.xml in it$/,
    );
    await expect(refused).rejects.toBeInstanceOf(Failure);
  });
});
