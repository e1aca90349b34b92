import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/analysis/analysis.js';
import { determine } from '../../src/engine/determine.js';
import type { Collection } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { season, tufts } from './season.js';

const group = {
  keywright: 1,
  id: 'k',
  title: 'K',
  version: '1',
  scope: { regions: ['GB-CMA'], complete: true },
  characters: {
    print: { name: 'print', states: ['white', 'rust'] },
    smell: { name: 'smell', states: ['mealy', 'none'], reliability: 0.7 },
    ring: { name: 'ring', states: ['present', 'absent'] },
  },
  couplets: {
    1: [
      { lead: 'Rust', when: { print: 'rust' }, to: '2' },
      { lead: 'White', when: { print: 'white' }, taxon: 'whites' },
    ],
    2: [
      { lead: 'Mealy', when: { smell: 'mealy', ring: 'present' }, taxon: 'bell' },
      { lead: 'Not', otherwise: true, taxon: 'tuft' },
    ],
  },
  taxa: {
    whites: { name: 'Whites', rank: 'group', concern: { level: 'none-recorded' } },
    angel: { name: 'Angel', within: 'whites', concern: { level: 'deadly', effect: 'liver failure' } },
    plain: { name: 'Plain', within: 'whites', concern: { level: 'none-recorded' } },
    bell: { name: 'Bell', concern: { level: 'severe' }, traits: { smell: 'mealy' } },
    tuft: { name: 'Tuft', concern: { level: 'none-recorded' }, traits: { smell: 'none' } },
  },
};
const key = open(group);
const decided = (written: Record<string, string>, more: Partial<Collection> = {}) => {
  const found = determine(key, find(observed(key, written), more));
  return { found, decision: analyse(found).decision };
};

describe('the decision', () => {
  it('takes a group for the worst of its members', () => {
    const { found, decision } = decided({ print: 'white' });
    expect(found.verdict).toEqual({ word: 'leave it', worst: 'deadly', settled: true });
    expect(found.possible[0]?.concern.effect).toBe('holds Angel: liver failure');
    expect(decision.members.map((m) => [m.group.id, m.taxon.id])).toEqual([['whites', 'angel']]);
    expect(decision.moreKeying).toBe('changes nothing');
  });

  it('names what rules a harmful taxon out, at which lead, and how strong it is', () => {
    const { decision } = decided({ print: 'rust', smell: 'none', ring: 'present' });
    expect(decision.ruledOut.map((r) => [r.taxon.id, r.strength, r.by, r.at, r.weak])).toEqual([
      ['bell', 'one weak observation', ['smell'], '2a', ['read right in 70 % of cases']],
      ['whites', 'one observation', ['print'], '1b', []],
    ]);
    const two = decided({ print: 'rust', smell: 'none', ring: 'absent' }).decision;
    expect(two.ruledOut.map((r) => [r.taxon.id, r.strength, r.by])).toEqual([
      ['whites', 'one observation', ['print']],
      ['bell', 'two observations', ['smell', 'ring']],
    ]);
  });

  it('counts the harmful taxa that more than two observations rule out', () => {
    const tuftsKey = tufts();
    const found = determine(tuftsKey, season(tuftsKey).get('033') as Collection);
    const { decision, doubts } = analyse(found);
    const harmful = ['deadly', 'severe', 'upset'];
    const ends = new Set(tuftsKey.couplets.flatMap((c) => c.leads.flatMap((l) => l.taxa)));
    const all = [...ends].filter((t) => harmful.includes(tuftsKey.taxa[t]?.concern.level ?? '')).length;
    const possible = found.possible.filter((t) => harmful.includes(t.concern.level)).length;
    expect(decision.ruledOut.length + decision.ruledOutByMore + possible).toBe(all);
    expect(doubts.one.length).toBeGreaterThan(0);
  });

  it('says what more keying could turn the verdict to, and never that it clears', () => {
    expect(decided({ print: 'rust' }).decision.moreKeying).toBe('to not cleared');
    expect(decided({ print: 'rust', smell: 'none' }).decision.moreKeying).toBe('to leave it');
  });

  it('always says that the find may not be in the key, first why', () => {
    const always =
      'a key always gives a name, also to what it does not hold: the find may not be in this key';
    expect(decided({ print: 'rust' }).decision.notInKey).toEqual([always]);
    expect(decided({ print: 'rust' }, { region: 'DE-BY' }).decision.notInKey).toEqual([
      'DE-BY lies outside the regions of k (GB-CMA): the find may not be in this key',
      always,
    ]);
    // Mealy without a ring runs to the tuft, whose description has no smell.
    expect(decided({ print: 'rust', smell: 'mealy', ring: 'absent' }).decision.notInKey[0]).toBe(
      'the candidate does not fit its description in all that was seen: the find may not be in this key',
    );
    const open2 = open({ ...group, scope: { complete: false } });
    expect(analyse(determine(open2, find([]))).decision.notInKey[0]).toBe(
      'k does not claim to hold every taxon of its group: the find may not be in this key',
    );
  });
});

describe('what a candidate rests on', () => {
  it('is the characters that decide its path, read right as often as is stated, or as was measured', () => {
    const found = determine(key, find(observed(key, { print: 'rust', smell: 'mealy', ring: 'present' })));
    const [rest] = analyse(found).reliances;
    expect(rest?.characters.map((c) => c.id)).toEqual(['print', 'smell', 'ring']);
    expect(rest?.unstated).toBe(2);
    expect(rest?.allRight).toBeCloseTo(0.7 * 0.79 ** 2, 12);
    expect(rest?.oneWrong).toBeCloseTo(0.7 * 0.79 ** 2 + 0.3 * 0.79 ** 2 + 2 * 0.7 * 0.79 * 0.21, 12);
  });

  it('counts a lead taken by eye like a character', () => {
    const eye = open({
      ...group,
      couplets: {
        1: [
          { lead: 'A', taxon: 'bell' },
          { lead: 'B', taxon: 'tuft' },
        ],
      },
    });
    const found = determine(eye, find([], { choices: [{ couplet: '1', letter: 'a' }] }));
    expect(analyse(found).reliances[0]).toMatchObject({
      answers: 1,
      characters: [],
      allRight: 0.79,
      oneWrong: 1,
    });
  });
});
