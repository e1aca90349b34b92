import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type CharacterPair,
  type Correspondences,
  checkCorrespondences,
} from '../../src/correspondences/check.js';
import { readCorrespondences } from '../../src/correspondences/read.js';
import { carryValue, translateCollection } from '../../src/correspondences/translate.js';
import type { CompiledKey } from '../../src/engine/compile.js';
import { evaluateValue } from '../../src/engine/evaluate.js';
import type { Character } from '../../src/traits/character.js';
import { hasState, stateIndices, stateSet } from '../../src/traits/state-set.js';
import { readValue, type Value, writeValue } from '../../src/traits/value.js';
import { find, observed, open } from '../support/open.js';

const states = (prefix: string, n: number) => Array.from({ length: n }, (_, i) => `${prefix}${i}`);

/** A key with one character, chosen from so many states. */
function keyOf(id: string, n: number, more: object = {}): CompiledKey {
  const names = states(id, n);
  return open({
    keywright: 1,
    id,
    title: id,
    version: '1',
    characters: { [`${id}-c`]: { name: `${id} c`, states: names, ...more } },
    couplets: {
      1: [
        { lead: 'First', when: { [`${id}-c`]: names[0] }, taxon: `${id}-x` },
        { lead: 'Others', otherwise: true, taxon: `${id}-y` },
      ],
    },
    taxa: { [`${id}-x`]: { name: 'Xa' }, [`${id}-y`]: { name: 'Ya' } },
  });
}

function between(a: CompiledKey, b: CompiledKey, data: object): Correspondences {
  const text = JSON.stringify({
    'keywright-correspondences': 1,
    from: { key: a.chain.main.id, version: '1' },
    to: { key: b.chain.main.id, version: '1' },
    ...data,
  });
  const { written, findings } = readCorrespondences(text, 'test.correspondences.yaml');
  if (written === undefined || findings.length > 0) throw new Error(JSON.stringify(findings));
  const checked = checkCorrespondences(written, a.chain, b.chain);
  if (checked.findings.length > 0) throw new Error(JSON.stringify(checked.findings));
  return checked.correspondences;
}

/** By state of A, the states of B that it may be; undefined where the file says nothing of it. */
const relation = fc.integer({ min: 2, max: 5 }).chain((n) =>
  fc.integer({ min: 2, max: 5 }).chain((m) =>
    fc.record({
      n: fc.constant(n),
      m: fc.constant(m),
      may: fc.array(fc.option(fc.subarray([...Array(m).keys()]), { nil: undefined }), {
        minLength: n,
        maxLength: n,
      }),
    }),
  ),
);

const made = new Map<string, Character>();

function pairOf({ n, m, may }: { n: number; m: number; may: (number[] | undefined)[] }): CharacterPair {
  const character = (id: string, many: number): Character => {
    const name = `${id}${many}`;
    const one = made.get(name) ?? (keyOf(id, many).chain.characters.get(`${id}-c`) as Character);
    made.set(name, one);
    return one;
  };
  return { from: character('a', n), to: character('b', m), states: may, confirmed: true };
}

const setOf = (set: Value | undefined) => (set?.kind === 'states' ? stateIndices(set.set) : undefined);

describe('what is carried never says more than what was seen', () => {
  it('holds every state that a true state may be, in both directions', () => {
    let carriedOnes = 0;
    fc.assert(
      fc.property(relation, fc.infiniteStream(fc.boolean()), fc.boolean(), (drawn, coins, forward) => {
        const pair = pairOf(drawn);
        const [own, other] = forward ? [drawn.n, drawn.m] : [drawn.m, drawn.n];
        const seen = [...Array(own).keys()].filter(() => coins.next().value);
        if (seen.length === 0) return;
        const value: Value = { kind: 'states', set: stateSet(seen, own), partly: false };
        const carried = carryValue(pair, value, forward);
        // A state of which nothing is said may be any.
        const mayBe = (a: number, b: number) => drawn.may[a]?.includes(b) ?? true;
        const set = carried.ok ? setOf(carried.value) : undefined;
        if (set === undefined) return;
        carriedOnes++;
        for (const one of seen)
          for (let b = 0; b < other; b++)
            if (forward ? mayBe(one, b) : mayBe(b, one)) expect(set).toContain(b);
      }),
      { numRuns: 2000 },
    );
    expect(carriedOnes).toBeGreaterThan(100);
  });

  it('never rules out what a find may show, whatever a lead asks of it', () => {
    fc.assert(
      fc.property(relation, fc.nat(4), fc.array(fc.nat(4)), (drawn, truth, asked) => {
        const pair = pairOf(drawn);
        const one = truth % drawn.n;
        const value: Value = { kind: 'states', set: stateSet([one], drawn.n), partly: false };
        const carried = carryValue(pair, value, true);
        const check = {
          op: 'states',
          character: 0,
          set: stateSet(
            asked.map((x) => x % drawn.m),
            drawn.m,
          ),
        } as const;
        for (const b of drawn.may[one] ?? [...Array(drawn.m).keys()])
          if (hasState(check.set, b))
            expect(evaluateValue(check, carried.ok ? carried.value : undefined)).not.toBe(0);
      }),
      { numRuns: 1000 },
    );
  });

  it('leaves a character unknown where one of its states has no counterpart', () => {
    const pair = pairOf({ n: 3, m: 3, may: [[0], [1, 2], undefined] });
    const of = (seen: number[], forward = true) => {
      const carried = carryValue(pair, { kind: 'states', set: stateSet(seen, 3), partly: true }, forward);
      return carried.ok ? [setOf(carried.value), (carried.value as { partly: boolean }).partly] : carried.why;
    };
    expect(of([0])).toEqual([[0], true]);
    expect(of([0, 1])).toBe('it may be any state there');
    expect(of([1])).toEqual([[1, 2], true]);
    expect(of([1, 2])).toBe('its state a2 has no counterpart');
    // Nothing is said of the third state, so it may be the one that is meant.
    expect(of([0], false)).toEqual([[0, 2], true]);
    expect(of([1], false)).toEqual([[1, 2], true]);
    const none = pairOf({ n: 3, m: 3, may: [[0], [1, 2], []] });
    expect(carryValue(none, { kind: 'states', set: stateSet([0], 3), partly: false }, false)).toMatchObject({
      value: { set: stateSet([0], 3) },
    });
  });

  it('keeps doubt, specimen and age, and leaves aside what counts for nothing in its own key', () => {
    const a = keyOf('a', 2, { stages: ['mature'] });
    const b = keyOf('b', 3);
    const file = between(a, b, {
      characters: { 'a-c': { is: 'b-c', states: { a0: 'b0', a1: ['b1', 'b2'] }, confirmed: 'yes' } },
    });
    const [seen] = observed(a, { 'a-c': 'a1' }, { specimen: 's', stage: 'mature' });
    if (seen === undefined) throw new Error('nothing seen');
    const collection = find(
      [
        { ...seen, doubted: true },
        { ...seen, stage: 'young' },
      ],
      {
        choices: [
          { couplet: '1', letter: 'a' },
          { couplet: 'b/1', letter: 'b', doubted: true },
        ],
      },
    );
    const { collection: carried, left } = translateCollection(collection, file, a.chain, b.chain);
    expect(carried.observations).toEqual([
      { ...observed(b, { 'b-c': 'b1 | b2' }, { specimen: 's', stage: 'mature' })[0], doubted: true },
    ]);
    expect(carried.choices).toEqual([{ couplet: '1', letter: 'b', doubted: true }]);
    expect(left.map((l) => `${l.what}: ${l.why}`)).toEqual([
      'a-c: does not count from young specimens',
      'lead 1a: an answer to a couplet of a',
    ]);
  });

  it('carries nothing of what nobody has confirmed, nor of an equal id alone', () => {
    const key = (id: string) => {
      const one = keyOf('c', 2);
      return { ...one, chain: { ...one.chain, main: { ...one.chain.main, id } } };
    };
    const [a, b] = [key('a'), key('b')];
    const seen = find(observed(a, { 'c-c': 'c0' }));
    const apart = { ...between(a, b, {}), shared: new Set<string>() };
    expect(translateCollection(seen, apart, a.chain, b.chain)).toMatchObject({
      collection: { observations: [] },
      left: [{ what: 'c-c', unsaid: true }],
    });
    const proposed = between(a, b, { characters: { 'c-c': { is: 'c-c', states: { c0: 'c0', c1: 'c1' } } } });
    expect(translateCollection(seen, proposed, a.chain, b.chain)).toMatchObject({
      collection: { observations: [] },
      left: [{ what: 'c-c', why: 'not confirmed', unsaid: false }],
    });
  });
});

describe('numbers', () => {
  const measured = (id: string, unit: string, limits?: string) =>
    open({
      keywright: 1,
      id,
      title: id,
      version: '1',
      characters: {
        [`${id}-w`]: { name: 'w', kind: 'measure', unit, ...(limits === undefined ? {} : { limits }) },
      },
      couplets: {
        1: [
          { lead: 'A', when: { [`${id}-w`]: '< 2' }, taxon: `${id}-x` },
          { lead: 'B', otherwise: true, taxon: `${id}-y` },
        ],
      },
      taxa: { [`${id}-x`]: { name: 'Xa' }, [`${id}-y`]: { name: 'Ya' } },
    });
  const carried = (a: CompiledKey, b: CompiledKey, more: object, written: string, forward = true) => {
    const [pair] = between(a, b, {
      characters: { 'a-w': { is: 'b-w', confirmed: 'yes', ...more } },
    }).characters;
    if (pair === undefined) throw new Error('no pair');
    const [own, other] = forward ? [pair.from, pair.to] : [pair.to, pair.from];
    const read = readValue(own, written);
    const result = carryValue(pair, read.ok ? read.value : undefined, forward);
    return result.ok ? writeValue(other, result.value) : result.why;
  };

  it('are converted by their units, exactly', () => {
    const [mm, inch] = [measured('a', 'mm'), measured('b', 'in')];
    expect(carried(mm, inch, {}, '25.4-50.8')).toBe('1-2 in');
    expect(carried(mm, inch, {}, '3', false)).toBe('76.2 mm');
  });

  it('are converted by a factor where the units say nothing', () => {
    const [ratio, cm] = [measured('a', '1'), measured('b', 'cm')];
    expect(carried(ratio, cm, { factor: '0.1' }, '3')).toBe('0.3 cm');
    expect(carried(ratio, cm, { factor: '0.1' }, '0.3', false)).toBe('3');
    expect(carried(ratio, cm, { factor: '3' }, '< 0.1')).toBe('>= 0 to < 0.3 cm');
  });

  it('outside what the other key knows are left aside; open ends end there', () => {
    const [a, b] = [measured('a', 'cm'), measured('b', 'cm', '0.2-20')];
    expect(carried(a, b, {}, '30')).toBe('outside what b-w may be there');
    expect(carried(a, b, {}, '>= 3')).toBe('3-20 cm');
  });
});
