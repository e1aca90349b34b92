import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readInBatches, readTable } from './reading.js';

/** Rows of a table of caps, many of them wrong in form or in what they say. */
const cell = fc.constantFrom(
  'rust',
  'white | rust',
  'rusd',
  '3.5 cm',
  '12 kg',
  '"a ""b"", c"',
  '"two\nlines"',
  'a "quote" within',
  '"never closed',
  '?',
  '-',
  '',
  '\u001f',
  'x\u001ey',
);
const row = fc
  .tuple(fc.constantFrom('A1', 'A2', 'A3', ''), fc.array(cell, { minLength: 1, maxLength: 5 }))
  .map(([id, cells]) => [id, ...cells].join(','));
const text = fc
  .tuple(fc.array(row, { maxLength: 12 }), fc.constantFrom('\n', '\r\n'))
  .map(([rows, end]) => ['id,print,width,ring,note', ...rows, ''].join(end));

describe('a table whose rows are cut by another thread', () => {
  it('says the same, with the same mistakes at the same places', () => {
    fc.assert(
      fc.property(text, fc.integer({ min: 1, max: 80 }), (t, piece) => {
        const here = readTable(t, 'csv');
        const there = readInBatches(t, 'csv', piece);
        expect(there.mistakes).toEqual(here.mistakes);
        expect(there.entries).toEqual(here.entries);
      }),
      { numRuns: 400 },
    );
  });

  it.each([
    ['tsv', 'id\tprint\twidth\nA1\trust\t3\nA2\trusd\t5" wide\n'],
    ['csv', 'id;print;width\nA1;rust;3,5\nA2;rusd;\n'],
    ['csv', 'id,print\rA1,rust\rA2,rusd\r'],
    ['csv', ''],
    ['csv', 'id,prnt\nA1,rust\n'],
  ] as const)('reads %s %j alike', (format, t) => {
    const here = readTable(t, format);
    const there = readInBatches(t, format, 7);
    expect([there.mistakes, there.entries, there.reader.stopped]).toEqual([
      here.mistakes,
      here.entries,
      here.reader.stopped,
    ]);
  });
});
