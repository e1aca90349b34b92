import { describe, expect, it } from 'vitest';
import type { Finding, Place } from '../../src/diagnostic/finding.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf, type Shelf } from '../../src/key/load.js';

// The texts below carry marks («) where findings are expected to point; `#2` is the second mark of the main file,
// `o.yaml#1` the first of another one.
const MARK = '«';

interface Marked {
  readonly text: string;
  readonly marks: readonly string[];
}

function unmarked(text: string): Marked {
  const marks: string[] = [];
  const lines = text.split('\n').map((written, i) => {
    let line = written;
    for (let at = line.indexOf(MARK); at >= 0; at = line.indexOf(MARK)) {
      marks.push(`${i + 1}:${at + 1}`);
      line = line.slice(0, at) + line.slice(at + 1);
    }
    return line;
  });
  return { text: lines.join('\n'), marks };
}

/** Loads a key of several files that exist only in memory; a chained key is found by file name or id. */
function load(main: string, others: Record<string, string> = {}) {
  const files = new Map(Object.entries({ k: main, ...others }).map(([name, text]) => [name, unmarked(text)]));
  const get = (reference: string) => {
    for (const [file, { text }] of files)
      if (file === reference || new RegExp(`^id: ${reference}$`, 'm').test(text))
        return { ok: true as const, file, text };
    return { ok: false as const, problem: 'there is none in memory' };
  };
  const shelf: Shelf = Object.keys(others).length === 0 ? emptyShelf : { key: get, terms: get };
  return { ...loadChain(files.get('k')?.text ?? '', 'k', shelf), files };
}

/** `#1 rule: message`, other places in brackets. */
function says(main: string, others: Record<string, string> = {}): string[] {
  const { findings, files } = load(main, others);
  const at = ({ file, start }: Place) => {
    const position = `${start.line}:${start.column}`;
    const mark = files.get(file)?.marks.indexOf(position) ?? -1;
    return `${file === 'k' ? '' : file}${mark < 0 ? `:${position}` : `#${mark + 1}`}`;
  };
  const related = (f: Finding) => (f.related ?? []).map((r) => ` [${at(r.place)} ${r.message}]`).join('');
  return findings.map((f) => `${at(f.place)} ${f.rule}: ${f.message}${related(f)}`);
}

const HEAD = 'keywright: 1\nid: k\ntitle: T\nversion: 1\n';
const CHARACTERS = `characters:
  ring:
    name: ring
    states: [present, absent]
  width:
    name: width
    kind: measure
    unit: cm
  spots: {name: spots, kind: count}
`;
const COUPLETS = `couplets:
  1:
    - {lead: A, when: {ring: present}, taxon: a}
    - {lead: B, when: {ring: absent}, taxon: b}
`;
const TAXA = `taxa:
  a: {name: Aa bb}
  b: {name: Aa cc}
`;
const GOOD = HEAD + CHARACTERS + COUPLETS + TAXA;

/** The good key with one stretch of it written otherwise. */
const but = (was: string, written: string) => {
  if (!GOOD.includes(was)) throw new Error(`${was} is not in the good key`);
  return GOOD.replace(was, written);
};
/** The good key with one lead's condition, or its first lead, written otherwise. The condition begins at 15:22. */
const when = (written: string) => but('when: {ring: present}', `when: {${written}}`);
const lead = (written: string) => but('{lead: A, when: {ring: present}, taxon: a}', written);

describe('what is wrong is said at its own place', () => {
  it('nothing, of a good key', () => {
    expect(says(GOOD)).toEqual([]);
  });

  it.each<[string, string, string[]]>([
    [
      'an id that stands twice, with the other place',
      but('  a: {', '  «a: {') + '  «a: {name: Aa dd}\n',
      ['#2 id-unique: "a" stands twice here; the first is in line 19. [#1 the first one]'],
    ],
    [
      'a couplet that stands twice, also when one is quoted',
      but('  1:\n', '  «1:\n').replace(
        TAXA,
        `  «"1":\n    - {lead: A, taxon: a}\n    - {lead: B, taxon: b}\n${TAXA}`,
      ),
      ['#2 id-unique: "1" stands twice here; the first is in line 15. [#1 the first one]'],
    ],
    [
      'a section that stands twice',
      `${GOOD}«title: Again\n`.replace('title', '«title'),
      ['#2 id-unique: "title" stands twice here; the first is in line 3. [#1 the first one]'],
    ],
    [
      'a state that is not one',
      when('ring: «presnt'),
      ['#1 state-known: "presnt" is not a state of ring; did you mean present?'],
    ],
    [
      'a state in a list',
      when('ring: [present, «floppy]'),
      ['#1 state-known: "floppy" is not a state of ring; there are present, absent'],
    ],
    [
      'a state that is denied',
      when('ring: {not: «abesnt}'),
      ['#1 state-known: "abesnt" is not a state of ring; did you mean absent?'],
    ],
    [
      'a state deep in a condition',
      when('any: [{ring: absent}, {all: [{not: {ring: «Absent}}]}]'),
      ['#1 state-known: "Absent" is not a state of ring; did you mean absent?'],
    ],
    [
      'a character that is not one',
      when('«rings: present'),
      ['#1 character-known: "rings" is not a character of this key; did you mean ring?'],
    ],
    [
      'a character without a near one',
      when('«smell: sweet'),
      ['#1 character-known: "smell" is not a character of this key; there are ring, width, spots'],
    ],
    [
      'a character in "usually"',
      but('when: {ring: absent}', 'when: {ring: absent}, usually: {«widht: 5}'),
      ['#1 character-known: "widht" is not a character of this key; did you mean width?'],
    ],
    [
      'a character and a state of a taxon',
      but('{name: Aa bb}', '{name: Aa bb, traits: {«rign: present, ring: [absent, «prsent], width: 3}}'),
      [
        '#1 character-known: "rign" is not a character of this key; did you mean ring?',
        '#2 state-known: "prsent" is not a state of ring; did you mean present?',
      ],
    ],
    [
      'a state beside one that does not apply',
      but('{name: Aa bb}', '{name: Aa bb, traits: {ring: ["-", «"?", absent], width: ["-", «wide]}}'),
      [
        '#1 state-known: "?" is not a state of ring; there are present, absent',
        '#2 number-form: width: "wide" is not a number as keys write them (12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit)',
      ],
    ],
    [
      'a character on which another depends',
      but('name: width\n', 'name: width\n    applies-when: {«rnig: present}\n'),
      ['#1 character-known: "rnig" is not a character of this key; did you mean ring?'],
    ],
    [
      'a character that depends on itself',
      but('name: width\n', 'name: width\n    applies-when: «{width: 5}\n'),
      ['#1 character-depends: width applies only when width itself is known'],
    ],
    [
      'characters that depend on each other',
      but('name: width\n', 'name: width\n    applies-when: «{spots: 5}\n').replace(
        'kind: count',
        'kind: count, applies-when: {width: 5}',
      ),
      ['#1 character-depends: width → spots → width: whether these apply depends on each other in a circle'],
    ],
    [
      'a target that is not there',
      lead('{lead: A, to: «11}'),
      ['#1 target-exists: lead 1a goes to couplet "11", which is not in this key; did you mean 1?'],
    ],
    [
      'a taxon that is not there',
      lead('{lead: A, taxon: «galerina}'),
      ['#1 target-exists: lead 1a ends at taxon "galerina", which is not in this key; there are a, b'],
    ],
    [
      'a taxon in a list',
      lead('{lead: A, taxon: [a, «c]}'),
      ['#1 target-exists: lead 1a ends at taxon "c", which is not in this key; did you mean a?'],
    ],
    [
      'a taxon in a list that repeats another',
      lead('{lead: A, taxon: [a, «a, «c]}'),
      [
        '#1 value-unique: "a" stands twice in "taxon" of lead a of couplet 1',
        '#2 target-exists: lead 1a ends at taxon "c", which is not in this key; did you mean a?',
      ],
    ],
    [
      'a key that is not there',
      lead('{lead: A, key: «othr}'),
      ['#1 target-exists: lead 1a continues in key "othr": there is no key othr to continue in'],
    ],
    [
      'a start that is not there',
      GOOD.replace('version: 1\n', 'version: 1\nstart: «7\n'),
      ['#1 target-exists: the key starts at couplet "7", which is not in it; did you mean 1?'],
    ],
    [
      'a group to reach that is not there',
      lead('{lead: A, taxon: a, reaches: «aa}'),
      ['#1 taxon-known: "aa" is not a taxon of this key; did you mean a?'],
    ],
    [
      'a group above that is not there',
      but('{name: Aa cc}', '{name: Aa cc, within: «genus}'),
      ['#1 taxon-known: "genus" is not a taxon of this key; there are a, b'],
    ],
    [
      'a taxon within itself',
      but('{name: Aa cc}', '{name: Aa cc, within: «b}'),
      ['#1 taxon-within: b lies within itself'],
    ],
    [
      'a look-alike that is not there',
      but('{name: Aa cc}', '{name: Aa cc, alike: [a, «zz]}'),
      ['#1 taxon-known: "zz" is not a taxon of this key; there are a, b'],
    ],
    [
      'a group of the scope that is not there',
      `${GOOD}scope: {within: «fungi}\n`,
      ['#1 taxon-known: "fungi" is not a taxon of this key; there are a, b'],
    ],
    [
      'a number that is none',
      when('width: «wide'),
      [
        '#1 number-form: width: "wide" is not a number as keys write them (12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit)',
      ],
    ],
    [
      'a decimal comma',
      when('width: «"3,5-4"'),
      ['#1 number-form: width: "3,5-4" has a decimal comma: write "3.5-4"'],
    ],
    [
      'a range that runs backwards',
      when('width: «8-5'),
      ['#1 number-form: width: "8-5" runs backwards: write the smaller number first'],
    ],
    [
      'a count that is not whole',
      when('spots: «4.5'),
      ['#1 number-form: spots: "4.5" is not a whole number, and a count must be one'],
    ],
    [
      'a unit that is none',
      when('width: «4 cmm'),
      ['#1 number-form: width: "cmm" is not a unit (did you mean mm?)'],
    ],
    [
      'a unit of another kind',
      when('width: «4 g'),
      ['#1 number-form: width: a number in g does not fit here: this character is in cm'],
    ],
    [
      'a count with a unit',
      when('spots: «4 cm'),
      ['#1 number-form: spots: a number in cm does not fit here: a count has no unit'],
    ],
    [
      'a number in a list',
      when('width: [5, «6 ml]'),
      ['#1 number-form: width: a number in mL does not fit here: this character is in cm'],
    ],
    [
      'limits that are none',
      but('unit: cm\n', 'unit: cm\n    limits: «small\n'),
      [
        '#1 number-form: limits: "small" is not a number as keys write them (12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit)',
      ],
    ],
    [
      'a character called like a word that joins',
      but('  ring:\n', '  «any:\n').replaceAll('{ring: ', '{width: 1, spots: «'),
      [
        '#1 id-form: "any" joins conditions and cannot name a character',
        '#2 number-form: spots: "present" is not a number as keys write them (12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit)',
        '#3 number-form: spots: "absent" is not a number as keys write them (12, < 12, >= 5, 5-12, 17 or 19, (3-)5-8(-12), each with an optional unit)',
      ],
    ],
    [
      'a lead that leads back to its own couplet',
      lead('{lead: A, to: «1}'),
      ['#1 path-acyclic: lead 1a leads back to its own couplet'],
    ],
    [
      'a name that is a list',
      `${GOOD}? «[a, b]\n: c\n`,
      ['#1 id-form: A name before ":" is a word; a list, a map or an alias cannot be one.'],
    ],
  ])('%s', (_, text, findings) => {
    expect(says(text)).toEqual(findings);
  });

  it('names the unit that was meant in the definition of a character', () => {
    expect(says(but('unit: cm', 'unit: «cn'))).toEqual([
      '#1 value-allowed: "unit" of character width is "cn"; did you mean "cm"?',
    ]);
  });
});

describe('leads that run in a circle', () => {
  const ladder = (...leads: [string, string][]) =>
    `${HEAD}couplets:\n${leads.map(([a, b], i) => `  ${i + 1}:\n    - {lead: A, ${a}}\n    - {lead: B, ${b}}\n`).join('')}${TAXA}`;

  it('are shown by the shortest way round, at the lead that goes back', () => {
    const text = ladder(
      ['to: 2', 'taxon: a'],
      ['to: 3', 'taxon: a'],
      ['to: 4', 'taxon: a'],
      ['to: 1', 'to: «3'],
    ).replace('{lead: A, to: 4', '«{lead: A, to: 4');
    expect(says(text)).toEqual(['#2 path-acyclic: the leads 3a → 4b → 3 run in a circle [#1 3a]']);
  });

  it('are each shown once', () => {
    const text = ladder(
      ['to: 2', 'to: 3'],
      ['to: «1', 'taxon: a'],
      ['to: 4', 'taxon: b'],
      ['to: «3', 'taxon: b'],
    )
      .replace('{lead: A, to: 2', '«{lead: A, to: 2')
      .replace('{lead: A, to: 4', '«{lead: A, to: 4');
    expect(says(text)).toEqual([
      '#2 path-acyclic: the leads 1a → 2a → 1 run in a circle [#1 1a]',
      '#4 path-acyclic: the leads 3a → 4a → 3 run in a circle [#3 3a]',
    ]);
  });

  it('are found through chained keys', () => {
    const one = `${HEAD}couplets:\n  1:\n    - «{lead: A, key: two}\n    - {lead: B, taxon: a}\n${TAXA}`;
    const two = `keywright: 1\nid: two\ntitle: T\nversion: 1\ncouplets:\n  1:\n    - «{lead: A, to: 2}\n    - {lead: B, taxon: a}\n  2:\n    - {lead: A, taxon: b}\n    - {lead: B, key: «k}\n${TAXA}`;
    expect(says(one, { 'two.yaml': two })).toEqual([
      'two.yaml#2 path-acyclic: the leads k/1a → two/1a → two/2b → k/1 run in a circle [#1 k/1a] [two.yaml#1 two/1a]',
    ]);
  });

  it('are not there when a chained key is entered below where it goes back', () => {
    const one = `${HEAD}couplets:\n  1:\n    - {lead: A, key: two, at: 2}\n    - {lead: B, taxon: a}\n${TAXA}`;
    const two = `keywright: 1\nid: two\ntitle: T\nversion: 1\ncouplets:\n  2:\n    - {lead: A, taxon: b}\n    - {lead: B, taxon: a}\n  1:\n    - {lead: A, to: 2}\n    - {lead: B, key: k}\n${TAXA}`;
    const { chain, findings } = load(one, { 'two.yaml': two });
    expect(findings).toEqual([]);
    expect(chain?.nodes.map((n) => n.key.id + n.couplet.id)).toEqual(['two1', 'k1', 'two2']);
  });
});

describe('keys that belong together', () => {
  const other = (more: string, id = 'other') =>
    `keywright: 1\nid: ${id}\ntitle: T\nversion: 1\n${more}couplets:\n  7:\n    - {lead: A, taxon: a}\n    - {lead: B, taxon: b}\n${TAXA}`;

  it('name the couplet of the other key that is not there', () => {
    const text = lead('{lead: A, key: other, at: «77}');
    expect(says(text, { 'o.yaml': other('') })).toEqual([
      '#1 target-exists: lead 1a continues at couplet "77" of key other, which is not in it; did you mean 7?',
    ]);
  });

  it('name the taxon that neither of them has', () => {
    const text = lead('{lead: A, key: other, reaches: «aaa}');
    expect(says(text, { 'o.yaml': other('') })).toEqual([
      '#1 taxon-known: "aaa" is not a taxon of this key or of other; there are a, b',
    ]);
  });

  it('report a chained key with mistakes at the places in its own file', () => {
    const text = lead('{lead: A, key: other}');
    expect(says(text, { 'o.yaml': other('start: «8\n') })).toEqual([
      'o.yaml#1 target-exists: the key starts at couplet "8", which is not in it; did you mean 7?',
    ]);
  });

  it('do not share an id', () => {
    const text = lead('{lead: A, key: o.yaml}').replace('id: k', 'id: «k');
    expect(says(text, { 'o.yaml': other('', '«k') })).toEqual([
      'o.yaml#1 id-unique: two keys of this chain have the id k; the other is k [#1 the other one]',
    ]);
  });

  it('mean the same by a character', () => {
    const text = lead('{lead: A, key: other}').replace('  width:', '  «width:');
    const chosen = other('characters:\n  «width: {name: width, states: [narrow, broad]}\n');
    expect(says(text, { 'o.yaml': chosen })).toEqual([
      'o.yaml#1 character-same: width is a measure in k but not in other [#1 in k]',
    ]);
    const weighed = other('characters:\n  «width: {name: width, kind: measure, unit: g}\n');
    expect(says(text, { 'o.yaml': weighed })).toEqual([
      'o.yaml#1 character-same: width is in cm in k but not in other [#1 in k]',
    ]);
    const inches = other('characters:\n  width: {name: width, kind: measure, unit: in}\n');
    expect(says(text, { 'o.yaml': inches })).toEqual([]);
  });

  const terms =
    'keywright-terms: 1\ncharacters:\n  «ring: {name: ring, states: [present, absent]}\n  smell: {name: smell, kind: count}\n';

  it('say where a character stands that is in terms and key', () => {
    expect(says(`${but('  ring:', '  «ring:')}uses: [t.yaml]\n`, { 't.yaml': terms })).toEqual([
      '#1 id-unique: character ring is already defined in t.yaml, line 3 [t.yaml#1 the first one]',
    ]);
  });

  it('say where a character stands that is in two terms files', () => {
    const again =
      'keywright-terms: 1\ncharacters:\n  «smell: {name: smell, kind: count}\n  «taste: {name: taste, kind: count}\n';
    const more =
      'keywright-terms: 1\ncharacters:\n  «taste: {name: taste, kind: count}\n  «smell: {name: smell, kind: count}\n';
    expect(says(`${GOOD}uses: «[t.yaml, u.yaml]\n`, { 't.yaml': again, 'u.yaml': more })).toEqual([
      '#1 id-unique: character smell is defined in t.yaml, line 3, and in u.yaml, line 4 [t.yaml#1 the first one] [u.yaml#2 the second one]',
      '#1 id-unique: character taste is defined in t.yaml, line 4, and in u.yaml, line 3 [t.yaml#2 the first one] [u.yaml#1 the second one]',
    ]);
  });

  it('name the place in the terms when a character of them is another in the next key', () => {
    const text = lead('{lead: A, key: other}').replace('  width:', '  «width:');
    const wrong = 'keywright-terms: 1\ncharacters:\n  «width: {name: width, states: [narrow, broad]}\n';
    expect(says(text, { 'o.yaml': other('uses: [t.yaml]\n'), 't.yaml': wrong })).toEqual([
      't.yaml#1 character-same: width is a measure in k but not in other [#1 in k]',
    ]);
  });

  it('say once what is wrong with terms that both use', () => {
    const wrong =
      'keywright-terms: 1\ncharacters:\n  smell: {name: smell, kind: count, applies-when: {«rign: present}}\n';
    const text = `${lead('{lead: A, key: other}')}uses: [t.yaml]\n`;
    expect(says(text, { 'o.yaml': other('uses: [t.yaml]\n'), 't.yaml': wrong })).toEqual([
      't.yaml#1 character-known: "rign" is not a character of this key; there is smell',
    ]);
  });

  it('name terms that are not there', () => {
    expect(says(`${GOOD}uses: [«t.yaml]\n`)).toEqual([
      '#1 target-exists: terms file "t.yaml": there is no terms file t.yaml',
    ]);
  });
});

describe('several mistakes', () => {
  it('of different sorts give one finding each', () => {
    const text = but('kind: measure', '«knid: measure')
      .replace('{ring: present}', '{ring: «presnt}')
      .replace('taxon: b', 'taxon: «c');
    expect(says(text)).toEqual([
      '#1 property-known: Character width cannot have "knid"; did you mean "kind"?',
      '#2 state-known: "presnt" is not a state of ring; did you mean present?',
      '#3 target-exists: lead 1b ends at taxon "c", which is not in this key; did you mean a?',
    ]);
  });

  it('of one sort in one place give one finding each', () => {
    expect(says('«{}').map((f) => f.replace(/, such as.*/, ''))).toEqual([
      '#1 property-needed: The key file needs "couplets"',
      '#1 property-needed: The key file needs "id"',
      '#1 property-needed: The key file needs "keywright"',
      '#1 property-needed: The key file needs "taxa"',
      '#1 property-needed: The key file needs "title"',
      '#1 property-needed: The key file needs "version"',
    ]);
  });
});

describe('what the author wrote', () => {
  it('keeps its digits in ids, targets, versions and dates', () => {
    const ids = ['1.10', '012', '1e3', '0o7', 'yes', 'null', 'true', '1.1', '9999999999999999999'];
    const couplets = ids
      .map((id, i) => `  ${id}:\n    - {lead: A, to: ${ids[i + 1] ?? 'Z'}}\n    - {lead: B, taxon: no}\n`)
      .join('');
    const text = `keywright: 1\nid: k\ntitle: 1.50\nversion: 1.10\ndate: 2026-01-02\ncouplets:\n${couplets}  Z:\n    - {lead: 007, taxon: 2026-01-02}\n    - {lead: ~, taxon: 0x1f}\ntaxa:\n  no: {name: yes}\n  2026-01-02: {name: 12}\n  0x1f: {name: 1e3}\n`;
    const { loaded, findings } = load(text);
    const key = loaded[0]?.key;
    expect(findings.map((f) => f.message)).toEqual([
      '"lead" of lead b of couplet Z is empty; expected text, such as Spore print rusty brown',
    ]);
    expect([...(key?.couplets.keys() ?? [])]).toEqual([...ids, 'Z']);
    expect(key?.couplets.get('1.1')?.leads[0]?.end).toEqual({
      kind: 'couplet',
      couplet: '9999999999999999999',
    });
    expect(key?.couplets.get('Z')?.leads.map((l) => l.end)).toEqual([
      { kind: 'taxa', taxa: ['2026-01-02'] },
      { kind: 'taxa', taxa: ['0x1f'] },
    ]);
    expect([key?.title, key?.version, key?.date]).toEqual(['1.50', '1.10', '2026-01-02']);
    expect([...(key?.taxa.values() ?? [])].map((t) => t.name)).toEqual(['yes', '12', '1e3']);
  });

  it('keeps its order: the first couplet of the file is the start, whatever its number', () => {
    const couplet = (id: string, to: string) =>
      `  ${id}:\n    - {lead: A, ${to}}\n    - {lead: B, taxon: b}\n`;
    const text = `${HEAD}characters:\n  size: {name: size, states: {2: large, 1: small, 10: huge}}\ncouplets:\n${couplet('10', 'to: 2')}${couplet('2', 'to: A1')}${couplet('A1', 'to: 1')}${couplet('1', 'taxon: a')}taxa:\n  b: {name: B}\n  7: {name: C}\n  a: {name: A}\n`;
    const { chain, findings } = load(text);
    expect(findings).toEqual([]);
    expect(chain?.main.start).toBe('10');
    expect([...(chain?.main.couplets.keys() ?? [])]).toEqual(['10', '2', 'A1', '1']);
    expect(chain?.characters.get('size')?.states.map((s) => s.id)).toEqual(['2', '1', '10']);
    expect([...(chain?.taxa.keys() ?? [])]).toEqual(['b', '7', 'a']);
  });

  it('may call a taxon or a character like a property of the format', () => {
    const text = `${HEAD}characters:\n  effort: {name: effort, states: {1: little, 2: much}, effort: 3}\n  months: {name: months, kind: count, effort: 2}\ncouplets:\n  1:\n    - {lead: A, when: {effort: 1, months: 5-6}, taxon: traits}\n    - {lead: B, when: {effort: 2}, taxon: frequency}\ntaxa:\n  traits: {name: A, frequency: 3, months: [5], traits: {effort: 1, months: 5}}\n  frequency: {name: B, frequency: 0.5}\n`;
    const { chain, findings } = load(text);
    expect(findings).toEqual([]);
    expect(chain?.taxa.get('traits')?.frequency).toBe(3);
    expect(chain?.taxa.get('traits')?.months).toEqual([5]);
    expect(chain?.taxa.get('frequency')?.frequency).toBe(0.5);
    expect(chain?.characters.get('effort')?.effort).toBe(3);
  });
});
