import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LONGEST_ROW } from '../../src/tables/rows.js';
import { readTable, seenIn } from './reading.js';

const first = (text: string, ...more: unknown[]) => readTable(text, ...(more as [])).entries[0]?.collection;

describe('a table of cells', () => {
  it('reads fields, states, numbers, what cannot be told and what does not apply', () => {
    const text =
      'id,date,place,region,by,note,print,ring,ring-texture,width,spots\r\n' +
      'TH-1,2026-09-05,"Boathouse Wood, ride 1",GB-CMA,E. Marlow,"said ""tufted""",rust | white,absent,-,35 mm,?\r\n' +
      'TH-2,,,,,,,,,,\r\n';
    const read = readTable(text);
    expect(read.mistakes).toEqual([]);
    expect(seenIn(read)).toEqual([
      ['TH-1', ['print states', 'ring states', 'ring-texture inapplicable', 'width numbers', 'spots ?']],
      ['TH-2', []],
    ]);
    const { date, place, region, by, note } = read.entries[0]?.collection ?? {};
    expect([date, place, region, by, note]).toEqual([
      '2026-09-05',
      'Boathouse Wood, ride 1',
      'GB-CMA',
      'E. Marlow',
      'said "tufted"',
    ]);
    expect(read.entries.map((e) => e.line)).toEqual([2, 3]);
  });

  it('knows the Darwin Core names', () => {
    const text =
      'occurrenceID,recordNumber,eventDate,locality,countryCode,stateProvince,recordedBy,lifeStage,print\n' +
      'urn:1,17,2026-09-05T10:30Z,Old Coppice,GB,Cumbria,T. Sallow,mature,rust\n' +
      'urn:2,18,2026-09-06/2026-09-07,Old Coppice,GB,GB-CMA,T. Sallow,young,rust\n';
    const read = readTable(text);
    expect(read.mistakes).toEqual([]);
    expect(
      read.entries.map(({ collection: c }) => [c.id, c.date, c.place, c.region, c.by, c.stages]),
    ).toEqual([
      ['urn:1', '2026-09-05', 'Old Coppice', 'GB', 'T. Sallow', ['mature']],
      ['urn:2', '2026-09-06/2026-09-07', 'Old Coppice', 'GB-CMA', 'T. Sallow', ['young']],
    ]);
    expect(first('recordNumber,print\n9,rust\n')?.id).toBe('9');
  });

  it('takes rows with one id that follow each other for specimens of one collection', () => {
    const named = readTable(
      'id,specimen,stage,print,ring\nA,,,rust,\nA,a,young,,present\nA,b,mature,white,absent\nB,a,,rust,\n',
    );
    expect(named.mistakes).toEqual([]);
    expect(seenIn(named)).toEqual([
      ['A', ['print states', 'a/young ring states', 'b/mature print states', 'b/mature ring states']],
      ['B', ['a print states']],
    ]);
    const numbered = readTable('id,print\nA,rust\nA,white\nB,rust\n');
    expect(seenIn(numbered)).toEqual([
      ['A', ['1 print states', '2 print states']],
      ['B', ['print states']],
    ]);
  });

  it('says so when an id comes again after others, or when rows of one collection differ', () => {
    const read = readTable(
      'id,date,print\nA,2026-09-05,rust\nB,,rust\nA,,white\nB2,2026-09-01,\nB2,2026-09-02,\n',
    );
    expect(read.mistakes).toEqual([
      '4:1 collection "A" stands in line 2 already; the rows of one collection must follow each other',
      '6:4 the rows of collection "B2" differ in their date: "2026-09-01" before, "2026-09-02" here',
    ]);
    expect(read.entries.map((e) => e.collection.id)).toEqual(['A', 'B', 'A', 'B2']);
  });

  it('reads chosen leads and expected taxa', () => {
    const collection = first('id,leads,expect\nA,"3a, caps/4b",small | large\n');
    expect(collection?.choices).toEqual([
      { couplet: '3', letter: 'a' },
      { couplet: '4', letter: 'b' },
    ]);
    expect(collection?.expect).toEqual(['small', 'large']);
  });

  it('takes a column for a character of the key before it takes it for a description', () => {
    expect(seenIn(readTable('id,habitat\nA,wood\n'))).toEqual([['A', ['habitat states']]]);
  });

  it('reads measurements, one a row', () => {
    const text =
      'occurrenceID,eventDate,lifeStage,measurementType,measurementValue,measurementUnit,measurementRemarks\n' +
      'A,2026-09-05,mature,print,rust,,seen at dusk\n' +
      'A,2026-09-05,mature,width,35,mm,\n' +
      'A,2026-09-05,mature,width,4.5 cm,cm,\n' +
      'A,2026-09-05,,spots,7,,\n' +
      'B,,,print,,,\n';
    const read = readTable(text);
    expect(read.mistakes).toEqual([]);
    expect(seenIn(read)).toEqual([
      ['A', ['mature print states', 'mature width numbers', 'mature width numbers', 'spots numbers']],
      ['B', []],
    ]);
    const wide = readTable('id,width\nA,3.5 cm\nA,4.5 cm\n').entries[0]?.collection.observations;
    const long = read.entries[0]?.collection.observations;
    expect(long?.[1]?.value).toEqual(wide?.[0]?.value);
    expect(long?.[2]?.value).toEqual(wide?.[1]?.value);
  });

  it('reads tabs, and semicolons where no comma parts the names', () => {
    expect(seenIn(readTable('id\tprint\nA\trust\n'))).toEqual([['A', ['print states']]]);
    expect(seenIn(readTable('id;print;width\nA;rust;3.5 cm\n'))).toEqual([
      ['A', ['print states', 'width numbers']],
    ]);
  });

  it('passes over blank lines, rows without text and columns without a name', () => {
    const read = readTable('\n\nid,print,\n\nA,rust,\n,,\nB,white,,,\n\n');
    expect(read.mistakes).toEqual([]);
    expect(read.entries.map((e) => [e.collection.id, e.line])).toEqual([
      ['A', 5],
      ['B', 7],
    ]);
  });
});

describe('a mistake in a table of cells is told with its line and column', () => {
  it.each([
    ['id,print\nA,rsut\n', '2:3 print of "A": "rsut" is not a state of print; did you mean rust?'],
    [
      'id,note,print\nA,"one, ""two""\nthree",rsut\n',
      '3:8 print of "A": "rsut" is not a state of print; did you mean rust?',
    ],
    [
      'id,print\nA,zzzzzz\n',
      '2:3 print of "A": "zzzzzz" is not a state of print; expected white, rust or purple-black',
    ],
    [
      'id,width\nA,"3,5"\n',
      '2:3 width of "A": "3,5" has a decimal comma: write "3.5"; expected a number in cm, such as 3.5 or 2-4',
    ],
    [
      'id,width\nA,3.5 ml\n',
      '2:3 width of "A": a number in mL does not fit here: this character is in cm; expected a number in cm, such as 3.5 or 2-4',
    ],
    [
      'id,width\nA,900\n',
      '2:3 width of "A": "900" is outside the limits of width (0.2-60 cm); expected 0.2-60 cm',
    ],
    [
      'id,spots\nA,2.5\n',
      '2:3 spots of "A": "2.5" is not a whole number, and a count must be one; expected a whole number, such as 5 or 4-7',
    ],
    ['id,date\nA,5.9.2026\n', '2:3 "5.9.2026" is not a date; write year-month-day, such as 2026-10-18'],
    ['id,region\nA,Cumbria\n', '2:3 "Cumbria" is not the code of a region; write one such as GB or GB-CMA'],
    ['id,leads\nA,9b\n', '2:3 "9b": there is no couplet 9 in caps'],
    ['id,leads\nA,3f\n', '2:3 "3f": couplet 3 has no lead f'],
    ['id,leads\nA,3a 3b\n', '2:3 "3b": another lead was chosen at couplet 3 before'],
    ['id,print\n,rust\n', '2:1 the row in line 2 has no id'],
    ['id,print\nA\n', '2:2 the row of "A" has 1 cell, and the first line names 2 columns'],
    ['id,print\nA,rust,extra\n', '2:8 the row of "A" has 3 cells, and the first line names 2 columns'],
    ['id,print,\nA,rust,extra\n', '2:8 "extra" stands in column 3, which has no name'],
    [
      'id,print\nA,5" wide\n',
      '2:4 a quote (") stands within a cell; put the whole cell in quotes and write the quote twice ("")',
    ],
    [
      'id,pritn\nA,rust\n',
      '1:4 column 2, "pritn", is neither a character of caps nor a field of a collection; did you mean print?',
    ],
    [
      'id,"x","pri""nt"\nA,,\n',
      '1:4 column 2, "x", is neither a character of caps nor a field of a collection',
    ],
    ['id,print,print\nA,rust,rust\n', '1:10 column "print" stands twice, as number 2 and 3'],
    ['id,date,eventDate\nA,,\n', '1:9 columns "date" and "eventDate" mean the same'],
    ['print,ring\nrust,present\n', '1:1 no column holds the ids of the collections'],
    ['A,rust,3.5\nB,white,4\n', '1:1 the first line must name the columns, and "A" is no name of one'],
    ['', '1:1 the table is empty; its first line must name the columns'],
    ['\n \n', '1:1 the table is empty; its first line must name the columns'],
    [
      'id,measurementType\nA,print\n',
      '1:4 measurementType and measurementValue belong together: one of the two columns is missing',
    ],
    [
      'id,measurementType,measurementValue\nA,pritn,rust\n',
      '2:3 "pritn" is not a character of caps; did you mean print?',
    ],
    [
      'id,measurementType,measurementValue\nA,width,x\n',
      '2:9 width of "A": "x" is not a number as keys write them (12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit)',
    ],
  ])('%j', (text, message) => {
    const { mistakes } = readTable(text, 'csv', { strictColumns: true });
    expect(mistakes.map((m) => m.slice(0, message.length))).toContain(message);
    expect(mistakes.length).toBeLessThanOrEqual(text.includes('"x"') ? 2 : 1);
  });

  it('every mistake of a row is told, and the other rows are read', () => {
    const read = readTable('id,print,width\nA,rsut,x\nB,rust,3\n');
    expect(read.mistakes.map((m) => m.slice(0, 4))).toEqual(['2:3 ', '2:8 ']);
    expect(read.entries.map((e) => e.findings.length)).toEqual([2, 0]);
  });

  it('a cell of a megabyte is told in one line', () => {
    const read = readTable(`id,print\nA,${'x'.repeat(1_000_000)}\nB,rust\n`, 'csv', { piece: 65_536 });
    expect(read.mistakes).toEqual([`2:1 the row is longer than ${LONGEST_ROW} characters`]);
    expect(read.entries.map((e) => e.collection.id)).toEqual(['A', 'B']);
    const long = readTable(`id,print\nA,${'x'.repeat(100_000)}\n`, 'csv');
    expect(long.mistakes[0]?.length).toBeLessThan(300);
  });

  it('names that programs have are words like any other', () => {
    const read = readTable(
      'id,__proto__,constructor,toString\nA,1,2,3\n__proto__,,,\nconstructor,,,\n',
      'csv',
      {
        keepGoing: true,
        strictColumns: true,
      },
    );
    expect(read.reader.findings.map((f) => f.found)).toEqual(['__proto__', 'constructor', 'toString']);
    expect(read.entries.map((e) => [e.collection.id, e.findings.length])).toEqual([
      ['A', 3],
      ['__proto__', 0],
      ['constructor', 0],
    ]);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  it('unknown columns are passed over when other keys know them', () => {
    const read = readTable('id,cones,print\nA,3,rust\n', 'csv', { passOver: new Set(['cones']) });
    expect(read.mistakes).toEqual([]);
    expect(seenIn(read)).toEqual([['A', ['print states']]]);
  });
});

describe('whatever a table of cells holds', () => {
  const junk = fc.string({
    unit: fc.constantFrom(
      'id',
      'print',
      'rust',
      'width',
      '3',
      ',',
      ',',
      '"',
      '\n',
      '\n',
      '\r',
      '\t',
      '|',
      '?',
      '-',
      ' ',
      '\u0000',
      'ü',
    ),
    maxLength: 60,
  });

  it('it is read without an exception, and the same in any pieces', () => {
    fc.assert(
      fc.property(junk, fc.boolean(), fc.integer({ min: 1, max: 20 }), (rest, headed, piece) => {
        const text = headed ? `id,print,width\n${rest}` : rest;
        const whole = readTable(text, 'csv');
        fc.pre(headed || !text.includes('\r'));
        const parts = readTable(text, 'csv', { piece });
        expect(parts.mistakes).toEqual(whole.mistakes);
        expect(parts.entries).toEqual(whole.entries);
      }),
      { numRuns: 300 },
    );
  });

  it('every row of text is in exactly one collection, in order', () => {
    const id = fc.constantFrom('A', 'B', 'C', '');
    const row = fc.tuple(id, fc.constantFrom('rust', 'rsut', '', '?'), fc.constantFrom('3', 'x', ''));
    fc.assert(
      fc.property(fc.array(row, { maxLength: 12 }), (rows) => {
        const text = `id,print,width\n${rows.map((r) => `${r.join(',')}\n`).join('')}`;
        const expected: string[] = [];
        let before: string | undefined;
        rows.forEach((r, i) => {
          if (r.every((c) => c === '')) return;
          const name = r[0] === '' ? `line ${i + 2}` : r[0];
          if (name !== before) expected.push(name);
          before = name;
        });
        expect(readTable(text).entries.map((e) => e.collection.id)).toEqual(expected);
      }),
      { numRuns: 300 },
    );
  });
});
