/** What is possible at worst, as an analysis, the words and a record have it. */
import { describe, expect, it } from 'vitest';
import { agreementOf, SameTaxa } from '../../src/analysis/agreement.js';
import { analyse } from '../../src/analysis/analysis.js';
import { determine } from '../../src/engine/determine.js';
import { sessionState } from '../../src/engine/session.js';
import { changesBetween } from '../../src/record/changes.js';
import { Keying } from '../../src/record/keying.js';
import { redoDetermination } from '../../src/record/redo.js';
import type { Choice, Observation } from '../../src/traits/collection.js';
import { settledText, statusText } from '../../src/words/couplet.js';
import { shortLines } from '../../src/words/determination.js';
import { changeItems } from '../../src/words/record-changes.js';
import { resultOf } from '../../src/words/results.js';
import { worstCaseTexts } from '../../src/words/worst-case.js';
import { find, observed, open } from '../support/open.js';

const KEY = `
keywright: 1
id: tufts
title: Tufts
version: 1
characters:
  print: {name: spore print, states: [white, rust]}
  ring: {name: ring, states: [present, absent]}
  cap: {name: width of the cap, kind: measure, unit: cm}
  smell: {name: smell, states: [mealy, ordinary]}
couplets:
  1:
    - {lead: Print white, when: {print: white}, to: 2}
    - {lead: Print rusty, when: {print: rust}, to: 3}
  2:
    - {lead: Ring present, when: {ring: present}, taxon: honey}
    - {lead: Ring absent, when: {ring: absent}, taxon: shank}
  3:
    - {lead: Stem scaly and smell ordinary, when: {smell: ordinary}, taxon: tuft}
    - {lead: Stem silky or smell mealy, when: {smell: mealy}, taxon: galerina}
taxa:
  honey: {name: Armillaria mellea, concern: {level: upset, source: test}, traits: {cap: 4-12 cm}}
  shank: {name: Flammulina velutipes, concern: {level: none-recorded}, traits: {cap: (1-)1.5-4 cm}}
  tuft: {name: Kuehneromyces mutabilis, concern: {level: none-recorded}, traits: {cap: 3-6 cm, smell: ordinary}}
  galerina: {name: Galerina marginata, concern: {level: deadly, source: test}, traits: {smell: mealy}}
`;
const key = open(KEY);
const on = (specimen: string, written: Record<string, string>): Observation[] =>
  observed(key, written, { specimen });
const took = (label: string, doubted = true): Choice => ({
  couplet: label.slice(0, -1),
  letter: label.slice(-1),
  doubted,
});
const unsure = determine(key, find(observed(key, { print: 'rust' }), { choices: [took('3a')] }));
const basket = determine(
  key,
  find([
    ...on('a', { print: 'white', ring: 'absent' }),
    ...on('b', { smell: 'mealy' }),
    ...on('c', { smell: 'mealy' }),
  ]),
);
const setting = {
  width: 200,
  paint: { strong: (t: string) => t, alarm: (t: string) => t, faint: (t: string) => t },
};

describe('the words for what is possible at worst', () => {
  it('say which answer, and what the find is if it is wrong', () => {
    expect(worstCaseTexts(unsure)).toEqual([
      'If your answer 3a, which you doubted, is wrong: Galerina marginata (deadly).',
    ]);
    const verdict = shortLines(analyse(unsure), setting as never, undefined).join(' ');
    expect(verdict).toContain(
      'Verdict: Leave it. If your answer 3a, which you doubted, is wrong: Galerina marginata (deadly).',
    );
  });

  it('say which specimens lack what, and what they may be', () => {
    expect(worstCaseTexts(basket)).toEqual([
      'b and c: nobody looked at spore print and ring; each may be Galerina marginata (deadly) or Armillaria mellea (upset).',
    ]);
  });

  it('tell what was looked at in vain from what nobody looked at', () => {
    const vain = determine(
      key,
      find([...on('a', { print: 'white', ring: 'absent' }), ...on('b', { print: 'white', ring: '?' })]),
    );
    expect(worstCaseTexts(vain)).toEqual(['b: nobody could tell ring; it may be Armillaria mellea (upset).']);
  });

  it('name what contradicts something else', () => {
    const against = determine(key, find(observed(key, { print: 'rust' }), { choices: [took('1a', false)] }));
    expect(worstCaseTexts(against)).toEqual([
      'If your answer 1a, which something else contradicts, is wrong: Galerina marginata (deadly) or Kuehneromyces mutabilis.',
    ]);
  });

  it('are said while keying', () => {
    const state = sessionState(key, find(observed(key, { print: 'rust' })), [
      { couplet: '3', letter: 'a', doubted: true },
    ]);
    expect(statusText(state, 120)).toBe(
      '2 possible (1 only if what is in doubt is wrong); worst: deadly (Galerina marginata)',
    );
    expect(statusText(state, 50)).toBe('2 possible; worst: deadly (Galerina marginata)');
    const harmful = open(KEY.replaceAll('none-recorded}', 'upset, source: test}'));
    expect(
      settledText(
        sessionState(harmful, find(observed(key, { print: 'rust' })), [
          { couplet: '3', letter: 'a', doubted: true },
        ]),
      ),
    ).toMatch(/^Both that are possible are to be left/);
  });

  it('stand in results for programs', () => {
    const { further, openSpecimens, verdict } = resultOf({ kind: 'found', found: basket }, key);
    expect(verdict.worst).toBe('deadly');
    expect(further).toEqual([
      {
        taxon: 'galerina',
        name: 'Galerina marginata',
        concern: 'deadly',
        doubted: [],
        specimens: ['b', 'c'],
      },
      { taxon: 'honey', name: 'Armillaria mellea', concern: 'upset', doubted: [], specimens: ['b', 'c'] },
    ]);
    expect(openSpecimens).toEqual([
      { specimen: 'b', taxa: ['galerina', 'honey'], unseen: ['print', 'ring'] },
      { specimen: 'c', taxa: ['galerina', 'honey'], unseen: ['print', 'ring'] },
    ]);
  });
});

describe('an analysis of what is possible at worst', () => {
  it('has what was doubted among the likelier mistakes', () => {
    const { doubts } = analyse(unsure);
    expect(doubts.one.find((d) => d.answer === '3a')?.likely).toContain('you were not sure of it');
    const seen = observed(key, { print: 'white', ring: 'absent' }).map((o) => ({
      ...o,
      doubted: o.character === 'ring',
    }));
    const likely = analyse(determine(key, find(seen))).doubts.one.map((d) => [d.character?.id, d.likely]);
    expect(likely).toContainEqual(['ring', ['you were not sure of it']]);
  });

  it('does not call it ruled out, and parts it by what to look at next', () => {
    const { decision, next } = analyse(unsure);
    expect(decision.ruledOut.map((r) => r.taxon.id)).not.toContain('galerina');
    expect(next.among.map((t) => t.id).sort()).toEqual(['galerina', 'tuft']);
    expect(decision.moreKeying).toBe('to not cleared');
    expect(analyse(basket).decision.ruledOut.map((r) => r.taxon.id)).toEqual([]);
  });

  it('counts it where keys are compared', () => {
    const other = open(KEY);
    const { word, verdict } = agreementOf(
      [unsure, determine(other, unsure.collection)],
      new SameTaxa([key, other]),
    );
    expect([word, verdict.worst]).toEqual(['agree', 'deadly']);
  });
});

describe('a doubt in a keying', () => {
  const keyed = (doubt: string) => {
    const start = { started: '2026-11-27T10:00:00Z', find: { id: 'f' } };
    const keying = new Keying(key, find([]), start, 'keywright', () => new Date('2026-11-27T10:00:00Z'));
    keying.answer(1);
    keying.setDoubt(doubt);
    keying.answer(0);
    keying.finish();
    return keying.record();
  };

  it('reaches the verdict and the record', () => {
    const { result, possible } = keyed('cut too high');
    expect(possible).toEqual(['tuft']);
    expect(result?.verdict.worst).toBe('deadly');
    expect(result?.further).toEqual([
      { taxon: 'galerina', name: 'Galerina marginata', concern: 'deadly', doubted: ['3a'] },
    ]);
    expect(keyed('').result?.further).toBeUndefined();
  });

  it('is kept when the find is redone, and a change of what is possible at worst is reported', () => {
    const redoing = {
      redoneFrom: 1,
      by: undefined,
      program: 'keywright',
      clock: () => new Date('2026-11-28T10:00:00Z'),
    };
    const before = keyed('cut too high');
    expect(changesBetween(before, redoDetermination(key, before, redoing)).changed).toBe(false);
    const milder = open(
      KEY.replace('{level: deadly, source: test}', '{level: deadly, source: test}, rank: species').replace(
        'to: 3}',
        'to: 3}\n    - {lead: Print black, when: {print: white}, taxon: honey}',
      ),
    );
    const after = redoDetermination(milder, keyed(''), redoing);
    const changes = changesBetween(before, after);
    expect(changes.changed).toBe(true);
    expect(changeItems(changes)).toContain('no longer possible at worst: Galerina marginata (deadly)');
  });
});

describe('a measure far outside every description', () => {
  const warned = (written: Record<string, string>) =>
    determine(key, find(observed(key, written)))
      .warnings.filter((w) => w.kind === 'far-outside')
      .map((w) => w.message);

  it('is reported, in the words of the description', () => {
    expect(warned({ print: 'white', ring: 'absent', cap: '45 cm' })).toEqual([
      'the width of the cap (45 cm) is far outside what Flammulina velutipes is described with (1-4 cm): measure again, with the unit; or the find is not in this key',
    ]);
    expect(warned({ print: 'white', cap: '45 cm' })).toEqual([
      'the width of the cap (45 cm) is far outside what all that is possible is described with (4-12 cm or 1-4 cm): measure again, with the unit; or the find is not in this key',
    ]);
    expect(warned({ print: 'white', ring: 'absent', cap: '0.4 cm' })).toHaveLength(1);
  });

  it('is more than twice the largest or less than half of the smallest, for each that is possible', () => {
    expect(warned({ print: 'white', ring: 'absent', cap: '8 cm' })).toEqual([]);
    expect(warned({ print: 'white', ring: 'absent', cap: '8.1 cm' })).toHaveLength(1);
    expect(warned({ print: 'white', ring: 'absent', cap: '0.5 cm' })).toEqual([]);
    expect(warned({ print: 'white', cap: '20 cm' })).toEqual([]);
    // What is not described is not judged; the rest is.
    expect(warned({ print: 'rust', cap: '45 cm' })).toEqual([
      expect.stringContaining('is far outside all that is described of what is possible (3-6 cm)'),
    ]);
  });
});
