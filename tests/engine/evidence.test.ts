import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import type { CompiledKey } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import { gatherEvidence } from '../../src/engine/evidence.js';
import { sessionState } from '../../src/engine/session.js';
import type { Shelf } from '../../src/key/load.js';
import type { Choice, Observation } from '../../src/traits/collection.js';
import { writeValue } from '../../src/traits/value.js';
import { find, observed, open } from '../support/open.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const KEY = `
keywright: 1
id: tufts
title: Tufts
version: 1
characters:
  print: {name: spore print, states: [white, rust, black], stages: [mature]}
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture of the ring, states: [thin, woolly], applies-when: {ring: present}}
  width: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Print rusty, when: {print: rust}, to: 2}
    - {lead: Print white, when: {print: white}, to: 3}
    - {lead: Otherwise, otherwise: true, taxon: t-black}
  2:
    - {lead: Ring thin, when: {ring: present, texture: thin}, taxon: t-thin}
    - {lead: Ring woolly or none, when: {any: [{texture: woolly}, {ring: absent}]}, taxon: t-other}
  3:
    - {lead: Cap under 4 cm, when: {width: < 4}, taxon: t-small}
    - {lead: Cap 4 cm and over, when: {width: ">= 4"}, taxon: t-large}
taxa:
  t-black: {name: Black}
  t-thin: {name: Thin}
  t-other: {name: Other}
  t-small: {name: Small}
  t-large: {name: Large}
`;
const key = open(KEY);

const on = (specimen: string, written: Record<string, string>, stage?: string): Observation[] =>
  observed(key, written, { specimen, ...(stage === undefined ? {} : { stage }) });
const known = (observations: Observation[], choices: Choice[] = [], compiled: CompiledKey = key) => {
  const evidence = gatherEvidence(compiled, find(observations, { choices }));
  return Object.fromEntries(
    compiled.characters.flatMap((c, i) =>
      evidence.known[i] === undefined ? [] : [[c.id, writeValue(c, evidence.known[i])]],
    ),
  );
};
const result = (observations: Observation[], choices: Choice[] = [], compiled: CompiledKey = key) =>
  determine(compiled, find(observations, { choices }));
const reached = (...args: Parameters<typeof result>) => result(...args).possible.map((t) => t.id);
const warned = (...args: Parameters<typeof result>) =>
  result(...args).warnings.map((w) => `${w.kind}: ${w.message}`);

describe('an age that does not show a character', () => {
  it('does not count, and is reported', () => {
    const young = on('a', { print: 'white' }, 'young');
    expect(known(young)).toEqual({});
    expect(warned(young)).toEqual([
      'wrong-age: the spore print does not count from young specimens: it shows on mature ones',
    ]);
    expect(reached(young).length).toBe(5);
  });

  it('does not stand in the way of one that does', () => {
    const both = [...on('a', { print: 'white' }, 'young'), ...on('b', { print: 'rust' }, 'mature')];
    expect(known(both)).toEqual({ print: 'rust' });
    expect(warned(both)).toEqual([
      'wrong-age: the spore print does not count from young specimens: it shows on mature ones',
    ]);
  });

  it('does not matter for other characters, nor where the age is not said or nothing was made out', () => {
    expect(known(on('a', { ring: 'present' }, 'young'))).toEqual({ ring: 'present' });
    expect(known(on('a', { print: 'rust' }))).toEqual({ print: 'rust' });
    expect(warned(on('a', { print: '?' }, 'young'))).toEqual([]);
  });

  it('is reported once for several specimens', () => {
    const two = [
      ...on('a', { print: 'white' }, 'young'),
      ...on('b', { print: 'rust' }, 'old'),
      ...on('c', { print: 'black' }, 'young'),
    ];
    expect(warned(two)).toEqual([
      'wrong-age: the spore print does not count from old or young specimens: it shows on mature ones',
    ]);
  });
});

describe('several specimens', () => {
  it('are taken together', () => {
    expect(
      known([...on('a', { ring: 'present', width: '2-3' }), ...on('b', { ring: 'present', width: '5' })]),
    ).toEqual({
      ring: 'present',
      width: '2-3 or 5 cm',
    });
    expect(known([...on('a', { ring: 'present' }), ...on('b', { ring: '-' })])).toEqual({
      ring: 'present | -',
    });
    expect(known([...on('a', { ring: '?' }), ...on('b', { ring: 'absent' })])).toEqual({ ring: 'absent' });
  });

  it('that disagree are reported, and both are followed', () => {
    const two = [
      ...on('a', { print: 'rust', ring: 'present', texture: 'thin' }),
      ...on('b', { print: 'rust', ring: 'absent' }),
    ];
    expect(known(two)).toMatchObject({ ring: 'present | absent' });
    expect(warned(two)).toEqual([
      'specimens-disagree: the specimens disagree on the ring: present | absent',
      'two-species: two species in one basket? a may be Thin, b may be Other; determine them apart',
    ]);
    expect(reached(two)).toEqual(['t-thin', 't-other']);
  });

  it('that disagree but run to the same end are one species', () => {
    const two = [
      ...on('a', { print: 'black', ring: 'present' }),
      ...on('b', { print: 'black', ring: 'absent' }),
    ];
    expect(warned(two)).toEqual(['specimens-disagree: the specimens disagree on the ring: present | absent']);
    expect(reached(two)).toEqual(['t-black']);
  });

  it('that differ in size do not disagree, nor do those that share a state', () => {
    expect(warned([...on('a', { print: 'white', width: '2' }), ...on('b', { width: '3' })])).toEqual([]);
    expect(warned([...on('a', { print: 'white | rust' }), ...on('b', { print: 'rust' })])).toEqual([]);
  });

  it('that show two states on one specimen do not disagree', () => {
    expect(warned([...on('a', { ring: 'present' }), ...on('a', { ring: 'absent' })])).toEqual([]);
  });

  it('disagree or not whatever the order in which they were looked at', () => {
    const seen = fc.array(
      fc.record({
        specimen: fc.constantFrom('a', 'b', 'c'),
        print: fc.constantFrom(
          'white',
          'rust',
          'black',
          'white | rust',
          'rust | black',
          '-',
          'white | -',
          '?',
        ),
        stage: fc.constantFrom('young', 'mature', undefined),
      }),
      { minLength: 1, maxLength: 6 },
    );
    const shuffled = seen.chain((list) =>
      fc.tuple(
        fc.constant(list),
        fc.shuffledSubarray(list, { minLength: list.length, maxLength: list.length }),
      ),
    );
    fc.assert(
      fc.property(shuffled, ([list, turned]) => {
        const [one, other] = [list, turned].map((order) => {
          const all = order.flatMap((o) => on(o.specimen, { print: o.print }, o.stage));
          const { warnings, verdict, name, qualifier, possible } = result(all);
          return { known: known(all), warnings, verdict, name, qualifier, possible };
        });
        expect(other).toEqual(one);
      }),
      { numRuns: 500 },
    );
  });
});

describe('a lead that a person took', () => {
  const took = (...labels: string[]): Choice[] =>
    labels.map((l) => ({ couplet: l.slice(0, -1), letter: l.slice(-1) }));

  it('counts as evidence for its condition', () => {
    expect(known([], took('1a'))).toEqual({ print: 'rust' });
    expect(known([], took('2a'))).toEqual({ ring: 'present', texture: 'thin' });
    expect(reached([], took('1a'))).toEqual(['t-thin', 't-other']);
    expect(reached([], took('1a', '2a'))).toEqual(['t-thin']);
  });

  it('says nothing of one character where it says "one or the other"', () => {
    expect(known([], took('2b'))).toEqual({});
    expect(reached([], took('1a', '2b'))).toEqual(['t-other']);
  });

  it('by "otherwise" says that the other leads are not so', () => {
    expect(known([], took('1c'))).toEqual({ print: 'black' });
    expect(reached([], took('1c'))).toEqual(['t-black']);
  });

  it('by "otherwise" beside all states says nothing of them', () => {
    const all = open(KEY.replace('{print: white}, to: 3', '{print: [white, black]}, to: 3'));
    expect(known([], took('1c'), all)).toEqual({});
    expect(warned([], took('1c'), all)).toEqual([]);
    expect(reached([], took('1c'), all)).toEqual(['t-black']);
  });

  it('of a number keeps its open end', () => {
    expect(known([], took('3a'))).toEqual({ width: '< 4 cm' });
    expect(known(observed(key, { width: '3-5' }), took('3a'))).toEqual({ width: '>= 3 to < 4 cm' });
  });

  it('narrows what was seen', () => {
    expect(known(observed(key, { print: 'rust | white' }), took('1a'))).toEqual({ print: 'rust' });
    expect(reached(observed(key, { print: 'rust | white' }), took('1a'))).toEqual(['t-thin', 't-other']);
  });

  it('never goes against what was seen: that is reported', () => {
    const seen = observed(key, { print: 'white', width: '3' });
    expect(known(seen, took('1a'))).toMatchObject({ print: 'white' });
    expect(warned(seen, took('1a'))).toEqual([
      'contradiction: answer 1a contradicts what was recorded on the spore print (white)',
    ]);
    // The person's own choice holds at its couplet all the same.
    expect(reached(seen, took('1a'))).toEqual(['t-thin', 't-other']);
  });

  it('that contradicts another one is reported', () => {
    // 2a wants a ring; a second couplet on the same character in the chained key below would refuse it.
    const again = open(
      KEY.replace(
        '  3:\n',
        '  4:\n    - {lead: Ring, when: {ring: present}, to: 3}\n    - {lead: None, when: {ring: absent}, to: 3}\n  3:\n',
      ).replace('{print: white}, to: 3', '{print: white}, to: 4'),
    );
    expect(warned([], took('2a', '4b'), again)).toContain(
      'contradiction: answer 4b contradicts answer 2a on the ring (present)',
    );
  });

  it('that is not in the key is left alone', () => {
    expect(reached([], took('9a', '1z')).length).toBe(5);
  });

  it('counts in the keys that follow, for the same characters', () => {
    const next = KEY.replace('id: tufts', 'id: next').replace(
      '{lead: Print rusty, when: {print: rust}, to: 2}',
      '{lead: Print rusty, when: {print: rust}, taxon: t-black}',
    );
    const shelf: Shelf = {
      key: () => ({ ok: true, file: 'next.key.yaml', text: next }),
      terms: () => ({ ok: false, problem: 'none' }),
    };
    const chained = open(
      KEY.replace('when: {width: < 4}, taxon: t-small', 'when: {width: < 4}, key: next, at: 3'),
      shelf,
    );
    expect(reached([], took('1b', '3a'), chained)).toEqual(['t-small']);
    expect(result([], took('1b', '3a'), chained).candidates[0]?.path).toEqual(['1b', '3a', 'next/3a']);
    // A choice in the next key is written with its id.
    expect(reached([], [...took('1b', '3a'), { couplet: 'next/3', letter: 'b' }], chained)).toEqual([
      't-large',
    ]);
    expect(warned([], [...took('1b', '3a'), { couplet: 'next/3', letter: 'b' }], chained)).toEqual([
      'contradiction: answer next/3b contradicts answer 3a on the width of the cap (< 4 cm)',
    ]);
  });

  it('of a character that depends on another says that too', () => {
    const hairs = open(
      KEY.replace(
        '{lead: Print rusty, when: {print: rust}',
        '{lead: Print rusty, when: {print: rust, texture: thin}',
      ),
    );
    expect(known([], took('1a'), hairs)).toEqual({ print: 'rust', ring: 'present', texture: 'thin' });
  });
});

describe('what cannot be', () => {
  it('is reported: a character recorded where it cannot exist', () => {
    expect(warned(observed(key, { print: 'black', ring: 'absent', texture: 'thin' }))).toEqual([
      'contradiction: the texture of the ring is recorded, but by the other characters it cannot exist on this find',
    ]);
    expect(warned(observed(key, { print: 'black', ring: 'absent', texture: '-' }))).toEqual([]);
    expect(warned(observed(key, { print: 'black', texture: 'thin' }))).toEqual([]);
  });
});

describe('what is seen of a character', () => {
  const reasons = (written: Record<string, string>) =>
    sessionState(key, find(observed(key, written)), []).decided.map((d) => d.reason);

  it('says that it is there, so that its absence is ruled out', () => {
    expect(known(observed(key, { print: 'rust', texture: 'thin' }))).toEqual({
      print: 'rust',
      ring: 'present',
      texture: 'thin',
    });
    expect(reached(observed(key, { print: 'rust', texture: 'thin' }))).toEqual(['t-thin']);
    expect(reasons({ print: 'rust', texture: 'thin' })[1]).toBe(
      'texture of the ring: thin says that ring: present; the find shows texture of the ring: thin',
    );
  });

  it('narrows what could not be told, and says nothing where it varies or does not apply', () => {
    expect(known(observed(key, { ring: 'present | absent', texture: 'thin' }))).toMatchObject({
      ring: 'present',
    });
    expect(known(observed(key, { texture: 'thin | -' }))).toEqual({ texture: 'thin | -' });
    expect(known(observed(key, { texture: '-' }))).toEqual({ texture: '-' });
    expect(known(observed(key, { ring: 'present | -', texture: 'thin' }))).toMatchObject({
      ring: 'present | -',
    });
  });

  it('goes through several steps', () => {
    const hairs = open(
      KEY.replace(
        '  width:',
        '  hairs: {name: hairs of the ring, states: [long, short], applies-when: {texture: woolly}}\n  width:',
      ),
    );
    expect(known(observed(hairs, { hairs: 'long' }), [], hairs)).toEqual({
      ring: 'present',
      texture: 'woolly',
      hairs: 'long',
    });
  });

  it('of which one excludes the other is reported', () => {
    const veil = open(
      KEY.replace(
        '  width:',
        '  scar: {name: scar, states: [clear, faint], applies-when: {ring: absent}}\n  width:',
      ),
    );
    expect(known(observed(veil, { texture: 'thin', scar: 'faint' }), [], veil).ring).toBeUndefined();
    expect(warned(observed(veil, { print: 'black', texture: 'thin', scar: 'faint' }), [], veil)).toEqual([
      'contradiction: the texture of the ring and the scar are recorded, but cannot exist together on this find',
    ]);
  });

  it('counts on its own specimen: one without a ring drops nothing that the other one shows', () => {
    const two = [
      ...on('a', { print: 'rust', ring: 'absent' }),
      ...on('b', { print: 'rust', texture: 'thin' }),
    ];
    expect(known(two)).toEqual({ print: 'rust', ring: 'present | absent', texture: 'thin | -' });
    expect(reached(two)).toEqual(['t-thin', 't-other']);
  });
});
