import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, test } from 'vitest';
import { readYaml } from '../../src/key/document.js';
import { explainShape } from '../../src/key/shape.js';
import {
  validateCollections,
  validateKey,
  validateTaxa,
  validateTerms,
} from '../../src/key/validate.generated.js';

// ajv itself, so that the explanations are tried on its real output; the generated validators must agree with it.
const ajv = new Ajv2020({ allErrors: true, strict: true, strictRequired: false, allowUnionTypes: true });
for (const name of ['key', 'terms', 'taxa', 'collections']) {
  ajv.addSchema(JSON.parse(readFileSync(`schemas/${name}.schema.json`, 'utf8')));
}
const generated = {
  key: validateKey,
  terms: validateTerms,
  taxa: validateTaxa,
  collections: validateCollections,
};
type SchemaName = keyof typeof generated;

const HEAD = 'keywright: 1\nid: k\ntitle: T\nversion: 1\n';
const COUPLETS = 'couplets:\n  1:\n    - {lead: A, taxon: a}\n    - {lead: B, taxon: b}\n';
const TAXA = 'taxa:\n  a: {name: Aa bb}\n  b: {name: Aa cc}\n';

/** A good key with more lines at its end, or with one part of it written differently. */
const top = (lines: string) => `${HEAD}${COUPLETS}${TAXA}${lines}\n`;
const couplets = (written: string) => `${HEAD}couplets:${written}\n${TAXA}`;
const lead = (written: string) => couplets(`\n  1:\n    - {lead: A, taxon: a}\n    - ${written}`);
const character = (written: string) => top(`characters:\n  ring: ${written}`);
const taxon = (written: string) => `${HEAD}${COUPLETS}taxa:\n  a: ${written}\n`;

function problems(yaml: string, name: SchemaName): string[] {
  const { data } = readYaml(yaml, 'test.yaml');
  ajv.validate(`${name}.schema.json`, data);
  const explained = explainShape(ajv.errors ?? [], data, name);
  generated[name](data);
  expect(explainShape(generated[name].errors ?? [], data, name)).toEqual(explained);
  return explained.map(
    ({ rule, path, at, message }) =>
      `${rule} ${path.join('/') || 'top'}${at === 'key' ? ' (name)' : ''}: ${message}`,
  );
}

/** What is written, and what is said of it: rule, place, sentence. */
type Case = readonly [yaml: string, says: readonly string[]];

const GROUPS: readonly (readonly [title: string, schema: SchemaName, cases: readonly Case[]])[] = [
  [
    'the file as a whole',
    'key',
    [
      [
        '',
        [
          'value-needed top: The key file is empty; expected lines of "name: value", the first of them "keywright: 1"',
        ],
      ],
      [
        'just text',
        [
          'value-kind top: The key file is "just text"; expected lines of "name: value", the first of them "keywright: 1"',
        ],
      ],
      [
        '- a list',
        [
          'value-kind top: The key file is a list; expected lines of "name: value", the first of them "keywright: 1"',
        ],
      ],
      [
        '{}',
        [
          'property-needed top: The key file needs "keywright", such as keywright: 1',
          'property-needed top: The key file needs "id", such as id: tarn-wood-tufts',
          'property-needed top: The key file needs "title", such as title: Tufted gilled fungi on dead wood, Tarn Hollow',
          'property-needed top: The key file needs "version", such as version: 0.3.0',
          'property-needed top: The key file needs "couplets"',
          'property-needed top: The key file needs "taxa"',
        ],
      ],
      [
        top('regions: [GB]'),
        ['property-known regions (name): The key file cannot have "regions"; it belongs under "scope"'],
      ],
      [
        top('titel: x'),
        ['property-known titel (name): The key file cannot have "titel"; did you mean "title"?'],
      ],
      [
        top('zzzqqq: x'),
        [
          'property-known zzzqqq (name): The key file cannot have "zzzqqq"; what may stand there: keywright, id, title, version, date, language, licence, authors, sources, scope, start, uses, characters, couplets, taxa, glossary, note',
        ],
      ],
      [
        top('__proto__: {a: 1}'),
        [
          'property-known __proto__ (name): The key file cannot have "__proto__"; what may stand there: keywright, id, title, version, date, language, licence, authors, sources, scope, start, uses, characters, couplets, taxa, glossary, note',
        ],
      ],
      [
        top('date: 2.9.2026'),
        [
          'value-form date: "date" is "2.9.2026"; expected a date: year, or year-month, or year-month-day, in digits, such as 2026-09-02',
        ],
      ],
      [
        top('licence: public domain'),
        [
          'value-form licence: "licence" is "public domain"; expected an SPDX licence name, or LicenseRef- and a word of your own, such as CC-BY-4.0',
        ],
      ],
      [
        top('language: English'),
        [
          'value-form language: "language" is "English"; expected a language tag: two or three letters, and a region after a hyphen where it matters, such as en',
        ],
      ],
      [
        top('start: "2, 3"'),
        [
          'value-form start: "start" is "2, 3"; expected letters, digits and dots, beginning with a letter or digit, as printed, such as 1',
        ],
      ],
      [
        top('').replace('id: k', 'id: Tarn Höllow'),
        [
          'value-form id: "id" is "Tarn Höllow"; expected lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "tarn-hollow"?',
        ],
      ],
      [
        top('').replace('keywright: 1', 'keywright: 2'),
        ['value-allowed keywright: "keywright" is 2; this program reads version 1 of the file format'],
      ],
      [
        top('').replace('keywright: 1', 'keywright: "1"'),
        ['value-allowed keywright: "keywright" is "1"; it is written without quotes'],
      ],
      [
        top('').replace('title', 'titel'),
        ['property-known titel (name): The key file cannot have "titel"; did you mean "title"?'],
      ],
      [
        top('authors: someone'),
        ['value-kind authors: "authors" is "someone"; expected a list, such as [Tarn Hollow recorders]'],
      ],
      [
        top('authors: []'),
        [
          'value-needed authors: "authors" is empty; expected a list, such as [Tarn Hollow recorders], or leave the line out',
        ],
      ],
      [
        top('authors:'),
        [
          'value-needed authors: "authors" is empty; expected a list, such as [Tarn Hollow recorders], or leave the line out',
        ],
      ],
      [top('authors: [a, ~]'), ['value-needed authors/1: Item 2 of "authors" is empty; expected text']],
      [top('note: {a: b}'), ['value-kind note: "note" is a map; expected text']],
      [
        top('scope: {months: [0, 5, 5, oct], regions: [gb-cma], complete: maybe, stags: [x]}'),
        [
          'property-known scope/stags (name): "scope" cannot have "stags"; did you mean "stages"?',
          'value-form scope/regions/0: Item 1 of "regions" in "scope" is "gb-cma"; expected a region code: ISO 3166 country or subdivision, or a WGSRPD code; did you mean "GB-CMA"?',
          'value-range scope/months/0: Item 1 of "months" in "scope" is 0; expected a number from 1 to 12',
          'value-kind scope/months/3: Item 4 of "months" in "scope" is "oct"; expected the number of a month, 1 to 12',
          'value-unique scope/months/2: "5" stands twice in "months" in "scope"',
          'value-kind scope/complete: "complete" in "scope" is "maybe"; expected true or false',
        ],
      ],
      [
        top('sources: {m: {}, "a b": {cite: x}, n: {cite: x, url: example.org}}'),
        [
          'id-form sources/a b (name): "a b" cannot name a source; it is written as letters, digits, dots, hyphens and underscores, beginning with a letter or digit; did you mean "a-b"?',
          'property-needed sources/m (name): Source m needs "cite", such as cite: Field notes of the Tarn Hollow recorders, 2025',
          'value-form sources/n/url: "url" of source n is "example.org"; expected a web address, beginning with https:// or http://, without spaces, such as https://example.org/fungi',
        ],
      ],
      [
        top('glossary: {__proto__: x, membranous: }'),
        [
          'id-form glossary/__proto__ (name): "__proto__" cannot name a term; it is written as a word or words, beginning with a letter or digit',
          'value-needed glossary/membranous: Term membranous is empty; expected its meaning in words',
        ],
      ],
    ],
  ],
  [
    'couplets',
    'key',
    [
      [
        couplets(' []'),
        ['value-kind couplets: "couplets" is a list; expected couplets, each under its number'],
      ],
      [
        couplets(''),
        ['value-needed couplets: "couplets" is empty; expected couplets, each under its number'],
      ],
      [
        couplets(' {}'),
        ['value-needed couplets: "couplets" is empty; expected couplets, each under its number'],
      ],
      [
        couplets(' {1: {a: x, b: y}}'),
        [
          'value-kind couplets/1: Couplet 1 is a map; expected a list of leads, each beginning with "- lead:"',
        ],
      ],
      [
        couplets(' {1: []}'),
        [
          'value-needed couplets/1: Couplet 1 is empty; expected a list of leads, each beginning with "- lead:"',
        ],
      ],
      [
        couplets(' {"1 a)": [{lead: x, to: 2}]}'),
        [
          'id-form couplets/1 a) (name): "1 a)" cannot name a couplet; it is written as letters, digits and dots, beginning with a letter or digit, as printed; did you mean "1a"?',
        ],
      ],
      [
        couplets(' {1: [Spore print white]}'),
        [
          'value-kind couplets/1/0: Lead a of couplet 1 is "Spore print white"; expected a lead: lines such as "lead:", "when:" and "to:"',
        ],
      ],
      [
        `${HEAD}${COUPLETS}  taxa:\n    a: {name: Aa bb}\n`,
        [
          'value-kind couplets/taxa: Couplet taxa is a map; expected a list of leads, each beginning with "- lead:"; if the section "taxa" is meant, it must not be indented under "couplets"',
        ],
      ],
    ],
  ],
  [
    'leads',
    'key',
    [
      [
        lead('{lead: B}'),
        [
          'one-target couplets/1/1: Lead b of couplet 1 leads nowhere; it needs one of "to" (a couplet), "taxon" or "key"',
        ],
      ],
      [
        lead('{lead: B, to: 2, taxon: b}'),
        [
          'one-target couplets/1/1/taxon (name): Lead b of couplet 1 has both "to" and "taxon"; a lead ends in exactly one of "to", "taxon" and "key"',
        ],
      ],
      [
        lead('{lead: B, to: 2, taxon: b, key: x}'),
        [
          'one-target couplets/1/1/key (name): Lead b of couplet 1 has "to", "taxon" and "key"; a lead ends in exactly one of "to", "taxon" and "key"',
        ],
      ],
      [
        lead('{lead: B, too: 2}'),
        ['property-known couplets/1/1/too (name): Lead b of couplet 1 cannot have "too"; did you mean "to"?'],
      ],
      [
        lead('{lead: B, at: 3}'),
        [
          'property-fits couplets/1/1/at (name): Lead b of couplet 1 has "at", the couplet of another key, but no "key" that names the key',
        ],
      ],
      [
        lead('{lead: B, to: 2, at: 3}'),
        [
          'property-fits couplets/1/1/at (name): Lead b of couplet 1 has "at", the couplet of another key, but no "key" that names the key',
        ],
      ],
      [
        lead('{taxon: b}'),
        [
          'property-needed couplets/1/1: Lead b of couplet 1 needs "lead", such as lead: Spore print rusty brown',
        ],
      ],
      [
        lead('{lead: B, to: [2, 3]}'),
        [
          'value-kind couplets/1/1/to: "to" of lead b of couplet 1 is a list; expected the number of one couplet, such as 2',
        ],
      ],
      [
        lead('{lead: B, to: }'),
        [
          'value-needed couplets/1/1/to: "to" of lead b of couplet 1 is empty; expected the number of one couplet, such as 2',
        ],
      ],
      [
        lead('{lead: " ", to: 3}'),
        [
          'value-needed couplets/1/1/lead: "lead" of lead b of couplet 1 is empty; expected text, such as Spore print rusty brown',
        ],
      ],
      [
        lead('{lead: B, to: "2,3"}'),
        [
          'value-form couplets/1/1/to: "to" of lead b of couplet 1 is "2,3"; expected letters, digits and dots, beginning with a letter or digit, as printed, such as 2',
        ],
      ],
      [
        lead('{lead: B, taxon: Galerina marginata}'),
        [
          'value-form couplets/1/1/taxon: "taxon" of lead b of couplet 1 is "Galerina marginata"; expected lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "galerina-marginata"?',
        ],
      ],
      [
        lead('{lead: B, taxon: [a, a, ""]}'),
        [
          'value-needed couplets/1/1/taxon/2: Item 3 of "taxon" of lead b of couplet 1 is empty; expected the id of one taxon',
          'value-unique couplets/1/1/taxon/1: "a" stands twice in "taxon" of lead b of couplet 1',
        ],
      ],
      [
        lead('{lead: B, taxon: {a: b}}'),
        [
          'value-kind couplets/1/1/taxon: "taxon" of lead b of couplet 1 is a map; expected text or a list, such as galerina-marginata',
        ],
      ],
      [
        lead('{lead: B, otherwise: yes, to: 2}'),
        ['value-allowed couplets/1/1/otherwise: "otherwise" of lead b of couplet 1 is "yes"; expected true'],
      ],
      [
        lead('{lead: B, when: {ring: x}, otherwise: true, to: 2}'),
        [
          'one-condition couplets/1/1/otherwise (name): Lead b of couplet 1 has both "when" and "otherwise"; keep the one that is meant',
        ],
      ],
      [
        lead('{lead: B, __proto__: x, to: 2}'),
        [
          'property-known couplets/1/1/__proto__ (name): Lead b of couplet 1 cannot have "__proto__"; what may stand there: lead, when, otherwise, usually, to, taxon, key, at, reaches, note, figures, sources',
        ],
      ],
      [
        lead('{lead: B, constructor: x, to: 2}'),
        [
          'property-known couplets/1/1/constructor (name): Lead b of couplet 1 cannot have "constructor"; what may stand there: lead, when, otherwise, usually, to, taxon, key, at, reaches, note, figures, sources',
        ],
      ],
      [
        lead('{leed: B, tos: 2, wen: {a: b}}'),
        [
          'property-known couplets/1/1/leed (name): Lead b of couplet 1 cannot have "leed"; did you mean "lead"?',
          'property-known couplets/1/1/tos (name): Lead b of couplet 1 cannot have "tos"; did you mean "to"?',
          'property-known couplets/1/1/wen (name): Lead b of couplet 1 cannot have "wen"; did you mean "when"?',
        ],
      ],
      [
        lead('{lead: [B], sources: notes, reaches: Rust Spored, to: 2}'),
        [
          'value-kind couplets/1/1/lead: "lead" of lead b of couplet 1 is a list; expected text, such as Spore print rusty brown',
          'value-form couplets/1/1/reaches: "reaches" of lead b of couplet 1 is "Rust Spored"; expected lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "rust-spored"?',
          'value-kind couplets/1/1/sources: "sources" of lead b of couplet 1 is "notes"; expected a list, such as [notes-2025]',
        ],
      ],
    ],
  ],
  [
    'conditions',
    'key',
    [
      [
        lead('{lead: B, when: ring, to: 2}'),
        [
          'value-kind couplets/1/1/when: "when" of lead b of couplet 1 is "ring"; expected characters with what they must show, such as {ring: present}',
        ],
      ],
      [
        lead('{lead: B, when: [ring], to: 2}'),
        [
          'value-kind couplets/1/1/when: "when" of lead b of couplet 1 is a list; expected characters with what they must show, such as {ring: present}',
        ],
      ],
      [
        lead('{lead: B, when: {}, to: 2}'),
        [
          'value-needed couplets/1/1/when: "when" of lead b of couplet 1 is empty; expected characters with what they must show, such as {ring: present}, or leave the line out',
        ],
      ],
      [
        lead('{lead: B, when: {ring: {nott: x}}, to: 2}'),
        [
          'property-known couplets/1/1/when/ring/nott (name): "ring" in "when" of lead b of couplet 1 cannot have "nott"; did you mean "not"?',
        ],
      ],
      [
        lead('{lead: B, when: {ring: {present: x}}, to: 2}'),
        [
          'property-known couplets/1/1/when/ring/present (name): "ring" in "when" of lead b of couplet 1 cannot have "present"; what may stand there: not',
        ],
      ],
      [
        lead('{lead: B, when: {ring: [], Cap Width: 3, b: {not: }}, to: 2}'),
        [
          'id-form couplets/1/1/when/Cap Width (name): "Cap Width" cannot name a character; it is written as lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "cap-width"?',
          'value-needed couplets/1/1/when/ring: "ring" in "when" of lead b of couplet 1 is empty; expected a state, a list of states, a number or range, or {not: state}',
          'value-needed couplets/1/1/when/b/not: "not" in "b" in "when" of lead b of couplet 1 is empty; expected text or a list, such as white',
        ],
      ],
      [
        lead('{lead: B, when: {any: {a: b}, all: [], not: white}, to: 2}'),
        [
          'value-kind couplets/1/1/when/any: "any" in "when" of lead b of couplet 1 is a map; expected a list, such as [{ring: present}, {volva: present}]',
          'value-needed couplets/1/1/when/all: "all" in "when" of lead b of couplet 1 is empty; expected a list, such as [{ring: present}, {volva: present}], or leave the line out',
          'value-kind couplets/1/1/when/not: "not" in "when" of lead b of couplet 1 is "white"; expected characters with what they must show, such as {ring: present}',
        ],
      ],
      [
        lead('{lead: B, usually: {any: [{a: b}, {not: {a: }}, c]}, to: 2}'),
        [
          'value-needed couplets/1/1/usually/any/1/not/a: "a" in "not" in item 2 of "any" in "usually" of lead b of couplet 1 is empty; expected a state, a list of states, a number or range, or {not: state}',
          'value-kind couplets/1/1/usually/any/2: Item 3 of "any" in "usually" of lead b of couplet 1 is "c"; expected characters with what they must show, such as {ring: present}',
        ],
      ],
    ],
  ],
  [
    'characters',
    'key',
    [
      [
        character(''),
        [
          'value-needed characters/ring: Character ring is empty; expected a character: lines such as "name:" and "states:"',
        ],
      ],
      [
        character('present'),
        [
          'value-kind characters/ring: Character ring is "present"; expected a character: lines such as "name:" and "states:"',
        ],
      ],
      [
        character('[a, b]'),
        [
          'value-kind characters/ring: Character ring is a list; expected a character: lines such as "name:" and "states:"',
        ],
      ],
      [
        character('{}'),
        [
          'property-needed characters/ring (name): Character ring needs "states", such as states: [present, absent]; or, when it is measured or counted, "kind: measure" or "kind: count"',
          'property-needed characters/ring (name): Character ring needs "name", such as name: colour of the spore print',
        ],
      ],
      [
        character('{name: x}'),
        [
          'property-needed characters/ring (name): Character ring needs "states", such as states: [present, absent]; or, when it is measured or counted, "kind: measure" or "kind: count"',
        ],
      ],
      [
        character('{name: x, kind: mesure, unit: cm}'),
        ['value-allowed characters/ring/kind: "kind" of character ring is "mesure"; did you mean "measure"?'],
      ],
      [
        character('{name: x, kind: choice}'),
        [
          'property-needed characters/ring (name): Character ring needs "states", such as states: [present, absent]',
        ],
      ],
      [
        character('{name: x, state: [a, b]}'),
        [
          'property-known characters/ring/state (name): Character ring cannot have "state"; did you mean "states"?',
        ],
      ],
      [
        character('{name: x, states: [a, b], unit: cm, limits: 1-2}'),
        [
          'property-fits characters/ring/unit (name): Character ring is a choice and cannot have "unit"; that goes with kind: measure',
          'property-fits characters/ring/limits (name): Character ring is a choice and cannot have "limits"; that goes with kind: measure or count',
        ],
      ],
      [
        character('{name: x, kind: measure, unit: centimetre}'),
        [
          'value-allowed characters/ring/unit: "unit" of character ring is "centimetre"; expected um, mm, cm, dm, m, in, ft, ug, mg, g, kg, uL, ul, mL, ml, L, l, s, min, h, d, deg, % or 1',
        ],
      ],
      [
        character('{name: x, kind: measure, unit: cn}'),
        ['value-allowed characters/ring/unit: "unit" of character ring is "cn"; did you mean "cm"?'],
      ],
      [
        character('{name: x, kind: count, unit: cm}'),
        [
          'property-fits characters/ring/unit (name): Character ring is a count and cannot have "unit"; that goes with kind: measure',
        ],
      ],
      [
        character('{name: x, kind: measure, states: [a, b]}'),
        [
          'property-fits characters/ring/states (name): Character ring is a measure and cannot have "states"; that goes with kind: choice',
        ],
      ],
      [
        character('{name: x, states: [Present, a b, present, present]}'),
        [
          'value-form characters/ring/states/0: Item 1 of "states" of character ring is "Present"; expected lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "present"?',
          'value-form characters/ring/states/1: Item 2 of "states" of character ring is "a b"; expected lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "a-b"?',
          'value-unique characters/ring/states/3: "present" stands twice in "states" of character ring',
        ],
      ],
      [
        character('{name: x, states: {Present: here, absent: [x], 3: }}'),
        [
          'id-form characters/ring/states/Present (name): "Present" cannot name a state; it is written as lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "present"?',
          'value-needed characters/ring/states/3: "3" in "states" of character ring is empty; expected its meaning in words',
          'value-kind characters/ring/states/absent: "absent" in "states" of character ring is a list; expected its meaning in words',
        ],
      ],
      [
        character('{name: x, states: present}'),
        [
          'value-kind characters/ring/states: "states" of character ring is "present"; expected a map or a list, such as [present, absent]',
        ],
      ],
      [
        character(
          '{name: x, states: [a,b], effort: 11, reliability: 2, wait: overnight, perishable: yes, tools: lens, stages: }',
        ),
        [
          'value-form characters/ring/wait: "wait" of character ring is "overnight"; expected a length of time: a number and s, min, h or d, such as 6 h',
          'value-kind characters/ring/tools: "tools" of character ring is "lens"; expected a list, such as [paper, glass]',
          'value-range characters/ring/effort: "effort" of character ring is 11; expected a number from 1 to 10',
          'value-needed characters/ring/stages: "stages" of character ring is empty; expected a list, such as [mature], or leave the line out',
          'value-kind characters/ring/perishable: "perishable" of character ring is "yes"; expected true or false',
          'value-range characters/ring/reliability: "reliability" of character ring is 2; expected a number from 0 to 1',
        ],
      ],
      [
        character('{name: x, states: [a, b], effort: much, applies-when: {any: []}}'),
        [
          'value-kind characters/ring/effort: "effort" of character ring is "much"; expected a number, such as 5',
          'value-needed characters/ring/applies-when/any: "any" in "applies-when" of character ring is empty; expected a list, such as [{ring: present}, {volva: present}], or leave the line out',
        ],
      ],
      [
        top(
          'characters: {any: {name: x, states: [a]}, Spore Print: {name: x, states: [a]}, "": {name: y, states: [a]}}',
        ),
        [
          'id-form characters/any (name): "any" joins conditions and cannot name a character',
          'id-form characters/Spore Print (name): "Spore Print" cannot name a character; it is written as lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "spore-print"?',
          'id-form characters/ (name): An empty name cannot name a character; it is written as lower-case letters, digits and hyphens, beginning with a letter or digit',
        ],
      ],
    ],
  ],
  [
    'taxa',
    'key',
    [
      [
        taxon(''),
        ['value-needed taxa/a: Taxon a is empty; expected a taxon: lines such as "name:" and "rank:"'],
      ],
      [
        taxon('Galerina'),
        ['value-kind taxa/a: Taxon a is "Galerina"; expected a taxon: lines such as "name:" and "rank:"'],
      ],
      [
        taxon('{}'),
        ['property-needed taxa/a (name): Taxon a needs "name", such as name: Galerina marginata'],
      ],
      [
        taxon('{nmae: x}'),
        ['property-known taxa/a/nmae (name): Taxon a cannot have "nmae"; did you mean "name"?'],
      ],
      [
        taxon('{name: x, rank: specie}'),
        ['value-allowed taxa/a/rank: "rank" of taxon a is "specie"; did you mean "species"?'],
      ],
      [
        taxon('{name: x, rank: kind}'),
        [
          'value-allowed taxa/a/rank: "rank" of taxon a is "kind"; expected family, subfamily, tribe, genus, subgenus, section, series, species, aggregate, subspecies, variety, form or group',
        ],
      ],
      [
        taxon('{name: x, rank: [species]}'),
        [
          'value-allowed taxa/a/rank: "rank" of taxon a is a list; expected family, subfamily, tribe, genus, subgenus, section, series, species, aggregate, subspecies, variety, form or group',
        ],
      ],
      [
        taxon('{name: x, concern: deadly}'),
        [
          'value-kind taxa/a/concern: "concern" of taxon a is "deadly"; expected lines such as "level:" and "effect:"',
        ],
      ],
      [
        taxon('{name: x, concern: {level: deadley}}'),
        [
          'value-allowed taxa/a/concern/level: "level" in "concern" of taxon a is "deadley"; did you mean "deadly"?',
        ],
      ],
      [
        taxon('{name: x, concern: {effect: y}}'),
        ['property-needed taxa/a/concern (name): "concern" of taxon a needs "level", such as level: deadly'],
      ],
      [
        taxon('{name: x, level: deadly}'),
        ['property-known taxa/a/level (name): Taxon a cannot have "level"; it belongs under "concern"'],
      ],
      [
        taxon('{name: x, frequency: 0, months: 9, repeats: yes}'),
        [
          'value-range taxa/a/frequency: "frequency" of taxon a is 0; expected a number above 0',
          'value-kind taxa/a/months: "months" of taxon a is 9; expected a list, such as [8, 9, 10, 11]',
          'value-allowed taxa/a/repeats: "repeats" of taxon a is "yes"; expected meant',
        ],
      ],
      [
        taxon('{name: x, traits: {ring: {not: x}, cap: , Cap: 5}}'),
        [
          'id-form taxa/a/traits/Cap (name): "Cap" cannot name a character; it is written as lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "cap"?',
          'value-kind taxa/a/traits/ring: "ring" in "traits" of taxon a is a map; expected a state, a list of states, or a number or range, such as rust',
          'value-needed taxa/a/traits/cap: "cap" in "traits" of taxon a is empty; expected a state, a list of states, or a number or range, such as rust',
        ],
      ],
      [
        taxon('{name: x, duties: [{kind: protect}]}'),
        [
          'property-needed taxa/a/duties/0: Item 1 of "duties" of taxon a needs "note", such as note: not to be picked in the reserve',
          'value-allowed taxa/a/duties/0/kind: "kind" in item 1 of "duties" of taxon a is "protect"; did you mean "protected"?',
        ],
      ],
      [
        taxon('{name: x, alike: b}'),
        [
          'value-kind taxa/a/alike: "alike" of taxon a is "b"; expected a list, such as [kuehneromyces-mutabilis]',
        ],
      ],
    ],
  ],
  [
    'terms files',
    'terms',
    [
      [
        'keywright-terms: 1\ncharacters: {ring: {name: r, states: [a, b], kinds: choice}}\nglosary: {a: b}',
        [
          'property-known glosary (name): The terms file cannot have "glosary"; did you mean "glossary"?',
          'property-known characters/ring/kinds (name): Character ring cannot have "kinds"; did you mean "kind"?',
        ],
      ],
      [
        'characters: {}',
        ['property-needed top: The terms file needs "keywright-terms", such as keywright-terms: 1'],
      ],
    ],
  ],
  [
    'tables of taxa',
    'taxa',
    [
      [
        'keywright-taxa: 1\ntaxa:\n  a: {name: Aa bb, trait: {ring: present}}\ncouplets: {}',
        [
          'property-known couplets (name): The table of taxa cannot have "couplets"; what may stand there: keywright-taxa, id, title, version, date, language, licence, authors, sources, scope, uses, characters, taxa, glossary, note',
          'property-known taxa/a/trait (name): Taxon a cannot have "trait"; did you mean "traits"?',
        ],
      ],
      [
        'taxa: {}',
        ['property-needed top: The table of taxa needs "keywright-taxa", such as keywright-taxa: 1'],
      ],
    ],
  ],
  [
    'collections files',
    'collections',
    [
      ['keywright-collections: 1', ['property-needed top: The collections file needs "collections"']],
      [
        'keywright-collections: 1\ncollections: {id: x}',
        ['value-kind collections: "collections" is a map; expected a list (entries beginning with "- ")'],
      ],
      [
        'keywright-collections: 1\ncollections: [{id: T1, dat: x, region: oregon, count: many}, {date: 3 May}, x]',
        [
          'property-known collections/0/dat (name): Collection T1 cannot have "dat"; did you mean "date"?',
          'value-form collections/0/region: "region" of collection T1 is "oregon"; expected a region code: ISO 3166 country or subdivision, or a WGSRPD code, such as GB-CMA',
          'value-form collections/0/count: "count" of collection T1 is "many"; expected a whole number, in digits, such as 7',
          'property-needed collections/1: Collection no. 2 needs "id", such as id: TH-2026-041',
          'value-form collections/1/date: "date" of collection no. 2 is "3 May"; expected a date in digits (year, or year-month, or year-month-day), or two dates joined by a slash, such as 2026-10-18',
          'value-kind collections/2: Collection no. 3 is "x"; expected a collection: lines such as "id:", "date:" and "traits:"',
        ],
      ],
      [
        'keywright-collections: 1\ncollections: [{id: T1, traits: {Ring: x, cap: {a: b}}, leads: {"7 b": b, 8: B}}]',
        [
          'id-form collections/0/traits/Ring (name): "Ring" cannot name a character; it is written as lower-case letters, digits and hyphens, beginning with a letter or digit; did you mean "ring"?',
          'value-kind collections/0/traits/cap: "cap" in "traits" of collection T1 is a map; expected a state, a list of states, or a number or range, such as rust',
          'id-form collections/0/leads/7 b (name): "7 b" cannot name a couplet; it is written as the number of a couplet as printed, or the id of another key, a slash and the number of its couplet',
          'value-form collections/0/leads/8: "8" in "leads" of collection T1 is "B"; expected the letter of a lead: a for the first, b for the second',
        ],
      ],
      [
        'keywright-collections: 1\ncollections: [{id: T1, specimens: [{stage: young}, {id: a, trait: {}}], expect: [A b, Funeral bell]}]',
        [
          'property-needed collections/0/specimens/0: Specimen no. 1 of collection T1 needs "id", such as id: a',
          'property-known collections/0/specimens/1/trait (name): Specimen a of collection T1 cannot have "trait"; did you mean "traits"?',
        ],
      ],
    ],
  ],
];

describe.each(GROUPS)('%s', (_title, schema, cases) => {
  test.each(cases.map(([yaml, says]) => [yaml.trim().split('\n').slice(-2).join(' '), yaml, says] as const))(
    '%s',
    (_name, yaml, says) => {
      expect(problems(yaml, schema)).toEqual(says);
    },
  );
});

test('three mistakes are three problems, each at its own place', () => {
  const yaml = `${HEAD}characters:
  ring: {name: ring, stats: [present, absent]}
couplets:
  1:
    - {lead: A, when: {ring: present}, to: 2, taxon: a}
    - {lead: B}
${TAXA}`;
  expect(problems(yaml, 'key')).toHaveLength(3);
});

test('what was found, expected and meant is kept apart for programs', () => {
  const { data } = readYaml(lead('{lead: B, too: 2}'), 'test.yaml');
  validateKey(data);
  expect(explainShape(validateKey.errors ?? [], data, 'key')).toEqual([
    {
      path: ['couplets', '1', '1', 'too'],
      at: 'key',
      rule: 'property-known',
      message: 'Lead b of couplet 1 cannot have "too"; did you mean "to"?',
      found: 'too',
      expected: 'to',
      nearest: 'to',
    },
  ]);
});

test('control characters of a file do not reach a message', () => {
  const says = problems(top('"\\e[31m red": x'), 'key').join();
  // biome-ignore lint/suspicious/noControlCharactersInRegex: that there are none is what is tested
  expect(says.slice(says.indexOf(':'))).not.toMatch(/[\u0000-\u001f]/);
});

test('numbers where text is expected, as an editor would see them', () => {
  const data = {
    keywright: 1,
    id: 7,
    title: 12,
    version: 0.3,
    couplets: { 1: [{ lead: 5, to: 2 }] },
    taxa: {},
  };
  ajv.validate('key.schema.json', data);
  expect(explainShape(ajv.errors ?? [], data, 'key').map((p) => p.message)).toEqual([
    '"title" is 12; expected text, such as Tufted gilled fungi on dead wood, Tarn Hollow',
    '"lead" of lead a of couplet 1 is 5; expected text, such as Spore print rusty brown',
  ]);
});
