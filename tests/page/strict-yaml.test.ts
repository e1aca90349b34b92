import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Document } from 'yaml';
import { readYaml, type YamlText } from '../../src/key/document.js';
import { readStrictYaml } from '../../src/page/strict-yaml.js';
import { yamlText } from '../../src/record/yaml-text.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
const signs = [
  'a',
  'b c',
  ' ',
  '\n',
  '- ',
  ': ',
  ':',
  '#',
  ' #',
  '"',
  "'",
  '[',
  ']',
  '{',
  '}',
  ',',
  '|',
  '>',
  '\t',
];
const more = [
  '~',
  'true',
  '12',
  '...',
  '---',
  '\\',
  '&x ',
  '*x',
  '!t ',
  '%',
  '  ',
  '\n  ',
  '\n    ',
  'doubted: ',
  '\u00e9',
  '\r\n',
];
const text = fc.array(fc.constantFrom(...signs, ...more), { maxLength: 14 }).map((parts) => parts.join(''));
const name = fc.constantFrom('says', 'note', 'a', '12', 'line', 'items', 'x y', 'true', 'doubted');
const data = fc.letrec((tie) => ({
  value: fc.oneof({ depthSize: 'small' }, text, fc.boolean(), tie('list'), tie('map')),
  list: fc.array(tie('value'), { maxLength: 4 }),
  map: fc.dictionary(name, tie('value'), { maxKeys: 5, noNullPrototype: true }),
}));
const inOneLine = { whole: (p: string) => p === 'line', item: (p: string) => p === 'items' };

/** What a reader makes of a text; undefined where it refuses it. Numbers and yes or no as they are written. */
const told = ({ findings, data }: YamlText) =>
  findings.length > 0
    ? undefined
    : JSON.stringify(data, (_, v) => (typeof v === 'number' || typeof v === 'boolean' ? String(v) : v));
const strict = (source: string) => told(readStrictYaml(source, 'x'));
const any = (source: string) => told(readYaml(source, 'x'));

describe('the reader of YAML in the page', () => {
  it('reads all that records are written in', () => {
    fc.assert(
      fc.property(data.map as fc.Arbitrary<object>, (map) => {
        for (const source of [
          yamlText(map, inOneLine),
          new Document(map, { aliasDuplicateObjects: false }).toString({ lineWidth: 100 }),
        ]) {
          const expected = any(source);
          if (expected !== undefined) expect(strict(source)).toBe(expected);
        }
      }),
      { numRuns: 1000 },
    );
  });

  it('reads nothing otherwise than any reader of YAML does', () => {
    fc.assert(
      fc.property(
        data.map as fc.Arbitrary<object>,
        fc.array(fc.tuple(fc.nat(), text, fc.nat(4)), { minLength: 1, maxLength: 3 }),
        (map, changes) => {
          let source = yamlText(map, inOneLine);
          for (const [at, put, out] of changes) {
            const place = at % (source.length + 1);
            source = source.slice(0, place) + put + source.slice(place + out);
          }
          const read = strict(source);
          if (read !== undefined) expect(read).toBe(any(source));
        },
      ),
      { numRuns: 2000 },
    );
  });

  it('refuses what readers of YAML read in two ways', () => {
    expect(strict('a: "b\\\n  c"')).toBe('{"a":"bc"}');
    expect(strict('a: "b\\\n\n  c"')).toBeUndefined();
  });

  it('reads the records that ship', () => {
    const files = readdirSync(`${root}/examples`).filter((file) => file.endsWith('.record.yaml'));
    expect(files.length).toBeGreaterThan(0);
    for (const file of files) {
      const source = readFileSync(`${root}/examples/${file}`, 'utf8');
      expect(strict(source)).toBe(any(source));
    }
  });
});
