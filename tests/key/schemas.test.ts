import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readYaml } from '../../src/key/document.js';
import { explainShape } from '../../src/key/shape.js';
import {
  schemas,
  validateCollections,
  validateKey,
  validateTaxa,
  validateTerms,
} from '../../src/key/validate.generated.js';
import { findUnit, unitNames } from '../../src/traits/units.js';

type Json = { [name: string]: Json } & { [index: number]: Json };

const NAMES = ['key', 'terms', 'taxa', 'collections', 'record', 'correspondences'] as const;
const files = Object.fromEntries(
  NAMES.map((n) => [n, JSON.parse(readFileSync(`schemas/${n}.schema.json`, 'utf8')) as Json]),
);
const ajv = new Ajv2020({ allErrors: true, strict: true, strictRequired: false, allowUnionTypes: true });
for (const schema of Object.values(files)) ajv.addSchema(schema);

const KEY = `# yaml-language-server: $schema=../schemas/key.schema.json
keywright: 1
id: tarn-wood-tufts
title: Tufted gilled fungi on dead wood, Tarn Hollow
version: 0.3.0
date: 2026-09-02
language: en
licence: CC-BY-4.0
authors: [Tarn Hollow recorders]
sources:
  memory: {cite: "written from memory for demonstration", pages: 3, url: https://example.org/x, note: none}
scope:
  group: gilled fungi growing in tufts on wood
  regions: [GB-CMA, ORE, ORE-OO, 10]
  months: [9, 10, 11, 12]
  stages: [mature]
  complete: false
  within: galerina
  note: not above the tarn
start: 1
uses: [common-fungi.terms.yaml]
note: for fresh material
characters:
  spore-print:
    name: colour of the spore print
    states: {white: white to cream, rust: rusty brown, purple-black: dark purplish brown to black}
    look: A cap on paper half white, half black, under a glass.
    wait: 6 h
    tools: [paper, glass]
    effort: 5
    stages: [mature]
    reliability: 0.95
    note: slow
    sources: [memory]
  ring:
    name: ring on the stem
    states: [present, absent]
    perishable: true
  ring-texture:
    name: texture of the ring
    states: [membranous, fibrous]
    applies-when: {ring: present}
  cap-width:
    name: width of the cap
    kind: measure
    unit: cm
    limits: 0.2-60
  gill-ratio: {name: length of the gills by their depth, kind: measure}
  tiers: {name: tiers of gills, kind: count, limits: 1-9}
couplets:
  1:
    - lead: Spore print rusty brown
      when: {spore-print: rust}
      to: 2
    - lead: Spore print white or dark purplish brown
      when: {spore-print: [white, purple-black]}
      to: 1.10
  2:
    - lead: Stem with a membranous ring, darker and silky below it
      when: {ring: present, ring-texture: membranous}
      usually: {cap-width: 1.5-4}
      taxon: galerina-marginata
      note: look at young ones too
      sources: [memory]
    - lead: Not so
      otherwise: true
      key: tarn-rust-spored
      at: 4
      reaches: rust-spored
  1.10:
    - lead: Cap small
      when: {any: [{cap-width: < 2 cm}, {not: {ring: present}}], all: [{tiers: 3}], spore-print: {not: [white]}}
      taxon: [galerina-marginata, kuehneromyces-mutabilis]
    - lead: Cap large
      taxon: kuehneromyces-mutabilis
taxa:
  rust-spored: {name: Rust-spored fungi, rank: group}
  galerina: {name: Galerina, rank: genus, within: rust-spored}
  galerina-marginata:
    name: Galerina marginata
    authority: (Batsch) Kühner
    rank: species
    common: [funeral bell]
    within: galerina
    concern: {level: deadly, effect: destroys the liver, onset: 6-24 h, source: memory}
    alike: [kuehneromyces-mutabilis]
    traits: {spore-print: rust, ring: [present, absent], cap-width: (1-)1.5-4(-6), ring-texture: "-"}
    synonyms: [Galerina unicolor]
    frequency: 3
    habitat: conifer stumps
    months: [8, 9, 10, 11]
    repeats: meant
    sources: [memory]
    note: variable
  kuehneromyces-mutabilis:
    name: Kuehneromyces mutabilis
    duties: [{kind: protected, note: not to be picked in the reserve}]
glossary:
  membranous: like a thin skin
`;

const TERMS = `keywright-terms: 1
characters:
  ring: {name: ring on the stem, states: [present, absent], sources: [notes]}
glossary: {membranous: like a thin skin}
sources: {notes: {cite: field notes}}
`;

const COLLECTIONS = `keywright-collections: 1
collections:
  - id: TH-2026-041
    date: 2026-10-18
    place: Lower Plantation, oak stump
    region: GB-CMA
    by: E. Marlow
    habitat: rotting stump
    stage: mature
    count: 12
    note: two tufts
    traits: {habit: tufted, smell: "?", ring-texture: "-", cap-colour: [brown, buff]}
    specimens:
      - {id: a, stage: young,  traits: {ring: present, ring-texture: fibrous}}
      - {id: 2, stage: mature, traits: {spore-print: rust, cap-width: 3.5 cm}, note: stem base lost}
    leads: {7: b, tarn-rust-spored/1.10: a}
    expect: kuehneromyces-mutabilis
  - {id: 42, date: 2026-10/2026-11, traits: {}, expect: [a, b]}
  - {id: TH-3}
`;

/** The key without its couplets is a table of taxa. */
const TABLE = KEY.replace(/^keywright: 1$/m, 'keywright-taxa: 1')
  .replace(/^start: .*\n/m, '')
  .replace(/^couplets:\n(?: .*\n)+/m, '');

describe('good files', () => {
  test.each([
    ['key', KEY, validateKey],
    ['terms', TERMS, validateTerms],
    ['taxa', TABLE, validateTaxa],
    ['collections', COLLECTIONS, validateCollections],
  ] as const)('a whole %s file', (name, yaml, validate) => {
    const { data } = readYaml(yaml, 'test.yaml');
    expect(explainShape(validate(data) ? [] : (validate.errors ?? []), data, name)).toEqual([]);
  });

  test('ids and targets that an editor reads as numbers', () => {
    const data = {
      keywright: 1,
      id: 7,
      title: 'T',
      version: 0.3,
      start: 1,
      characters: { n: { name: 'n', states: [3, 5] }, q: { name: 'q', kind: 'measure', unit: 1, limits: 3 } },
      couplets: { 1: [{ lead: 'A', when: { n: 3, q: [1, 2], any: [{ q: { not: 4 } }] }, to: 2 }] },
      taxa: { a: { name: 'Aa', traits: { q: 1.5 } } },
    };
    expect(validateKey(data)).toBe(true);
  });
});

test('the generated validators are those of the schemas', () => {
  expect(schemas, 'run `npm run build` after changing a schema').toEqual(
    Object.fromEntries(
      [...NAMES, 'lint-config', 'lint-baseline'].map((n) => [
        `${n}.schema.json`,
        files[n] ?? (JSON.parse(readFileSync(`schemas/${n}.schema.json`, 'utf8')) as Json),
      ]),
    ),
  );
});

describe.each(NAMES)('%s.schema.json', (name) => {
  const places = [...parts(files[name] as Json, '')];

  test('explains every property and gives examples', () => {
    const mute = places.filter(
      ([at, s]) => /\/properties\/[^/]+$/.test(at) && !(s.description && s.examples),
    );
    expect(mute.map(([at]) => at)).toEqual([]);
  });

  test('lists all properties wherever it lists any', () => {
    const open = places.filter(([, s]) => s.properties && s.additionalProperties === undefined);
    expect(open.map(([at]) => at)).toEqual([]);
  });

  test('gives examples that are right', () => {
    for (const [at, schema] of places) {
      const validate = ajv.compile({ $ref: `${name}.schema.json#${at}` });
      for (const example of (schema.examples ?? []) as unknown as unknown[]) {
        expect(
          validate(example),
          `${at}: ${JSON.stringify(example)} ${ajv.errorsText(validate.errors)}`,
        ).toBe(true);
      }
    }
  });

  test('relies on no format', () => {
    expect(places.filter(([, s]) => s.format !== undefined && typeof s.format === 'string')).toEqual([]);
  });
});

/** Every part of a schema that describes a value, with its pointer; the conditions between properties left out. */
function* parts(schema: Json, at: string): Generator<[string, Json]> {
  if (typeof schema !== 'object') return;
  yield [at, schema];
  for (const word of ['properties', '$defs']) {
    for (const [name, part] of Object.entries(schema[word] ?? {}))
      yield* parts(part, `${at}/${word}/${name}`);
  }
  for (const word of ['items', 'additionalProperties']) {
    if (schema[word] !== undefined) yield* parts(schema[word], `${at}/${word}`);
  }
}

test('the units of the schema are those that can be read', () => {
  const units = (files.key as Json).$defs?.character?.properties?.unit?.enum as unknown as unknown[];
  expect(units.map(String).filter((u) => findUnit(u) === undefined)).toEqual([]);
  expect(unitNames.filter((u) => !units.includes(u))).toEqual([]);
});

test('whatever is broken in a good key, something is said of it', () => {
  const good = readYaml(KEY, 'test.yaml').data;
  const paths = [...pathsOf(good, [])];
  const words = ['', ' ', 'x', 'any', '__proto__', 'constructor', 'to', 'Aa b', '1/2', '~'];
  const value = fc.oneof(
    fc.constantFrom<unknown>(null, true, 0, 99, [], {}, ...words),
    fc.dictionary(fc.constantFrom(...words.slice(2)), fc.constantFrom<unknown>(null, 'x', [], {}), {
      noNullPrototype: false,
    }),
    fc.array(fc.constantFrom<unknown>(null, 'x', 'x', {}), { maxLength: 3 }),
  );
  fc.assert(
    fc.property(fc.constantFrom(...paths), value, (path, put) => {
      const data = replaced(good, path, put);
      if (validateKey(data)) return;
      const explained = explainShape(validateKey.errors ?? [], data, 'key');
      expect(explained.length).toBeGreaterThan(0);
      for (const { message } of explained) {
        expect(message).not.toMatch(/undefined|\[object|NaN|must (have|be|match|NOT)/);
        expect(message).toMatch(/^\P{Ll}/u);
      }
    }),
    { numRuns: 1500 },
  );
});

function* pathsOf(data: unknown, at: string[]): Generator<string[]> {
  yield at;
  if (typeof data !== 'object' || data === null) return;
  for (const [name, part] of Object.entries(data)) yield* pathsOf(part, [...at, name]);
}

function replaced(data: unknown, [step, ...rest]: readonly string[], put: unknown): unknown {
  if (step === undefined) return put;
  if (Array.isArray(data))
    return data.map((part, i) => (String(i) === step ? replaced(part, rest, put) : part));
  const copy = Object.assign(Object.create(null), data) as Record<string, unknown>;
  copy[step] = replaced(copy[step], rest, put);
  return copy;
}
