import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Document, isMap, isScalar, isSeq, parse, visit } from 'yaml';
import { yamlText } from '../../src/record/yaml-text.js';

/** What stands in one line: the value of `line`, and short maps in the list `items`. */
const inOneLine = {
  whole: (property: string) => property === 'line',
  item: (property: string, item: object) =>
    property === 'items' && !Array.isArray(item) && JSON.stringify(item).length <= 80,
};

/** The same, written by the package. */
function byPackage(data: object): string {
  const document = new Document(data, { aliasDuplicateObjects: false });
  visit(document, {
    Pair: (_, { key, value }) => {
      if (!isScalar(key)) return;
      if (key.value === 'line' && (isSeq(value) || isMap(value))) value.flow = true;
      if (key.value === 'items' && isSeq(value))
        for (const item of value.items)
          if (isMap(item) && JSON.stringify(item.toJSON()).length <= 80) item.flow = true;
    },
  });
  return document.toString({ lineWidth: 100, flowCollectionPadding: false });
}

/** Texts as they stand in records, and signs that mean something in YAML. */
const word = fc.constantFrom(
  ...[
    'cap',
    'stem',
    'Galerina',
    '-',
    '?',
    ':',
    '#',
    '1.10',
    '12',
    'true',
    'null',
    "don't",
    '"x"',
    'a: b',
    '~',
  ],
  ...[
    '[a]',
    '{b}',
    '|',
    '>',
    '%',
    '---',
    '...',
    '<',
    '<=',
    '<<',
    'é',
    '🍄',
    'sha256:3033ed1f41a8',
    '0x1f',
    '.5',
    'a,b',
  ],
  ...['& c', '*d', '!e', '@', '`', 'f:', '\\', '1e3', '+1', ''],
);
const line = fc
  .array(word, { minLength: 0, maxLength: 40 })
  .chain((words) => fc.constantFrom(words.join(' '), words.join(''), words.slice(0, 3).join(' ')));
const name = fc.oneof(
  fc.constantFrom('line', 'items', 'says', 'beside', 'note', 'a-b', '12', 'true', 'x y', 'a: b'),
  line.map((text) => text.slice(0, 30)),
);
const data = fc.letrec((tie) => ({
  value: fc.oneof(
    { depthSize: 'small', withCrossShrink: true },
    line,
    fc.oneof(fc.integer(), fc.boolean()),
    tie('list'),
    tie('map'),
  ),
  list: fc.array(tie('value'), { maxLength: 5 }),
  map: fc
    .uniqueArray(fc.tuple(name, tie('value')), { maxLength: 5, selector: ([n]) => n })
    .map((pairs) => Object.fromEntries(pairs.filter(([n]) => n !== '__proto__'))),
}));

describe('the YAML of records', () => {
  it('is written as the package yaml writes it, letter for letter', () => {
    fc.assert(
      fc.property(data.map as fc.Arbitrary<object>, (map) => {
        expect(yamlText(map, inOneLine)).toBe(byPackage(map));
      }),
      { numRuns: 3000 },
    );
  });

  it('means the same for any text at all', () => {
    const text = fc.oneof(
      fc.string({ unit: 'binary' }),
      fc.string({ unit: fc.constantFrom(...'a \n\t\r:#-\u0085\u2028"\'\\') }),
    );
    fc.assert(
      fc.property(text, text, text, (a, b, c) => {
        const map = { says: a, list: [b, { line: [c], note: a }], line: { x: b, [c]: a } };
        expect(parse(yamlText(map, inOneLine))).toEqual(map);
      }),
      { numRuns: 2000 },
    );
  });
});
