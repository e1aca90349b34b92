import { describe, expect, it } from 'vitest';
import { compile } from '../../src/engine/compile.js';
import { gatherEvidence } from '../../src/engine/evidence.js';
import { Walk } from '../../src/engine/walk.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { find, observed } from '../support/open.js';

const CHARACTERS = {
  ring: { name: 'ring', states: ['present', 'absent'] },
  texture: { name: 'texture', states: ['thin', 'thick', 'woolly'], 'applies-when': { ring: 'present' } },
  hairs: { name: 'hairs', states: ['long', 'short'], 'applies-when': { texture: 'woolly' } },
  colour: { name: 'colour', states: ['white', 'pink', 'brown'] },
  width: { name: 'width', kind: 'measure', unit: 'cm' },
  spots: { name: 'spots', kind: 'count' },
};
type Written = Record<string, string>;
type LeadPart = { when?: object; otherwise?: boolean };

const WORDS = ['fails', 'open', 'fits'];

/** What the evidence says of each lead of a couplet. */
function truths(leads: LeadPart[], written: Written): string {
  const taxa = Object.fromEntries(leads.map((_, i) => [`t${i}`, { name: `T${i}` }]));
  const { chain, findings } = loadChain(
    JSON.stringify({
      keywright: 1,
      id: 'k',
      title: 'T',
      version: '1',
      characters: CHARACTERS,
      couplets: { 1: leads.map((l, i) => ({ lead: 'L', ...l, taxon: `t${i}` })) },
      taxa,
    }),
    'k',
    emptyShelf,
  );
  if (chain === undefined) throw new Error(findings.map((f) => f.message).join('\n'));
  const key = compile(chain);
  const walk = new Walk(key, gatherEvidence(key, find(observed(key, written))), 0);
  return (walk.visits[0]?.truths ?? []).map((t) => WORDS[t]).join(' ');
}
/** What the evidence says of one condition. */
const truth = (when: object, written: Written) => truths([{ when }, {}], written).split(' ')[0];

describe('a test of states: fits when S is inside C, fails when they share nothing, otherwise open', () => {
  it.each<[object, string, string]>([
    [{ colour: 'white' }, 'white', 'fits'],
    [{ colour: 'white' }, 'pink', 'fails'],
    [{ colour: 'white' }, 'white | pink', 'open'],
    [{ colour: 'white' }, 'pink | brown', 'fails'],
    [{ colour: ['white', 'pink'] }, 'white', 'fits'],
    [{ colour: ['white', 'pink'] }, 'white | pink', 'fits'],
    [{ colour: ['white', 'pink'] }, 'pink | brown', 'open'],
    [{ colour: ['white', 'pink'] }, 'brown', 'fails'],
    [{ colour: { not: 'white' } }, 'pink | brown', 'fits'],
    [{ colour: { not: 'white' } }, 'white', 'fails'],
    [{ colour: { not: 'white' } }, 'white | pink', 'open'],
    [{ colour: { not: ['white', 'pink'] } }, 'brown', 'fits'],
    [{ colour: { not: ['white', 'pink'] } }, 'white', 'fails'],
    [{ colour: ['white', 'pink', 'brown'] }, 'white', 'fits'],
  ])('%j, seen %s: %s', (when, colour, says) => {
    expect(truth(when, { colour })).toBe(says);
  });
});

describe('a test of numbers', () => {
  it.each<[string, string, string]>([
    ['2-4', '3', 'fits'],
    ['2-4', '2', 'fits'],
    ['2-4', '4', 'fits'],
    ['2-4', '4.0000001', 'fails'],
    ['2-4', '2-4', 'fits'],
    ['2-4', '2.5-3 cm', 'fits'],
    ['2-4', '25-30 mm', 'fits'],
    ['2-4', '3-5', 'open'],
    ['2-4', '1-5', 'open'],
    ['2-4', '4-5', 'open'],
    ['2-4', '5-6', 'fails'],
    ['< 4', '4', 'fails'],
    ['< 4', '39.9 mm', 'fits'],
    ['< 4', '40 mm', 'fails'],
    ['< 4', '3-4', 'open'],
    ['< 4', '< 4', 'fits'],
    ['< 4', '<= 4', 'open'],
    ['>= 4', '4', 'fits'],
    ['>= 4', '< 4', 'fails'],
    ['>= 4', '> 3', 'open'],
    ['< 2.45', '24.5 mm', 'fails'],
    ['>= 2.45', '24.5 mm', 'fits'],
    ['17 or 19', '17', 'fits'],
    ['17 or 19', '18', 'fails'],
    ['17 or 19', '17-19', 'open'],
    ['(1-)2-4(-6)', '6', 'fits'],
    ['(1-)2-4(-6)', '7', 'fails'],
  ])('%s, measured %s: %s', (allowed, width, says) => {
    expect(truth({ width: allowed }, { width })).toBe(says);
    const turned = { fits: 'fails', fails: 'fits', open: 'open' }[says];
    expect(truth({ width: { not: allowed } }, { width })).toBe(turned);
  });

  it('of whole numbers leaves nothing between neighbours', () => {
    expect(truth({ spots: '4-6 or 7-12' }, { spots: '4-12' })).toBe('fits');
    expect(truth({ spots: '4-6 or 8-12' }, { spots: '4-12' })).toBe('open');
    expect(truth({ spots: '< 5' }, { spots: '4' })).toBe('fits');
    expect(truth({ spots: '< 5' }, { spots: '5' })).toBe('fails');
    expect(truth({ spots: { not: '4-6' } }, { spots: '7' })).toBe('fits');
  });
});

describe('what is not seen', () => {
  it('leaves a test open, whether it was not looked at or could not be told', () => {
    for (const when of [
      { colour: 'white' },
      { colour: { not: 'white' } },
      { width: '< 4' },
      { width: { not: '2-4' } },
    ]) {
      expect(truth(when, {})).toBe('open');
      expect(truth(when, { colour: '?', width: '?' })).toBe('open');
    }
  });

  it('that does not apply fails a test, also one that denies', () => {
    for (const when of [
      { colour: 'white' },
      { colour: { not: 'white' } },
      { width: '< 4' },
      { width: { not: '2-4' } },
    ])
      expect(truth(when, { colour: '-', width: '-' })).toBe('fails');
    expect(truth({ not: { colour: 'white' } }, { colour: '-' })).toBe('fits');
  });

  it('on some specimens only leaves open what would fit', () => {
    expect(truth({ colour: 'white' }, { colour: 'white | -' })).toBe('open');
    expect(truth({ colour: 'white' }, { colour: 'pink | -' })).toBe('fails');
    expect(truth({ width: '2-4' }, { width: '3 | -' })).toBe('open');
  });
});

describe('joined conditions', () => {
  // What is known of the three characters makes each test fit, open or fail.
  const fits = { colour: 'white' };
  const open = { width: '2-4' };
  const fails = { spots: '5' };
  const written = { colour: 'white', spots: '7' };

  it.each<[string, object, string]>([
    ['AND is the worst of its parts', { ...fits, ...open }, 'open'],
    ['AND is the worst of its parts', { ...fits, ...fails }, 'fails'],
    ['AND is the worst of its parts', { ...open, ...fails }, 'fails'],
    ['AND of what fits fits', { all: [fits, fits] }, 'fits'],
    ['all is AND', { all: [fits, open] }, 'open'],
    ['all is AND', { all: [open, fails] }, 'fails'],
    ['any is the best of its parts', { any: [fails, open] }, 'open'],
    ['any is the best of its parts', { any: [fails, open, fits] }, 'fits'],
    ['any is the best of its parts', { any: [fails, fails] }, 'fails'],
    ['not swaps fits and fails', { not: fits }, 'fails'],
    ['not swaps fits and fails', { not: fails }, 'fits'],
    ['not leaves open open', { not: open }, 'open'],
    ['not not', { not: { not: fits } }, 'fits'],
    ['any within all', { all: [{ any: [fails, fits] }, { not: fails }] }, 'fits'],
    ['any beside a test', { ...fails, any: [fits, open] }, 'fails'],
    ['not of any', { not: { any: [fails, open] } }, 'open'],
    ['not of all', { not: { all: [open, fails] } }, 'fits'],
  ])('%s: %j %s', (_, when, says) => {
    expect(truth(when, written)).toBe(says);
  });
});

describe('a lead without a condition', () => {
  it('is open, whatever is known: only a person can take it or refuse it', () => {
    expect(truths([{}, {}], {})).toBe('open open');
    expect(truths([{}, { when: { colour: 'white' } }], { colour: 'white' })).toBe('open fits');
    expect(truths([{}, { when: { colour: 'white' } }], { colour: 'pink' })).toBe('open fails');
  });
});

describe('"otherwise"', () => {
  const leads = [{ when: { colour: 'white' } }, { when: { width: '< 4' } }, { otherwise: true }];

  it.each<[string, Written, string]>([
    ['is open while nothing is known', {}, 'open open open'],
    ['fails as soon as a sibling fits', { colour: 'white' }, 'fits open fails'],
    [
      'fails as soon as a sibling fits, though another fails',
      { colour: 'white', width: '5' },
      'fits fails fails',
    ],
    ['is open while a sibling is', { colour: 'pink' }, 'fails open open'],
    ['fits when all siblings fail', { colour: 'pink', width: '5' }, 'fails fails fits'],
    ['fits when they do not apply', { colour: '-', width: '-' }, 'fails fails fits'],
  ])('%s', (_, written, says) => {
    expect(truths(leads, written)).toBe(says);
  });

  it('stays open beside a lead without a condition, which never fails', () => {
    expect(truths([{}, { when: { colour: 'white' } }, { otherwise: true }], { colour: 'pink' })).toBe(
      'open fails open',
    );
  });
});

describe('a character that applies only when another is so', () => {
  it.each<[string, object, Written, string]>([
    ['fails where it cannot exist', { texture: 'thin' }, { ring: 'absent' }, 'fails'],
    [
      'fails where it cannot exist, whatever was written',
      { texture: 'thin' },
      { ring: 'absent', texture: 'thin' },
      'fails',
    ],
    ['fails where what it depends on does not apply', { texture: 'thin' }, { ring: '-' }, 'fails'],
    ['is open while that is unknown', { texture: 'thin' }, {}, 'open'],
    ['is open while that is unknown, though it may fail by itself', { texture: { not: 'thin' } }, {}, 'open'],
    [
      'is judged by itself where it exists',
      { texture: 'thin' },
      { ring: 'present', texture: 'thin' },
      'fits',
    ],
    ['is judged by itself where it may exist', { texture: 'thin' }, { texture: 'thin' }, 'fits'],
    ['is judged by itself where it may exist', { texture: 'thin' }, { texture: 'thick' }, 'fails'],
    ['makes a denial true where it cannot exist', { not: { texture: 'thin' } }, { ring: 'absent' }, 'fits'],
    ['but not "another one"', { texture: { not: 'thin' } }, { ring: 'absent' }, 'fails'],
    ['by way of another', { hairs: 'long' }, { ring: 'absent' }, 'fails'],
    ['by way of another', { hairs: 'long' }, { ring: 'present', texture: 'thin' }, 'fails'],
    ['by way of another', { hairs: 'long' }, { ring: 'present', texture: 'woolly | thin' }, 'open'],
    ['by way of another', { hairs: 'long' }, { ring: 'present', texture: 'woolly', hairs: 'long' }, 'fits'],
  ])('%s: %j with %j %s', (_, when, written, says) => {
    expect(truth(when, written)).toBe(says);
  });
});

describe('"usually"', () => {
  it('never rules a lead out', () => {
    const usually = { when: { colour: 'white' }, usually: { width: '2-4' } };
    expect(truths([usually, {}], { colour: 'white', width: '50' })).toBe('fits open');
    expect(truths([usually, {}], { colour: 'white', width: '3' })).toBe('fits open');
    expect(truths([usually, {}], { width: '50' })).toBe('open open');
  });
});
