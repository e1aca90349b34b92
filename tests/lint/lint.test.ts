import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { emptyShelf, type Shelf } from '../../src/key/load.js';
import { lintAll } from '../../src/lint/lint.js';
import { rule } from '../../src/lint/rule.js';
import { rules } from '../../src/lint/rules/index.js';
import { KnownRules, readSetting, readSettings, type Setting } from '../../src/lint/settings.js';
import { harmless } from '../../src/text/harmless.js';
import { lintText, places } from './marks.js';

const HEAD = `keywright: 1
id: caps
title: Caps
version: 1.0.0
`;
const RING = 'characters:\n  ring: {name: ring, states: [present, absent, broken]}\n';
const TAXA = 'taxa:\n  aa: {name: Aa aa}\n  bb: {name: Bb bb}\n';
/** A key with one couplet in which a broken ring fits neither lead; line 8 is the couplet's. */
const GAP = `${HEAD}${RING}couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
${TAXA}`;
const only = (id: string) => (finding: { rule: string }) => finding.rule === id;
const set =
  (...settings: [string, Setting][]) =>
  () =>
    new Map(settings);

describe('findings of one key', () => {
  it('are those of the loader and of the rules, in one order', () => {
    const text = GAP.replace('taxon: bb}', 'taxon: bbb}').replace('title: Caps', 'title: Caps\ntitel: x');
    const { findings } = lintText(text);
    expect(places(findings)).toEqual(
      expect.arrayContaining(['property-known:4', 'target-exists:11', 'leads-exhaustive:9']),
    );
    const starts = findings.map((f) => f.place.start.offset);
    expect(starts).toEqual([...starts].sort((a, b) => a - b));
  });

  it('a lead that leads nowhere hides nothing else', () => {
    const text = `${HEAD}${RING}couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 7}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Ring absent, when: {ring: absent}, taxon: aa}
    - {lead: Ring broken, when: {ring: broken}, taxon: bb}
${TAXA}`;
    const { findings, notRun } = lintText(text);
    expect(places(findings)).toEqual(expect.arrayContaining(['target-exists:9', 'lead-possible:13']));
    expect(notRun).toEqual([]);
  });

  it('what needs the logic of keys that cannot be joined is not run, and it is said why', () => {
    const other = GAP.replace('[present, absent, broken]', '[present]').replace(
      'ring: {name: ring, states: [present]}',
      'ring: {name: ring, kind: count}',
    );
    const shelf: Shelf = {
      ...emptyShelf,
      key: () => ({ ok: true, file: 'other.key.yaml', text: other.replace('id: caps', 'id: other') }),
    };
    const { notRun } = lintText(GAP.replace('taxon: bb', 'key: other'), { shelf });
    expect(notRun).toHaveLength(1);
    expect(notRun[0]?.rules).toEqual(expect.arrayContaining(['leads-exclusive', 'lead-possible']));
    expect(notRun[0]?.rules).not.toContain('couplet-has-leads');
    expect(notRun[0]?.because).toMatch(/^ring is /);
  });

  it('nothing is judged of couplets that are not there', () => {
    for (const text of ['', 'keywright: 1\n', `${HEAD}couplets: []\n${TAXA}`, 'a: [', '- 1\n']) {
      const { findings, notRun } = lintText(text);
      expect(findings.length, text).toBeGreaterThan(0);
      expect(findings.filter((f) => rules.find((r) => r.id === f.rule)?.check !== undefined)).toEqual([]);
      expect(notRun, text).toHaveLength(1);
    }
  });

  it('a rule that fails is one finding and takes no other with it', () => {
    const broken = rule({
      ...(rules.find((r) => r.id === 'leads-exclusive') as (typeof rules)[number]),
      id: 'always-fails',
      check: () => {
        throw new Error('no such thing\nat line 7');
      },
    });
    const { findings } = lintText(GAP, { rules: [broken, ...rules] });
    const own = findings.filter(only('always-fails'));
    expect(own.map((f) => f.message)).toEqual([
      'the rule always-fails failed, which is a fault of keywright: no such thing (please report it with the key)',
    ]);
    expect(own[0]?.level).toBe('error');
    expect(findings.some(only('leads-exhaustive'))).toBe(true);
  });

  it('of many findings of one rule at one place the first ten are shown, and how many there are', () => {
    const crowded = rule({
      ...(rules.find((r) => r.id === 'leads-exclusive') as (typeof rules)[number]),
      id: 'always-finds',
      check: ({ report }) => {
        for (let i = 0; i < 25; i++)
          report(['couplets', '1'], { message: `no. ${String(i).padStart(2, '0')}` });
      },
    });
    const own = lintText(GAP, { rules: [crowded] }).findings.map((f) => f.message);
    expect(own).toHaveLength(11);
    expect(own.slice(9)).toEqual(['no. 09', '15 more findings of always-finds at this place are left out']);
  });

  it('no text of a key reaches a message as it is', () => {
    const text = GAP.replace('lead: Ring present', 'lead: "Ring \\e[31m present"').replace(
      'taxon: aa',
      'taxon: "a\\u202e"',
    );
    for (const f of lintText(text).findings)
      for (const said of [f.message, f.witness ?? '', ...(f.related ?? []).map((r) => r.message)])
        expect(said).toBe(harmless(said));
  });
});

describe('keys that lead to each other', () => {
  const text = (name: string) => readFileSync(`tests/fixtures/lint/${name}.key.yaml`, 'utf8');
  const shelf: Shelf = {
    ...emptyShelf,
    key: (reference) =>
      reference === 'hollow-caps'
        ? { ok: true, file: 'caps.key.yaml', text: text('caps') }
        : { ok: false, problem: 'none' },
  };
  const entry = { file: 'entry.key.yaml', text: text('entry') };
  const caps = { file: 'caps.key.yaml', text: text('caps') };

  it('what cannot be by the way from the other key is found in the file where it stands', () => {
    const { findings } = lintAll([entry], { shelf });
    const cup = findings.find((f) => f.rule === 'lead-possible');
    expect(cup?.place.file).toBe('caps.key.yaml');
    expect(cup?.place.start.line).toBe(16);
    expect(lintAll([caps], { shelf }).findings.filter(only('lead-possible'))).toEqual([]);
  });

  it('what two keys have in common is said once', () => {
    const together = lintAll([entry, caps, entry], { shelf });
    const marks = together.findings.map(
      (f) => `${f.place.file} ${f.rule} ${f.place.start.offset} ${f.message}`,
    );
    expect(new Set(marks).size).toBe(marks.length);
    const each = (r: string) => together.findings.filter(only(r)).length;
    expect(each('lead-possible')).toBe(1);
    expect(each('allow-used')).toBe(1);
  });

  it('comments of a key that was not asked for still hold, but are not judged', () => {
    const { findings } = lintAll([entry], { shelf });
    expect(findings.some((f) => f.rule.startsWith('allow-'))).toBe(false);
  });
});

describe('comments that allow', () => {
  const allow = (comment: string, at = '  1:') => lintText(GAP.replace(at, `${comment}${at}`));

  it('hold on the line, above it, and for the whole couplet; the reason is kept', () => {
    const above = allow('  # allow leads-exhaustive: printed so\n');
    expect(above.findings.some(only('leads-exhaustive'))).toBe(false);
    expect(above.allowed.map((a) => [a.finding.rule, a.reason])).toContainEqual([
      'leads-exhaustive',
      'printed so',
    ]);
    const behind = lintText(GAP.replace('  1:', '  1: # allow leads-exhaustive: printed so'));
    expect(behind.findings.some(only('leads-exhaustive'))).toBe(false);
  });

  it('do not hold elsewhere', () => {
    const wrong = lintText(GAP.replace('taxa:', '# allow leads-exhaustive: here\ntaxa:'));
    expect(wrong.findings.some(only('leads-exhaustive'))).toBe(true);
    expect(wrong.findings.some(only('allow-used'))).toBe(true);
  });

  it.each([
    ['  # allow leads-exhaustive\n', /the reason is missing/],
    ['  # allow leads-exhaustive:\n', /the reason is missing/],
    [
      '  # allow leads-exaustive: typo\n',
      /there is no rule leads-exaustive; did you mean leads-exhaustive\?/,
    ],
    ['  # allow target-exists: later\n', /target-exists cannot be set aside/],
    ['  # allow id-unique, leads-exhaustive: both\n', /id-unique cannot be set aside/],
  ])('%s is an error', (comment, message) => {
    const own = allow(comment).findings.filter(only('allow-reason'));
    expect(own.map((f) => f.message).join()).toMatch(message);
    expect(own[0]?.level).toBe('error');
  });

  it.each([
    '  # allow the gills to dry: first\n',
    '  # allow time\n',
    '  # allowed: nothing\n',
    '  #allow: no\n',
  ])('%s is a remark', (comment) => {
    expect(allow(comment).findings.filter((f) => f.rule.startsWith('allow'))).toEqual([]);
  });

  it('are not called unused when their rule was off or could not be run', () => {
    const text = GAP.replace('  1:', '  # allow leads-exhaustive: printed so\n  1:');
    expect(
      lintText(text, { settings: set(['leads-exhaustive', 'off']) }).findings.some(only('allow-used')),
    ).toBe(false);
    expect(lintText(text.replace('{ring: absent}', '{ring: gone}')).findings.some(only('allow-used'))).toBe(
      false,
    );
  });

  it('can themselves be set, but a missing reason stays', () => {
    const text = GAP.replace('  1:', '  # allow leads-exclusive: no need\n  1:');
    expect(lintText(text, { settings: set(['allow-used', 'off']) }).findings.some(only('allow-used'))).toBe(
      false,
    );
  });
});

describe('levels', () => {
  const known = new KnownRules(rules);
  const level = (id: string, settings: () => ReadonlyMap<string, Setting>) =>
    lintText(GAP, { settings }).findings.find(only(id))?.level;

  it('are those that are set, else the rule’s own', () => {
    expect(level('leads-exhaustive', set())).toBe('warning');
    expect(level('leads-exhaustive', set(['leads-exhaustive', 'note']))).toBe('note');
    expect(level('leads-exhaustive', set(['leads-exhaustive', 'error']))).toBe('error');
    expect(level('leads-exhaustive', set(['leads-exhaustive', 'off']))).toBeUndefined();
  });

  it('optional rules are off until they are set', () => {
    const text = GAP.replace(
      '{lead: Ring present, when: {ring: present}, taxon: aa}',
      '{lead: Ring present, taxon: aa, when: {ring: present}}',
    );
    expect(lintText(text).findings.some(only('property-order'))).toBe(false);
    expect(
      lintText(text, { settings: set(['property-order', 'note']) }).findings.some(only('property-order')),
    ).toBe(true);
  });

  it('a settings file is read, and what is wrong with it found at its place', () => {
    const read = (text: string) => {
      const { settings, findings } = readSettings(text, '.keywright.yaml', known);
      return [
        Object.fromEntries(settings),
        findings.map((f) => `${f.place.start.line}:${f.place.start.column} ${f.message}`),
      ];
    };
    expect(read('rules: {leads-parallel: off, balance: error}\n')).toEqual([
      { 'leads-parallel': 'off', balance: 'error' },
      [],
    ]);
    expect(read('')).toEqual([{}, []]);
    const [settings, findings] = read(
      'rules:\n  leads-paralel: off\n  target-exists: off\n  balance: warn\nrulez: {}\n',
    ) as [object, string[]];
    expect(settings).toEqual({});
    expect(findings.sort()).toEqual([
      expect.stringMatching(/^2:3 there is no rule leads-paralel; did you mean leads-parallel\?/),
      expect.stringMatching(/^3:3 target-exists cannot be set aside/),
      expect.stringMatching(/^4:12 .*"warn".*expected off, note, warning or error/),
      expect.stringMatching(/^5:1 .*cannot have "rulez"; did you mean "rules"\?/),
    ]);
  });

  it.each([
    ['leads-parallel=off', ['leads-parallel', 'off']],
    ['leads-parallel', /takes RULE=LEVEL/],
    ['=off', /takes RULE=LEVEL/],
    ['leads-paralel=off', /did you mean leads-parallel\?/],
    ['leads-parallel=of', /not 'of' \(did you mean off\?\)/],
    ['yaml-syntax=off', /cannot be set aside/],
  ])('--rule %s', (text, expected) => {
    const read = readSetting(text, known);
    if (expected instanceof RegExp) expect(read).toMatch(expected);
    else expect(read).toEqual(expected);
  });
});
