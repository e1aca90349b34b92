import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import type { Character } from '../../src/traits/character.js';
import { readNumbers } from '../../src/traits/notation.js';
import { findUnit, ONE } from '../../src/traits/units.js';
import {
  joinValues,
  narrowValue,
  readValue,
  type Value,
  valuesApart,
  writeValue,
} from '../../src/traits/value.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const states = ['white', 'pink', 'brown'];
const base = { tools: [], effort: 1, perishable: false, stages: [], figures: [] };
const colour: Character = {
  ...base,
  id: 'colour',
  name: 'colour of the gills',
  kind: 'choice',
  states: states.map((id) => ({ id, meaning: id })),
  stateIndex: new Map(states.map((s, i) => [s, i])),
  unit: ONE,
};
const numbered = (id: string, kind: 'measure' | 'count', unit: string, limits?: string): Character => {
  const found = findUnit(unit) ?? ONE;
  const read =
    limits === undefined ? undefined : readNumbers(limits, { whole: kind === 'count', unit: found });
  if (read?.ok === false) throw new Error(read.problem);
  return {
    ...base,
    id,
    name: id,
    kind,
    states: [],
    stateIndex: new Map(),
    unit: found,
    ...(read === undefined ? {} : { limits: read.value.possible }),
  };
};
const width = numbered('width', 'measure', 'cm', '0.2-60');
const depth = numbered('depth', 'measure', 'cm');
const spots = numbered('spots', 'count', '1', '0-20');

const value = (character: Character, written: string | string[]): Value | undefined => {
  const read = readValue(character, written);
  if (!read.ok) throw new Error(read.problem);
  return read.value;
};
/** What is read, written again. */
const again = (character: Character, written: string | string[]) =>
  writeValue(character, value(character, written));
const problem = (character: Character, written: string | string[]) => {
  const read = readValue(character, written);
  return read.ok ? `read as ${writeValue(character, read.value)}` : read;
};

describe('a value as it is written down', () => {
  it.each<[Character, string | string[], string]>([
    [colour, 'white', 'white'],
    [colour, ' pink ', 'pink'],
    [colour, 'pink | white', 'white | pink'],
    [colour, 'pink|white', 'white | pink'],
    [colour, ['pink', 'white'], 'white | pink'],
    [colour, ['pink | white', 'brown'], 'white | pink | brown'],
    [colour, 'white | white', 'white'],
    [colour, '', '?'],
    [colour, [], '?'],
    [colour, ['', ' '], '?'],
    [colour, '?', '?'],
    [colour, '? | ?', '?'],
    [colour, 'white | ?', 'white'],
    [colour, '-', '-'],
    [colour, ['-', '-'], '-'],
    [colour, 'white | -', 'white | -'],
    [colour, ['-', 'pink', 'white'], 'white | pink | -'],
    [colour, '? | -', '?'],
    [width, '? | -', '?'],
    [width, '3.5', '3.5 cm'],
    [width, '3.5 cm', '3.5 cm'],
    [width, '35 mm', '3.5 cm'],
    [width, '2-4', '2-4 cm'],
    [width, '(1-)2-4(-6)', '1-6 cm'],
    [width, '2 | 4', '2 or 4 cm'],
    [width, '17 or 19', '17 or 19 cm'],
    [width, ['17', '19 cm', '-'], '17 or 19 cm | -'],
    [width, '3-5 or 13', '3-5 or 13 cm'],
    [width, '< 2 or > 6', '>= 0.2 to < 2 or > 6 to <= 60 cm'],
    [width, '3 cm | -', '3 cm | -'],
    [width, '< 12', '>= 0.2 to < 12 cm'],
    [width, '>= 5', '5-60 cm'],
    [width, '> 5', '> 5 to <= 60 cm'],
    [width, '0.2', '0.2 cm'],
    [width, '60', '60 cm'],
    [width, '600 mm', '60 cm'],
    [depth, '< 12', '>= 0 to < 12 cm'],
    [depth, '>= 5', '>= 5 cm'],
    [spots, '4', '4'],
    [spots, '< 5', '0-4'],
    [spots, '4 | 6', '4 or 6'],
    [spots, '4 or 5', '4-5'],
    [spots, '> 18', '19-20'],
  ])('%o', (character, written, read) => {
    expect(again(character, written)).toBe(read);
    expect(again(character, read)).toBe(read);
  });

  it('names what is wrong, what was expected and the nearest word', () => {
    expect(problem(colour, 'whte')).toEqual({
      ok: false,
      problem: '"whte" is not a state of colour',
      expected: 'white, pink or brown',
      nearest: 'white',
    });
    expect(problem(colour, 'White')).toMatchObject({ nearest: 'white' });
    expect(problem(colour, 'constructor')).toMatchObject({
      problem: '"constructor" is not a state of colour',
    });
    expect(problem(colour, '\u001b[31m')).toMatchObject({
      problem: '"\\u{1b}[31m" is not a state of colour',
    });
    expect(problem(width, '70')).toMatchObject({
      problem: '"70" is outside the limits of width (0.2-60 cm)',
      expected: '0.2-60 cm',
    });
    expect(problem(width, '0.19')).toMatchObject({
      problem: '"0.19" is outside the limits of width (0.2-60 cm)',
    });
    expect(problem(width, '50-70')).toMatchObject({
      problem: '"50-70" is outside the limits of width (0.2-60 cm)',
    });
    expect(problem(width, '> 60')).toMatchObject({
      problem: '"> 60" is outside the limits of width (0.2-60 cm)',
    });
    expect(problem(depth, '-1')).toMatchObject({ problem: '"-1" is outside the limits of depth (>= 0 cm)' });
    expect(problem(spots, '3.5')).toMatchObject({ expected: 'a whole number, such as 5 or 4-7' });
    expect(problem(width, 'wide')).toMatchObject({ expected: 'a number in cm, such as 3.5 or 2-4' });
  });

  it('is bounded by the limits only at an open end', () => {
    expect(problem(width, '3-600 mm')).toBe('read as 0.3-60 cm');
    expect(problem(width, '3-601 mm')).toMatchObject({ ok: false });
  });
});

describe('what two specimens show together', () => {
  const join = (character: Character, a: string, b: string) =>
    writeValue(character, joinValues(value(character, a) as Value, value(character, b) as Value));

  it.each<[Character, string, string, string]>([
    [colour, 'white', 'pink', 'white | pink'],
    [colour, 'white', '-', 'white | -'],
    [colour, '-', 'white', 'white | -'],
    [colour, '-', '-', '-'],
    [colour, 'white | -', 'pink', 'white | pink | -'],
    [width, '2', '4', '2 or 4 cm'],
    [width, '2-3', '3-4', '2-4 cm'],
    [width, '2-3', '-', '2-3 cm | -'],
    [spots, '4', '9', '4 or 9'],
  ])('%s: %s and %s', (character, a, b, together) => {
    expect(join(character, a, b)).toBe(together);
    expect(join(character, b, a)).toBe(together);
  });

  it.each<[Character, string, string, boolean]>([
    [colour, 'white', 'pink', true],
    [colour, 'white', 'white | pink', false],
    [colour, 'white', '-', true],
    [colour, 'white | -', '-', false],
    [colour, 'white | -', 'pink | -', false],
    [colour, 'white | -', 'pink', true],
    [colour, '-', '-', false],
    [width, '2-3', '3-4', false],
    [width, '2-3', '3.1-4', true],
    [width, '2 or 4', '3', true],
    [width, '2 or 4', '3-4', false],
  ])('%s: %s against %s', (character, a, b, apart) => {
    expect(valuesApart(value(character, a) as Value, value(character, b) as Value)).toBe(apart);
    expect(valuesApart(value(character, b) as Value, value(character, a) as Value)).toBe(apart);
  });
});

describe('what is left of a value when more is known', () => {
  const narrow = (character: Character, a: string, b: string) => {
    const left = narrowValue(value(character, a) as Value, value(character, b) as Value);
    return left === undefined ? 'contradiction' : writeValue(character, left);
  };

  it.each<[Character, string, string, string]>([
    [colour, 'white | pink', 'pink | brown', 'pink'],
    [colour, 'white', 'pink', 'contradiction'],
    [colour, 'white', '-', 'contradiction'],
    [colour, '-', 'white', 'contradiction'],
    [colour, '-', '-', '-'],
    [colour, 'white | -', 'white', 'white'],
    [colour, 'white | -', 'white | -', 'white | -'],
    [width, '2-4', '3-5', '3-4 cm'],
    [width, '2 or 4', '3-5', '4 cm'],
    [width, '2 or 4', '3', 'contradiction'],
    [width, '2-4', '4-5', '4 cm'],
    [width, '2-4', '< 3', '>= 2 to < 3 cm'],
    [width, '2-4', '5', 'contradiction'],
  ])('%s: %s, and then %s', (character, a, b, left) => {
    expect(narrow(character, a, b)).toBe(left);
  });
});

describe('values of any kind', () => {
  const written = fc.oneof(
    fc.tuple(fc.subarray(states, { minLength: 1 }), fc.boolean()).map(([s, partly]) => ({
      character: colour,
      text: [...s, ...(partly ? ['-'] : [])].join(' | '),
    })),
    fc
      .tuple(fc.integer({ min: 1, max: 40 }), fc.integer({ min: 0, max: 19 }))
      .map(([low, more]) => ({ character: width, text: `${low}-${low + more}` })),
    fc.integer({ min: 0, max: 20 }).map((n) => ({ character: spots, text: String(n) })),
  );

  it('are written so that they are read back the same', () => {
    fc.assert(
      fc.property(written, ({ character, text }) => {
        const read = value(character, text);
        expect(value(character, writeValue(character, read))).toEqual(read);
      }),
    );
  });

  it('never make reading throw', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(colour, width, depth, spots),
        fc.oneof(fc.string(), fc.string({ unit: fc.constantFrom(...'0123456789.-–()<>= |ormc?') })),
        (character, text) => {
          const read = readValue(character, text);
          if (read.ok) expect(readValue(character, writeValue(character, read.value))).toEqual(read);
        },
      ),
      { numRuns: 3000 },
    );
  });
});
