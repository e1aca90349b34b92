import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import type { Place } from '../../src/diagnostic/finding.js';
import { compile } from '../../src/engine/compile.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf, type Shelf } from '../../src/key/load.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what must not get through
const STEERING = /[\u0000-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]/;

/** Loads a text and checks what must hold for any text: findings lie inside the file and cannot steer a terminal. */
function load(text: string, shelf: Shelf = emptyShelf) {
  const result = loadChain(text, 'k', shelf);
  const source = text.replace(/^\ufeff/, '');
  const lines = source.split('\n');
  const inside = ({ file, start, end }: Place) => {
    if (file !== 'k') return;
    for (const { line, column, offset } of [start, end]) {
      expect(line).toBeGreaterThanOrEqual(1);
      expect(line).toBeLessThanOrEqual(lines.length);
      expect(column).toBeGreaterThanOrEqual(1);
      expect(column).toBeLessThanOrEqual((lines[line - 1] as string).length + 1);
      const before = lines.slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0);
      expect(offset).toBe(before + column - 1);
    }
    expect(start.offset).toBeLessThanOrEqual(end.offset);
  };
  for (const finding of result.findings.slice(0, 50)) {
    inside(finding.place);
    for (const { place } of finding.related ?? []) inside(place);
    expect(finding.message).not.toMatch(STEERING);
    expect(finding.message.length).toBeLessThan(2000);
    // What stands in quotes is a word of the file, which may well be NaN.
    expect(finding.message.replace(/"[^"]*"/g, '""')).not.toMatch(/undefined|\[object|NaN/);
  }
  // Nothing can be run that has a finding, and nothing is refused without one.
  expect(result.chain === undefined).toBe(result.findings.length > 0);
  if (result.chain !== undefined) compile(result.chain);
  return result;
}
const rules = (text: string, shelf?: Shelf) => load(text, shelf).findings.map((f) => f.rule);
const first = (text: string): string | undefined => {
  const [finding] = load(text).findings;
  return finding === undefined
    ? undefined
    : `${finding.place.start.line}:${finding.place.start.column} ${finding.message}`;
};

const GOOD = `keywright: 1
id: k
title: T
version: 1
characters:
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture, states: {thin: very thin, thick: thick}, applies-when: {ring: present}}
  width: {name: width, kind: measure, unit: cm, limits: 0.1-60}
couplets:
  1:
    - {lead: A, when: {ring: present, texture: thin}, to: 2}
    - {lead: B, when: {any: [{ring: absent}, {texture: {not: thin}}]}, taxon: b}
  2:
    - {lead: A, when: {width: (1-)2-4(-6)}, taxon: a}
    - {lead: B, otherwise: true, taxon: [a, b]}
taxa:
  a: {name: Aa bb, within: g, concern: {level: upset, source: memory}, traits: {ring: present, width: 2-4 cm}}
  b: {name: Aa cc, within: g, alike: [a]}
  g: {name: Aa, rank: genus}
`;

describe('a good key', () => {
  it('has nothing wrong', () => expect(rules(GOOD)).toEqual([]));
  it('may begin with a byte order mark and end its lines as on Windows', () => {
    expect(rules(`\ufeff${GOOD}`)).toEqual([]);
    expect(rules(GOOD.replaceAll('\n', '\r\n'))).toEqual([]);
    const { chain } = load(`\ufeff${GOOD.replaceAll('\n', '\r\n')}`);
    expect(chain?.main.couplets.get('1')?.leads[1]?.text).toBe('B');
  });
  it('is found at the same places with a byte order mark and other line ends', () => {
    const bad = GOOD.replace('to: 2', 'to: 22');
    expect(first(`\ufeff${bad.replaceAll('\n', '\r\n')}`)).toBe(first(bad));
  });
});

describe('a text that is no key', () => {
  it.each<[string, string, string]>([
    [
      'nothing',
      '',
      '1:1 The key file is empty; expected lines of "name: value", the first of them "keywright: 1"',
    ],
    [
      'only a line end',
      '\n',
      '1:1 The key file is empty; expected lines of "name: value", the first of them "keywright: 1"',
    ],
    [
      'only comments',
      '# nothing\n# here\n',
      '1:1 The key file is empty; expected lines of "name: value", the first of them "keywright: 1"',
    ],
    [
      'only a byte order mark',
      '\ufeff',
      '1:1 The key file is empty; expected lines of "name: value", the first of them "keywright: 1"',
    ],
    ['only "---"', '---\n', '1:4 The key file is empty'],
    [
      'a list',
      '- a\n- b\n',
      '1:1 The key file is a list; expected lines of "name: value", the first of them "keywright: 1"',
    ],
    [
      'a word',
      'keywright',
      '1:1 The key file is "keywright"; expected lines of "name: value", the first of them "keywright: 1"',
    ],
    [
      'two documents',
      `${GOOD}---\n${GOOD}`,
      '20:1 Only one document may stand in the file ("---" starts a second one).',
    ],
    ['a tab before a name', GOOD.replace('  ring:', '\tring:'), '6:1 A tab stands where YAML needs spaces.'],
    ['a quote that does not end', GOOD.replace('title: T', 'title: "T'), '3:8 This quote is never closed.'],
    [
      'a text that begins with a tag',
      GOOD.replace('title: T', 'title: ! T'),
      '3:10 What begins with "!" is a tag to YAML, so "!" would be lost: put the whole in quotes.',
    ],
    ['another one', GOOD.replace('name: Aa cc', "name: 'Aa cc"), '18:13 This quote is never closed.'],
    [
      'a bracket that is not closed',
      GOOD.replace('2-4 cm}}', '2-4 cm'),
      '18:3 A "{" that was opened above is not closed before this with "}"; if a text begins with it, put it in quotes.',
    ],
    [
      'a number that begins with a sign of YAML, in a block',
      GOOD.replace('title: T', 'title: >5'),
      '3:8 "title" is empty; expected text, such as Tufted gilled fungi on dead wood, Tarn Hollow; if a text begins with >, put it in quotes',
    ],
    [
      'a star',
      GOOD.replace('title: T', 'title: *'),
      '3:8 A text cannot begin with & or *, which name an alias; put it in quotes.',
    ],
    [
      'an alias of nothing',
      GOOD.replace('title: T', 'title: *t'),
      '3:8 The alias *t names nothing above it.',
    ],
    [
      'an alias before its anchor',
      GOOD.replace('id: k', 'id: *t').replace('title: T', 'title: &t T'),
      '2:5 The alias *t names nothing above it.',
    ],
    ['an anchor within itself', `${GOOD}note: &a [*a]\n`, '20:11 The alias *a stands within what it names.'],
    [
      'an anchor within itself, in a map',
      `${GOOD}glossary: &a {x: *a}\n`,
      '20:18 The alias *a stands within what it names.',
    ],
    [
      'an alias as a name',
      `${GOOD.replace('title: T', 'title: &t T')}*t : x\n`,
      '20:1 A name before ":" is a word; a list, a map or an alias cannot be one.',
    ],
    [
      'a map as a name',
      `${GOOD}? {a: b}\n: x\n`,
      '20:3 A name before ":" is a word; a list, a map or an alias cannot be one.',
    ],
    ['no name', `${GOOD}: x\n`, '20:1 The key file cannot have ""; what may stand there: keywright, '],
  ])('%s', (_, text, says) => {
    expect(first(text)?.slice(0, says.length)).toBe(says);
  });

  it('binary junk', () => {
    const png = Buffer.from('89504e470d0a1a0a0000000d49484452000000100000001008060000001ff3ff61', 'hex');
    load(png.toString('utf8'));
    load(png.toString('latin1'));
    load(readFileSync(process.execPath).subarray(0, 200_000).toString('utf8'));
    load(`${GOOD}\0\0\0`);
    load('\ud800\udfff\ud800');
  });

  it('a text too large to be read', () => {
    expect(first('#'.repeat(50 * 1024 * 1024))).toBe(
      '1:1 The file is 50 MB; 24 MB is the most that is read.',
    );
  });
});

describe('a text made to exhaust the reader', () => {
  /** Reading must end in the time a person waits; the bounds are far above what a slow machine needs. */
  const soon = (seconds: number, text: string, shelf?: Shelf) => {
    const before = performance.now();
    const found = rules(text, shelf);
    expect((performance.now() - before) / 1000).toBeLessThan(seconds);
    return found;
  };
  const repeat = (n: number, make: (i: number) => string) =>
    Array.from({ length: n }, (_, i) => make(i)).join('');

  it.each<[string, string, string]>([
    ['lists in lists', `${GOOD}note: ${'['.repeat(100_000)}`, 'text-depth'],
    ['closed lists in lists', `${GOOD}note: ${'['.repeat(300)}${']'.repeat(300)}`, 'text-depth'],
    ['maps in maps', `${GOOD}note: ${'{a: '.repeat(100_000)}`, 'text-depth'],
    ['lists below lists', `${GOOD}note:\n${'- '.repeat(20_000)}x`, 'text-depth'],
    ['names below names', repeat(1000, (i) => `${' '.repeat(i)}a:\n`), 'text-depth'],
    ['names of names', `${'? '.repeat(5000)}x`, 'text-depth'],
    [
      'conditions in conditions',
      GOOD.replace('{width: (1-)2-4(-6)}', `${'{not: '.repeat(200)}{ring: present}${'}'.repeat(200)}`),
      'text-depth',
    ],
  ])('%s', (_, text, rule) => {
    expect(soon(10, text)).toContain(rule);
  });

  it('aliases that double at every line', () => {
    const bomb = `a0: &a0 [x, x]\n${repeat(40, (i) => `a${i + 1}: &a${i + 1} [*a${i}, *a${i}]\n`)}`;
    expect(soon(5, `${GOOD}${bomb}`)).toEqual(['text-depth']);
    const maps = `a0: &a0 {x: x}\n${repeat(40, (i) => `a${i + 1}: &a${i + 1} {p: *a${i}, q: *a${i}}\n`)}`;
    expect(soon(5, `${GOOD}${maps}`)).toEqual(['text-depth']);
  });

  it('anchors and aliases as people use them are read', () => {
    const shared = GOOD.replace(
      '{ring: present, texture: thin}',
      '&thin {ring: present, texture: thin}',
    ).replace('{width: (1-)2-4(-6)}', '*thin');
    expect(rules(shared)).toEqual([]);
  });

  it('long words, numbers and names', () => {
    const long = 'x'.repeat(2_000_000);
    soon(10, GOOD.replace('to: 2', `to: ${long}`).replace('  2:', `  ${long}y:`));
    soon(10, GOOD.replace('(1-)2-4(-6)', '9'.repeat(2_000_000)));
    soon(10, GOOD.replace('(1-)2-4(-6)', `"1${' '.repeat(1_000_000)}or"`));
    soon(10, GOOD.replace('0.1-60', `0.${'0'.repeat(1_000_000)}1`));
    soon(10, GOOD.replace('id: k', `id: ${'a-'.repeat(1_000_000)}`));
    soon(10, GOOD.replace('version: 1', `version: "${'1.'.repeat(500_000)}"`));
    soon(
      10,
      GOOD.replace('licence', 'x').replace('title: T', `title: T\nlicence: ${'(MIT OR '.repeat(100_000)}`),
    );
  });

  it('very many mistakes', () => {
    const n = 10_000;
    const couplets = repeat(
      n,
      (i) =>
        `  ${i}:\n    - {lead: A, when: {rang${i}: present}, to: ${i}x}\n    - {lead: B, when: {ring: p${i}}, taxon: t${i}}\n`,
    );
    const found = soon(60, GOOD.replace('couplets:\n', `couplets:\n${couplets}`));
    expect(found.length).toBeGreaterThan(4 * n);
  });

  it('a circle through very many couplets', () => {
    const n = 5000;
    const couplets = repeat(
      n,
      (i) =>
        `  ${i + 10}:\n    - {lead: A, to: ${((i + 1) % n) + 10}}\n    - {lead: B, to: ${((i + 2) % n) + 10}}\n`,
    );
    expect(soon(30, GOOD.replace('couplets:\n', `couplets:\n${couplets}`))).toEqual(['path-acyclic']);
  });

  it('characters that depend on each other in a long row', () => {
    const row = (n: number, last: string) =>
      GOOD.replace(
        'characters:\n',
        `characters:\n${repeat(n, (i) => `  c${i}: {name: c, states: [a, b], applies-when: {c${i + 1}: a}}\n`)}  c${n}: {name: c, states: [a, b]${last}}\n`,
      );
    expect(soon(30, row(900, ''))).toEqual([]);
    expect(soon(30, row(3000, ''))).toEqual(['character-depends', 'character-depends']);
    expect(soon(30, row(3000, ', applies-when: {c0: a}'))).toEqual(['character-depends']);
  });

  it('characters that depend twice on the next one, and that twice on the next', () => {
    const characters = repeat(
      60,
      (i) => `  c${i}: {name: c, states: [a, b], applies-when: {any: [{c${i + 1}: a}, {c${i + 1}: b}]}}\n`,
    );
    const text = GOOD.replace(
      'characters:\n',
      `characters:\n${characters}  c60: {name: c, states: [a, b]}\n`,
    ).replace('{width: (1-)2-4(-6)}', '{c0: a}');
    expect(new Set(soon(5, text))).toEqual(new Set(['character-depends']));
  });

  it('keys that continue in each other without end', () => {
    // A shelf that makes up a new key for every name: only as many are opened as leads name them.
    let opened = 0;
    const endless: Shelf = {
      ...emptyShelf,
      key: (reference) => {
        opened++;
        const n = Number(reference.slice(1));
        const end = n < 300 ? `key: k${n + 1}` : 'taxon: a';
        return {
          ok: true,
          file: `${reference}.yaml`,
          text: GOOD.replace('id: k', `id: ${reference}`).replace('to: 2}', `${end}}`),
        };
      },
    };
    expect(soon(30, GOOD.replace('to: 2}', 'key: k1}'), endless)).toEqual([]);
    expect(opened).toBe(300);
  });
});

describe('names that every object has', () => {
  const odd = ['__proto__', 'constructor', 'toString', 'hasOwnProperty', 'valueOf'];

  it.each(odd)('%s is a word like any other, wherever it stands', (word) => {
    for (const was of [
      'k',
      'T',
      'ring',
      'present',
      'texture',
      'thin',
      'width',
      'cm',
      '2',
      'a',
      'b',
      'g',
      'upset',
      'memory',
      'lead',
      'when',
      'not',
      'any',
      'title',
      'couplets',
      'concern',
      'states',
      'genus',
    ]) {
      const everywhere = GOOD.replace(new RegExp(`\\b${was}\\b`, 'g'), word);
      const once = GOOD.replace(new RegExp(`\\b${was}\\b`), word);
      for (const text of [everywhere, once]) load(text);
    }
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
    expect(Object.keys(Object.prototype)).toEqual([]);
  });

  it('does not reach the prototype of objects', () => {
    load(`${GOOD}__proto__: {polluted: 1}\nconstructor: {prototype: {polluted: 1}}\n`);
    load(`${GOOD}glossary: {__proto__: {polluted: 1}}\n`);
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  it('may be used in free places', () => {
    const { chain } = load(`${GOOD}glossary: {toString: what it says, constructor: who builds}\n`);
    expect(chain?.main.glossary.get('toString')).toBe('what it says');
    expect(chain?.main.glossary.get('constructor')).toBe('who builds');
  });

  it('are no states, taxa or couplets that nobody wrote', () => {
    for (const word of odd) {
      expect(rules(GOOD.replace('{ring: absent}', `{ring: ${word}}`))).toContain('state-known');
      expect(rules(GOOD.replace('taxon: a}', `taxon: ${word}}`)).length).toBeGreaterThan(0);
      expect(rules(GOOD.replace('to: 2', `to: ${word}`)).length).toBeGreaterThan(0);
      expect(rules(GOOD.replace('to: 2', `key: ${word}`)).length).toBeGreaterThan(0);
    }
  });
});

describe('control sequences in a key', () => {
  const nasty = [
    '\\e[2J\\e]0;owned\\a',
    '\\x1b[31m',
    '\\x9b31m',
    '\\u202e',
    '\\u2066',
    '\\r',
    '\\n',
    '\\0',
    '\\u200b',
  ];

  it.each(nasty)('%s gets into no message', (sequence) => {
    const quotedWord = `"x${sequence}y"`;
    // Every word of the good key, one at a time, and then everywhere.
    const words = [...new Set(GOOD.match(/[\w.()-]+/g) ?? [])];
    for (const was of words) {
      const all = GOOD.split(new RegExp(`(?<![\\w.()-])${was.replace(/[.()]/g, '\\$&')}(?![\\w.()-])`));
      load(all.join(quotedWord));
      load(`${all[0] ?? ''}${quotedWord}${all.slice(1).join(was)}`);
    }
  });

  it('written as they are get into no message either', () => {
    for (const raw of ['\u001b[2J', '\u009b31m', '\u202e', '\u0000', '\u0007', '\r'])
      for (let at = 0; at < GOOD.length; at += 7) load(GOOD.slice(0, at) + raw + GOOD.slice(at));
  });

  it('in two keys of one bad id', () => {
    const bad = GOOD.replace('id: k', 'id: "\\e[31mk"').replace('to: 2}', 'key: other}');
    const shelf: Shelf = { ...emptyShelf, key: () => ({ ok: true, file: 'o', text: bad }) };
    for (const { message, related } of load(bad, shelf).findings) {
      expect(message).not.toMatch(STEERING);
      for (const r of related ?? []) expect(r.message).not.toMatch(STEERING);
    }
  });
});

describe('a good key, damaged at random', () => {
  const real = [
    'keys/tarn-wood-tufts.key.yaml',
    'keys/plantation-conifers.key.yaml',
    'keys/gill-genera-white.key.yaml',
  ].map((path) => readFileSync(path, 'utf8'));
  const texts = [GOOD, ...real];
  const scraps = [
    '',
    ' ',
    '\n',
    '\t',
    ':',
    ': ',
    '- ',
    '[',
    ']',
    '{',
    '}',
    ',',
    '"',
    "'",
    '#',
    '&a ',
    '*a',
    '!!int ',
    '!x ',
    '? ',
    '| ',
    '>-\n',
    '---\n',
    '...\n',
    '%YAML 1.1\n',
    '~',
    'null',
    '-',
    '1',
    '0x1F',
    '.nan',
    '__proto__',
    'any: ',
    'not: ',
    '\u001b[31m',
    '\ufeff',
    '\ud800',
    '  ',
  ];
  const damage = fc.array(
    fc.record({
      at: fc.double({ min: 0, max: 1, noNaN: true }),
      remove: fc.oneof(fc.constant(0), fc.nat(4), fc.nat(80)),
      put: fc.oneof(fc.constantFrom(...scraps), fc.string({ maxLength: 4 })),
      from: fc.double({ min: 0, max: 1, noNaN: true }),
      copy: fc.oneof(fc.constant(0), fc.nat(60)),
    }),
    { minLength: 1, maxLength: 4 },
  );
  const damaged = fc.tuple(fc.constantFrom(...texts), damage).map(([text, changes]) =>
    changes.reduce((t, { at, remove, put, from, copy }) => {
      const start = Math.floor(at * t.length);
      const source = Math.floor(from * t.length);
      return t.slice(0, start) + put + t.slice(source, source + copy) + t.slice(start + remove);
    }, text),
  );

  it('never throws, and every finding lies inside the file', () => {
    fc.assert(
      fc.property(damaged, (text) => {
        load(text);
      }),
      { numRuns: 400 },
    );
  });

  it('neither does any text at all', () => {
    const any = fc.oneof(
      fc.string({ maxLength: 200 }),
      fc.string({ unit: 'binary', maxLength: 200 }),
      fc
        .array(fc.constantFrom(...scraps, 'id', 'couplets', 'taxa', 'a'), { maxLength: 60 })
        .map((s) => s.join('')),
      fc.json().map(String),
    );
    fc.assert(
      fc.property(any, (text) => {
        load(text);
      }),
      { numRuns: 1000 },
    );
  });
});
