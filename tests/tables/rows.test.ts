import { parse } from 'csv-parse/sync';
import { stringify } from 'csv-stringify/sync';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutRow, type RowMistake } from '../../src/tables/row-text.js';
import { LONGEST_ROW, RowCutter } from '../../src/tables/rows.js';

interface Row {
  readonly cells: string[];
  readonly line: number;
  readonly mistakes: readonly RowMistake[];
}

function cut(text: string, piece = text.length || 1, delimiter = ',', quote = '"'): Row[] {
  const rows: Row[] = [];
  const cutter: RowCutter = new RowCutter(
    delimiter,
    (cells, mistakes) => {
      rows.push({ cells, line: cutter.line, mistakes });
    },
    quote,
  );
  for (let at = 0; at < text.length; at += piece) cutter.read(text.slice(at, at + piece));
  cutter.end();
  return rows;
}

/**
 * The rows of a text as they are when each is cut by itself: what is cut many rows at a time must come to the same. A
 * quote that is never closed costs its own line.
 */
function oneByOne(text: string, delimiter: string, quote: string): Row[] {
  const rows: Row[] = [];
  let start = 0;
  let line = 1;
  while (start < text.length) {
    const found = text.indexOf('\n', start);
    const lineEnd = found < 0 ? text.length : found;
    const written = text.slice(start, lineEnd);
    const cut = cutRow({ text, start, delimiter, quote }, true);
    const next = cut?.next ?? lineEnd + 1;
    if (written.trim() !== '' || written.includes(delimiter))
      rows.push({ cells: cut?.cells ?? ['unclosed'], line, mistakes: cut?.mistakes ?? [] });
    line += text.slice(start, next).split('\n').length - 1;
    start = next;
  }
  return rows;
}

const cell = fc.oneof(
  fc.constantFrom(
    '',
    'rust',
    '3.5 cm',
    'a | b',
    'Lower Plantation, ride 1',
    'say "no"',
    'two\nlines',
    'ü',
    '😀',
  ),
  fc.string({ unit: fc.constantFrom('a', ',', '"', '\n', ';', ' ', 'é'), maxLength: 6 }),
);
const table = fc
  .tuple(fc.integer({ min: 1, max: 5 }), fc.integer({ min: 1, max: 8 }))
  .chain(([columns, rows]) =>
    fc.array(fc.array(cell, { minLength: columns, maxLength: columns }), {
      minLength: rows,
      maxLength: rows,
    }),
  );

describe('rows and cells of a table', () => {
  it('are those that csv-parse finds, whatever pieces the text comes in', () => {
    fc.assert(
      fc.property(
        table,
        fc.constantFrom(',', ';', '\t'),
        fc.constantFrom('\n', '\r\n'),
        fc.boolean(),
        fc.integer({ min: 1, max: 40 }),
        (rows, delimiter, end, quoted, piece) => {
          const text = stringify(rows, { delimiter, record_delimiter: end, quoted });
          const expected = parse(text, {
            delimiter,
            relax_column_count: true,
            skip_empty_lines: true,
            trim: true,
            record_delimiter: ['\r\n', '\n'],
          });
          const got = cut(text, piece, delimiter);
          expect(got.map((r) => r.cells)).toEqual(expected);
          expect(got.flatMap((r) => r.mistakes)).toEqual([]);
        },
      ),
      { numRuns: 400 },
    );
  });

  it('are the same whatever pieces a broken text comes in', () => {
    const text = fc.string({
      unit: fc.constantFrom('a', 'b', ',', '"', '"', '\n', '\r', ' '),
      maxLength: 60,
    });
    fc.assert(
      fc.property(text, fc.integer({ min: 1, max: 9 }), (t, piece) => {
        // Whether a text has returns alone is told by its first line break.
        fc.pre(!/^[^\n]*\r(?!\n)/.test(t));
        expect(cut(t, piece)).toEqual(cut(t));
      }),
      { numRuns: 500 },
    );
  });

  it('are the same many at a time and one by one, whatever the text and wherever its pieces end', () => {
    const parts = ['a', '5"', 'é', '\0', ' ', '\t', '""', '"a"', '"a,b"', '"x\ny"', '"', '\u2028', '\ufeff'];
    const hostile = (signs: { delimiter: string; quote: string }) =>
      fc
        .array(fc.constantFrom(...parts, signs.delimiter, signs.delimiter, '\n', '\n', '\r\n'), {
          maxLength: 24,
        })
        .map((all) => ({ ...signs, text: all.join('').replaceAll('"', signs.quote || '"') }));
    const signs = fc.record({
      delimiter: fc.constantFrom(',', ',', ';', '\t', '|'),
      quote: fc.constantFrom('"', '"', "'", ''),
    });
    fc.assert(
      fc.property(
        signs.chain(hostile),
        fc.integer({ min: 1, max: 30 }),
        ({ text, delimiter, quote }, piece) => {
          const got = cut(text, piece, delimiter, quote);
          const wanted = oneByOne(text, delimiter, quote);
          expect(got.map((r) => r.line)).toEqual(wanted.map((r) => r.line));
          got.forEach(({ cells, mistakes }, i) => {
            if (wanted[i]?.cells[0] === 'unclosed')
              expect(mistakes[0]?.message).toContain('opens here that is not closed');
            else
              expect({ cells, mistakes }).toEqual({ cells: wanted[i]?.cells, mistakes: wanted[i]?.mistakes });
          });
        },
      ),
      { numRuns: 3000, examples: [[{ delimiter: ',', quote: '"', text: '"a" \u2028,' }, 1]] },
    );
  });

  it('are the same wherever a text is divided', () => {
    const text =
      'id,a\r\n1,"x, y"\r\n2,"two\r\nlines"\r\n\r\n3,"say ""no"""\r\n4,5" wide\r\n5,"b"c\r\n6,"open\r\n7,é\u{1f600}\r\n8';
    const whole = cut(text);
    expect(whole.map((r) => [r.line, r.mistakes.length])).toEqual([
      ...[1, 2, 3].map((line) => [line, 0]),
      ...[6].map((line) => [line, 0]),
      ...[7, 8, 9].map((line) => [line, 1]),
      ...[10, 11].map((line) => [line, 0]),
    ]);
    for (let at = 1; at < text.length; at++) {
      const rows: Row[] = [];
      const cutter: RowCutter = new RowCutter(',', (cells, mistakes) => {
        rows.push({ cells, line: cutter.line, mistakes });
      });
      cutter.read(text.slice(0, at));
      cutter.read(text.slice(at));
      cutter.end();
      expect(rows).toEqual(whole);
    }
  });

  it('has each cell at the place that is told', () => {
    fc.assert(
      fc.property(
        table,
        fc.constantFrom('\n', '\r\n'),
        fc.integer({ min: 1, max: 40 }),
        (rows, end, piece) => {
          const text = stringify(rows, { record_delimiter: end });
          const lines = text.split('\n');
          const cutter: RowCutter = new RowCutter(',', (cells) => {
            cells.forEach((c, i) => {
              const { line, column, offset } = cutter.place(i);
              const written = /[",\r\n]/.test(c) ? `"${c.replaceAll('"', '""')}"` : c;
              expect(text.startsWith(written, offset)).toBe(true);
              expect(lines[line - 1]?.slice(column - 1).startsWith(written.split('\n')[0] ?? '')).toBe(true);
            });
          });
          for (let at = 0; at < text.length; at += piece) cutter.read(text.slice(at, at + piece));
          cutter.end();
        },
      ),
      { numRuns: 300 },
    );
  });

  it('spaces around quotes are no mistake', () => {
    expect(cut('a, "b, c" ,d\n')[0]?.cells).toEqual(['a', 'b, c', 'd']);
  });

  it.each([
    ['a,5" wide,c\nd,e,f\n', 'a quote (") stands within a cell', 3],
    ['a,"b"x,c\nd,e,f\n', 'text follows the closing quote of a cell', 5],
    ['a,"b,c\nd,e,f\n', 'a quote (") opens here that is not closed', 2],
  ])('tells what is wrong with the quotes of %j and goes on with the next row', (text, message, offset) => {
    const rows = cut(text);
    expect(rows[0]?.mistakes[0]?.message).toContain(message);
    expect(rows[0]?.mistakes[0]?.offset).toBe(offset);
    expect(rows[1]).toEqual({ cells: ['d', 'e', 'f'], line: 2, mistakes: [] });
  });

  it('a quote in a table with tabs is a letter like any other', () => {
    expect(cut('a\t5" wide\n', 4, '\t')[0]).toEqual({ cells: ['a', '5" wide'], line: 1, mistakes: [] });
  });

  it('an overlong row is told and passed over', () => {
    for (const quote of ['', '"']) {
      const text = `a,b\nlong,${quote}${'x'.repeat(4 * LONGEST_ROW)}\nc,d\n`;
      const rows = cut(text, 65_536);
      expect(rows.map((r) => r.cells[0])).toEqual(['a', 'long', 'c']);
      expect(rows[1]?.mistakes).toHaveLength(1);
      expect(rows[2]?.line).toBe(3);
    }
  });

  it('a text with returns alone has lines', () => {
    expect(cut('a,b\rc,d\r').map((r) => r.cells)).toEqual([
      ['a', 'b'],
      ['c', 'd'],
    ]);
  });
});
