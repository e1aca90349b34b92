/** Conditions that `import` proposed: until they are reviewed, nothing is claimed that rests on them. */
import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { Document, isMap, isSeq, type Pair, type Scalar, type YAMLMap } from 'yaml';
import { importText } from '../../src/commands/import/print.js';
import type { Finding } from '../../src/diagnostic/finding.js';
import { rules } from '../../src/lint/rules/index.js';
import { keys } from '../logic/draw.js';
import type { KeyData } from '../support/random-keys.js';
import { notLasting } from './lasting.js';
import { lintText } from './marks.js';

const LOGIC = rules.filter((r) => r.group === 'logic' || r.group === 'structure' || r.group === 'safety');
const OWN = rules.filter((r) => r.id === 'import-reviewed');

/** What the rules on logic and structure, and the one on proposals, say of a key. */
const said = (text: string) =>
  lintText(text, { rules: [...LOGIC, ...OWN] }).findings.filter((f) => f.rule !== 'concern-stated');
const short = (f: Finding) => `${f.rule}: ${f.message}`;

/** A key of one couplet after another; `?` before a condition marks it for review. */
function keyOf(characters: string, ...couplets: (readonly [string, string][])[]): string {
  const last = couplets.length - 1;
  const taxa: string[] = [];
  const lead = (c: number, i: number, [words, when]: readonly [string, string]) => {
    const proposed = when.startsWith('?') ? '      # review: proposed from the words\n' : '';
    const taxon = `t${taxa.length}`;
    const on = i === 1 && c < last;
    if (!on) taxa.push(taxon);
    return `    - lead: ${words}\n${proposed}      when: ${when.replace('?', '')}\n      ${on ? `to: ${c + 2}` : `taxon: ${taxon}`}\n`;
  };
  const body = couplets
    .map((leads, c) => `  ${c + 1}:\n${leads.map((l, i) => lead(c, i, l)).join('')}`)
    .join('');
  const names = taxa.map((t, i) => `  ${t}: {name: Aa ${'abcdefgh'[i]}a}\n`).join('');
  return `keywright: 1\nid: k\ntitle: K\nversion: 1.0.0\ncharacters:\n${characters}couplets:\n${body}taxa:\n${names}`;
}

const MARGIN = '  margin: {name: leaf margin, states: [toothed, entire, lobed]}\n';
const LENGTH = '  length: {name: leaf length, kind: measure, unit: cm}\n';
const SCARS = '  scars: {name: number of scars, kind: count}\n';

describe('of proposed conditions', () => {
  const states = (mark: string) =>
    keyOf(MARGIN, [
      ['Leaves toothed', `${mark}{margin: toothed}`],
      ['Leaves entire', `${mark}{margin: entire}`],
    ]);

  test('states that no lead takes are not told until they are reviewed', () => {
    expect(said(states('?')).map(short)).toEqual([
      'import-reviewed: 1 of 1 couplet is still to be reviewed: 2 proposed conditions',
    ]);
    expect(said(states('')).map((f) => f.rule)).toEqual(['leads-exhaustive']);
  });

  test('one that is not reviewed is enough to judge none of the couplet', () => {
    const half = states('').replace(
      '      when: {margin: entire}',
      '      # review: x\n      when: {margin: entire}',
    );
    expect(said(half).map(short)).toEqual([
      'import-reviewed: 1 of 1 couplet is still to be reviewed: 1 proposed condition',
    ]);
  });

  test('numbers between those of the leads are told, and none below or above them', () => {
    const lengths = (a: string, b: string, rest = LENGTH, name = 'length') =>
      said(
        keyOf(rest, [
          ['Leaves short', `?{${name}: ${a}}`],
          ['Leaves long', `?{${name}: ${b}}`],
        ]),
      )
        .filter((f) => f.rule === 'ranges-meet')
        .map((f) => f.message);
    expect(lengths('< 4', '">= 5"')).toEqual(['no lead of couplet 1 takes leaf length >= 4 to < 5 cm']);
    expect(lengths('2-4', '6-9')).toEqual(['no lead of couplet 1 takes leaf length > 4 to < 6 cm']);
    expect(lengths('2-4', '4-9')).toEqual(['1a and 1b both take leaf length 4 cm']);
    expect(lengths('< 4', '4-9')).toEqual([]);
    expect(lengths('3', '">= 5"', SCARS, 'scars')).toEqual(['no lead of couplet 1 takes number of scars 4']);
    expect(lengths('6', '7', SCARS, 'scars')).toEqual([]);
  });

  test('numbers between are told whatever else the leads say', () => {
    const found = said(
      keyOf(MARGIN + LENGTH, [
        ['Leaves toothed, short', '?{margin: toothed, length: <= 3}'],
        ['Leaves entire, long', '?{margin: entire, length: "> 4"}'],
      ]),
    ).filter((f) => f.rule !== 'import-reviewed');
    expect(found.map(short)).toEqual(['ranges-meet: no lead of couplet 1 takes leaf length > 3 to <= 4 cm']);
    expect(found[0]?.witness).toBe('a find with leaf length 4 cm fits none of 1a, 1b');
  });

  const dead = (mark: string) =>
    keyOf(
      MARGIN,
      [
        ['Leaves toothed', `${mark}{margin: [toothed, lobed]}`],
        ['Leaves entire', `${mark}{margin: entire}`],
      ],
      [
        ['Leaves lobed', `${mark}{margin: lobed}`],
        ['Leaves not lobed', `${mark}{margin: [toothed, entire]}`],
      ],
    );

  test('a lead that none could take is named beside them, and is no error before the review', () => {
    const [only, ...more] = said(dead('?'));
    expect(more).toEqual([]);
    expect(only?.related?.map((r) => [r.message, r.place.path.join('/')])).toEqual([
      ['as proposed, no find can take 2a while 1b stands', 'couplets/2/0/when'],
    ]);
    expect(said(dead('')).map((f) => f.rule)).toContain('lead-possible');
  });
});

test('what is marked for review is counted by what it is', () => {
  const key = keyOf(
    LENGTH,
    [
      ['Short', '?{length: < 4}'],
      ['Long', '?{length: ">= 4"}'],
    ],
    [
      ['Longer', '{length: ">= 9"}'],
      ['Less long', '{length: < 9}'],
    ],
  )
    .replace('      to: 2', '      # review: no target is printed here\n      to: 2')
    .replace('  2:\n', '  # review: this couplet is not printed\n  # lines 3-4: clear\n  2:\n');
  expect(said(key).map(short)).toEqual([
    'import-reviewed: 2 of 2 couplets are still to be reviewed: 2 proposed conditions and 1 proposed end',
  ]);
  expect(said(key.replaceAll('review:', 'reviewed:'))).toEqual([]);
});

test('what import writes is known', () => {
  const print =
    '1. Leaves 5 cm long or more ........ Tarnia alba\n1. Leaves less than 4 cm long ........ Tarnia nigra\n';
  const [key] = importText(print, { file: 'print.txt', when: true }).keys;
  expect(said(key?.text ?? '').map(short)).toEqual([
    'import-reviewed: 1 of 1 couplet is still to be reviewed: 2 proposed conditions',
    expect.stringMatching(/^ranges-meet: no lead of couplet 1 takes leaf.* >= 4 to < 5 cm$/),
  ]);
});

/** The text of a key with some of its conditions marked for review. */
function marked(key: KeyData, isMarked: (n: number) => boolean): string {
  const doc = new Document(key);
  let n = 0;
  const couplets = doc.get('couplets') as YAMLMap;
  for (const { value } of couplets.items) {
    if (!isSeq(value)) continue;
    for (const lead of value.items) {
      if (!isMap(lead)) continue;
      const when = lead.items.find((p) => (p.key as Scalar).value === 'when') as Pair<Scalar> | undefined;
      if (when !== undefined && isMarked(n++)) when.key.commentBefore = ' review: proposed';
    }
  }
  return doc.toString();
}

describe('random keys', () => {
  const SIZE = { units: ['', 'cm'], most: 8, states: 3 };
  it('whose conditions are marked are said to have no fault that they do not have', () => {
    let fewer = 0;
    let compared = 0;
    for (const [i, key] of fc.sample(keys(2, 6, SIZE), { numRuns: 120, seed: 5 }).entries()) {
      const whole = marked(key, () => false);
      const plain = lintText(whole, { rules: LOGIC }).findings;
      const { findings, notRun } = lintText(
        marked(key, (n) => (n + i) % 3 === 0),
        { rules: LOGIC },
      );
      expect(notRun).toEqual([]);
      expect(notLasting(findings, whole, plain).map(short)).toEqual([]);
      compared += findings.length;
      if (findings.length < plain.length) fewer++;
    }
    expect(compared).toBeGreaterThan(200);
    expect(fewer).toBeGreaterThan(50);
  });
});
