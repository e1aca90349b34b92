import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';

type Json = { readonly [name: string]: unknown };

const read = (name: string) => JSON.parse(readFileSync(`schemas/${name}.schema.json`, 'utf8')) as Json;
const ajv = new Ajv2020({ allErrors: true, strict: true, strictRequired: false, allowUnionTypes: true });
for (const name of ['key', 'collections']) ajv.addSchema(read(name));
const validate = ajv.compile(read('record'));

describe('the schema of records', () => {
  it('accepts the record among the examples as another reader of YAML sees it', () => {
    const record = parse(readFileSync('examples/TH-2026-018.record.yaml', 'utf8'));
    expect(validate(record), JSON.stringify(validate.errors)).toBe(true);
  });

  it.each([
    [
      'another verdict',
      (r: { determinations: { result: { verdict: Json } }[] }) => {
        (r.determinations[0] as never as { result: { verdict: { word: string } } }).result.verdict.word =
          'good';
      },
    ],
    ['no determination', (r: { determinations: unknown[] }) => r.determinations.splice(0)],
    ['something unknown', (r: Json) => Object.assign(r, { extra: 1 })],
  ])('refuses %s', (_, spoil) => {
    const record = parse(readFileSync('examples/TH-2026-018.record.yaml', 'utf8'));
    spoil(record);
    expect(validate(record)).toBe(false);
  });
});
