import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatByName, formatByText } from '../../src/tables/format.js';
import { LONGEST_ROW } from '../../src/tables/rows.js';
import { readTable, seenIn } from './reading.js';

const HEAD = 'keywright-collections: 1\ncollections:\n';

describe('a YAML file of collections', () => {
  it('is read with specimens, ages and choices', () => {
    const read = readTable(
      `${HEAD}  - id: 1.10
    date: 2026-09-05
    region: GB-CMA
    stage: mature
    traits: {print: [rust, white], width: 3.5, spots: "?"}
    specimens:
      - {id: a, stage: young, traits: {ring: present}}
      - {id: b, traits: {ring: "-"}}
    leads: {3: b, caps/4: a}
    expect: plain
`,
    );
    expect(read.mistakes).toEqual([]);
    expect(seenIn(read)).toEqual([
      [
        '1.10',
        [
          'mature print states',
          'mature width numbers',
          'mature spots ?',
          'a/young ring states',
          'b/mature ring inapplicable',
        ],
      ],
    ]);
    const { stages, choices, expect: expected, region } = read.entries[0]?.collection ?? {};
    expect(stages).toEqual(['mature', 'young']);
    expect(choices).toEqual([
      { couplet: '3', letter: 'b' },
      { couplet: '4', letter: 'a' },
    ]);
    expect([expected, region]).toEqual([['plain'], 'GB-CMA']);
  });

  it.each([
    [
      '  - id: A\n    traits: {print: rsut}\n',
      '4:21 print: "rsut" is not a state of print; did you mean rust?',
    ],
    [
      '  - id: A\n    traits: {print: [rust, wihte]}\n',
      '4:28 print: "wihte" is not a state of print; did you mean white?',
    ],
    [
      '  - id: A\n    traits: {pritn: rust}\n',
      '4:14 "pritn" is not a character of caps; did you mean print?',
    ],
    ['  - id: A\n    triats: {print: rust}\n', '4:5 '],
    ['  - traits: {print: rust}\n', '3:5 '],
    ['  - id: A\n    leads: {9: b}\n', '4:16 there is no couplet 9 in caps'],
    ['  - id: A\n  - id: B\n  - id: A\n', '5:9 collection "A" stands in line 3 already'],
  ])('%j is told with line and column', (text, start) => {
    const { mistakes, entries } = readTable(HEAD + text, 'yaml');
    expect(mistakes.map((m) => m.slice(0, start.length))).toEqual([start]);
    expect(entries.filter((e) => e.findings.length > 0)).toHaveLength(1);
  });

  it.each(['', '- a', 'collections: {', 'a: [[['])('%j gives mistakes and no collection', (text) => {
    const { mistakes, entries } = readTable(text, 'yaml');
    expect(mistakes.length).toBeGreaterThan(0);
    expect(entries).toEqual([]);
  });
});

describe('lines of JSON', () => {
  const line = (data: object) => `${JSON.stringify(data)}\n`;

  it('are collections, or specimens of one where their ids are the same', () => {
    const read = readTable(
      line({ id: 'A', date: '2026-09-05', traits: { print: ['rust'], width: 3.5 } }) +
        '\n' +
        line({ id: 'B', specimen: 'a', stage: 'young', traits: { ring: 'present' } }) +
        line({ id: 'B', specimen: 'b', stage: 'mature', traits: { ring: 'absent' }, leads: { 3: 'b' } }) +
        line({ id: 7, specimens: [{ id: 'a', traits: { ring: 'present' } }] }),
    );
    expect(read.mistakes).toEqual([]);
    expect(seenIn(read)).toEqual([
      ['A', ['print states', 'width numbers']],
      ['B', ['a/young ring states', 'b/mature ring states']],
      ['7', ['a ring states']],
    ]);
    expect(read.entries.map((e) => e.line)).toEqual([1, 3, 5]);
    expect(read.entries[1]?.collection.choices).toEqual([{ couplet: '3', letter: 'b' }]);
  });

  it.each([
    [
      '{"id": "A", "traits": {"print": "rsut"}}',
      '1:33 print: "rsut" is not a state of print; did you mean rust?',
    ],
    [
      '{"id": "A", "traits": {"pritn": "rust"}}',
      '1:24 "pritn" is not a character of caps; did you mean print?',
    ],
    ['{"id": "A", "specimen": "a", "traits": {"width": "x"}}', '1:50 width: "x" is not a number'],
    ['{"id": "A", "triats": {}}', '1:13 '],
    ['{"traits": {}}', '1:1 '],
    ['{"id": "A", "traits": {}', '1:25 the line ends before its JSON does'],
    ['{"id": "A" "traits": {}}', '1:12 the JSON cannot be read from'],
    [
      '{"id": "A", "traits": {"print": "rust", "print": "white"}}',
      '1:41 "print" stands twice here; the first is in column 24',
    ],
    [
      '{"id": "A", "traits": {"print": "rust", "\\u0070rint": "white"}}',
      '1:41 "print" stands twice here; the first is in column 24',
    ],
    [
      '{"id": "A", "specimens": [{"id": "a:\\"", "traits": {"ring" : "present", "ring": "absent"}}]}',
      '1:73 "ring" stands twice here; the first is in column 53',
    ],
    ['{"id": "A", "leads": {"3": "a"}, "leads": {"3": "b"}}', '1:34 "leads" stands twice here'],
    [`{"id": "A", "traits": ${'['.repeat(100)}${']'.repeat(100)}}`, '1:82 brackets are nested more than'],
    ['[1, 2]', '1:1 '],
    ['"text"', '1:1 '],
    ['nonsense', '1:1 '],
    [
      '{"id": "A", "specimen": ["a"], "traits": {}}',
      '1:25 specimen: expected the letter or number of the specimen',
    ],
  ])('%j is told with its column, and the next line is read', (text, start) => {
    const { mistakes, entries } = readTable(`${text}\n{"id": "B"}\n`, 'ndjson');
    expect(mistakes.map((m) => m.slice(0, start.length))).toEqual([start]);
    expect(entries.map((e) => e.findings.length > 0)).toEqual([true, false]);
    expect(entries[1]?.line).toBe(2);
  });

  it('are refused as a whole where one specimen of a collection has a name twice', () => {
    const { entries } = readTable(
      '{"id": "A", "specimen": "a", "traits": {"ring": "present"}}\n{"id": "A", "specimen": "b", "traits": {"print": "rust", "print": "white"}}\n',
      'ndjson',
    );
    expect(entries.map((e) => [e.collection.id, e.findings.length])).toEqual([['A', 1]]);
  });

  it('may be overlong, which is told', () => {
    const text = `{"id": "A", "note": "${'x'.repeat(3 * LONGEST_ROW)}"}\n{"id": "B"}\n`;
    const read = readTable(text, 'ndjson', { piece: 65_536 });
    expect(read.mistakes).toEqual([`1:1 the line is longer than ${LONGEST_ROW} characters`]);
    expect(read.entries.map((e) => e.collection.id)).toEqual(['line 1', 'B']);
  });

  it('may name what programs have', () => {
    const { mistakes } = readTable(
      '{"id": "__proto__", "traits": {"__proto__": "rust", "constructor": "x"}}\n',
      'ndjson',
      { strictColumns: true },
    );
    expect(mistakes).toHaveLength(1);
    expect(mistakes[0]).toContain('__proto__');
  });

  it('are read without an exception whatever they hold, and the same in any pieces', () => {
    const junk = fc.oneof(
      fc.json().map((j) => j),
      fc.string({
        unit: fc.constantFrom('{', '}', '"', 'id', ':', ',', '\n', '\\', 'traits', 'x', '1'),
        maxLength: 40,
      }),
      fc
        .jsonValue()
        .map((v) => JSON.stringify({ id: v, specimen: v, traits: v, specimens: v, leads: v, expect: v })),
    );
    fc.assert(
      fc.property(fc.array(junk, { maxLength: 4 }), fc.integer({ min: 1, max: 30 }), (lines, piece) => {
        const text = lines.join('\n');
        const whole = readTable(text, 'ndjson');
        expect(readTable(text, 'ndjson', { piece }).mistakes).toEqual(whole.mistakes);
      }),
      { numRuns: 200 },
    );
  });
});

describe('the form of a table', () => {
  it.each([
    ['a/b.csv', 'csv'],
    ['B.TSV', 'tsv'],
    ['x.jsonl', 'ndjson'],
    ['x.yml', 'yaml'],
    ['x.json', 'yaml'],
    ['x.txt', undefined],
    ['-', undefined],
  ])('is told by the name %s', (name, format) => {
    expect(formatByName(name)).toBe(format);
  });

  it.each([
    ['id,print\n', 'csv'],
    ['id\tprint\n', 'tsv'],
    ['{"id": "A"}\n{"id": "B"}\n', 'ndjson'],
    ['{\n "collections": []\n}', 'yaml'],
    ['# finds\nkeywright-collections: 1\n', 'yaml'],
    ['keywright-collections: 1\n', 'yaml'],
    ['', 'csv'],
  ])('is told by how the text begins: %j', (text, format) => {
    expect(formatByText(text)).toBe(format);
  });
});
