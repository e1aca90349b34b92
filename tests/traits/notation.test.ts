import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { readNumbers, type Scale, writeNumbers } from '../../src/traits/notation.js';
import { everyNumber, type NumberSet, numberSet } from '../../src/traits/number-set.js';
import { findUnit, fromBase, ONE, toBase, type Unit, unitNames } from '../../src/traits/units.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const unit = (id: string): Unit => {
  const found = findUnit(id);
  if (found === undefined) throw new Error(`no unit ${id}`);
  return found;
};
const cm: Scale = { whole: false, unit: unit('cm') };
const count: Scale = { whole: true, unit: ONE };
const plain: Scale = { whole: false, unit: ONE };

function numbers(written: string, scale: Scale): { possible: NumberSet; usual: NumberSet } {
  const read = readNumbers(written, scale);
  if (!read.ok) throw new Error(read.problem);
  return read.value;
}
const possible = (written: string, scale = cm) => writeNumbers(numbers(written, scale).possible, scale.unit);
const usual = (written: string, scale = cm) => writeNumbers(numbers(written, scale).usual, scale.unit);
const problem = (written: string, scale = cm) => {
  const read = readNumbers(written, scale);
  return read.ok ? `read as ${writeNumbers(read.value.possible, scale.unit)}` : read.problem;
};

describe('the number notation', () => {
  // what is written, what is possible, what is usual when that is not the same
  const forms: readonly [string, string, string?][] = [
    ['12', '12 cm'],
    [' 12 ', '12 cm'],
    ['0', '0 cm'],
    ['0.5', '0.5 cm'],
    ['< 12', '< 12 cm'],
    ['<12', '< 12 cm'],
    ['<= 12', '<= 12 cm'],
    ['≤ 12', '<= 12 cm'],
    ['> 5', '> 5 cm'],
    ['>= 5', '>= 5 cm'],
    ['≥5', '>= 5 cm'],
    ['5-12', '5-12 cm'],
    ['5–12', '5-12 cm'],
    ['5 – 12', '5-12 cm'],
    ['5-5', '5 cm'],
    ['1.5-4', '1.5-4 cm'],
    ['17 or 19', '17 or 19 cm'],
    ['19 or 17', '17 or 19 cm'],
    ['< 2 or > 6', '< 2 or > 6 cm'],
    ['1-3 or 2-5', '1-5 cm'],
    ['(3-)5-8(-12)', '3-12 cm', '5-8 cm'],
    ['(3–)5–8(–12)', '3-12 cm', '5-8 cm'],
    ['(3)5-8(12)', '3-12 cm', '5-8 cm'],
    ['( 3 - ) 5 - 8 ( - 12 )', '3-12 cm', '5-8 cm'],
    ['(3-)5-8', '3-8 cm', '5-8 cm'],
    ['5-8(-12)', '5-12 cm', '5-8 cm'],
    ['5(-12)', '5-12 cm', '5 cm'],
    ['(3-)5', '3-5 cm', '5 cm'],
    ['> 2 to < 5', '> 2 to < 5 cm'],
    ['>= 2 to < 5', '>= 2 to < 5 cm'],
    ['-5-3', '-5-3 cm'],
    ['-5--3', '-5--3 cm'],
    ['.5', '0.5 cm'],
    ['5.', '5 cm'],
    ['.5-1.', '0.5-1 cm'],
    ['+5', '5 cm'],
    ['1e3', '1000 cm'],
    ['1.5E-1', '0.15 cm'],
    ['1e+2-2e2', '100-200 cm'],
    ['−5—−3', '-5--3 cm'], // MINUS SIGN, EM DASH
    ['5‑12', '5-12 cm'], // NON-BREAKING HYPHEN
    ['½', '0.5 cm'],
    ['1½-2 ¾', '1.5-2.75 cm'],
    ['١٢-١٥', '12-15 cm'], // ARABIC-INDIC DIGITS
    ['۳٫۵', '3.5 cm'], // EXTENDED ARABIC-INDIC DIGITS, ARABIC DECIMAL SEPARATOR
    ['१२', '12 cm'], // DEVANAGARI DIGITS
    ['３．５', '3.5 cm'], // FULLWIDTH
    ['𝟗', '9 cm'], // MATHEMATICAL BOLD DIGIT
    // More digits than can be told apart come out of calculations; they are rounded to fifteen.
    ['0.30000000000000004', '0.3 cm'],
    ['1.9999999999999998', '2 cm'],
    ['0.1234567890123456', '0.123456789012346 cm'],
    ['1234567890123456', '1234567890123460 cm'],
  ];
  it.each(forms)('%s', (written, all, mostly) => {
    expect(possible(written)).toBe(all);
    expect(usual(written)).toBe(mostly ?? all);
  });

  const withUnits: readonly [string, string][] = [
    ['12 mm', '1.2 cm'],
    ['12mm', '1.2 cm'],
    ['< 12 mm', '< 1.2 cm'],
    ['5-12 mm', '0.5-1.2 cm'],
    ['(3-)5-8(-12) mm', '0.3-1.2 cm'],
    ['17 or 19 mm', '1.7 or 1.9 cm'],
    ['17 mm or 19 mm', '1.7 or 1.9 cm'],
    ['17 mm or 19 cm', '1.7 or 19 cm'],
    ['> 2 to < 5 mm', '> 0.2 to < 0.5 cm'],
    ['1 in', '2.54 cm'],
    ['0.5-1 ft', '15.24-30.48 cm'],
    ['10 um', '0.001 cm'],
    ['10 µm', '0.001 cm'], // MICRO SIGN
    ['10 μm', '0.001 cm'], // GREEK SMALL LETTER MU
    ['2 m', '200 cm'],
    ['2 dm', '20 cm'],
  ];
  it.each(withUnits)('converts %s where the character is in cm', (written, all) => {
    expect(possible(written)).toBe(all);
  });

  it.each<[string, string, string]>([
    ['90 s', 'min', '1.5 min'],
    ['1 d', 'h', '24 h'],
    ['6 h', 'd', '0.25 d'],
    ['50 %', '1', '0.5'],
    ['0.5', '%', '0.5 %'],
    ['45°', 'deg', '45 deg'],
    ['250 mg', 'g', '0.25 g'],
    ['2 kg', 'g', '2000 g'],
    ['15 ml', 'L', '0.015 L'],
    ['15 µL', 'mL', '0.015 mL'],
  ])('converts %s to %s', (written, id, all) => {
    expect(possible(written, { whole: false, unit: unit(id) })).toBe(all);
  });

  it.each<[string, Scale, string]>([
    ['', cm, '"" is not a number'],
    ['wide', cm, '"wide" is not a number'],
    ['5-', cm, '"5-" is not a number'],
    ['5..7', cm, '"5..7" is not a number'],
    ['0x1F', count, '"F" is not a unit'],
    ['5-8-12', cm, '"5-8-12" is not a number'],
    ['5 or', cm, 'is not a'],
    ['17 mm or 19', cm, '"17 mm or 19" gives a unit to one number and not to the last'],
    ['1,5', cm, '"1,5" has a decimal comma: write "1.5"'],
    ['1,5-2,5 mm', cm, '"1,5-2,5" has a decimal comma: write "1.5-2.5"'],
    ['8-5', cm, '"8-5" runs backwards: write the smaller number first'],
    ['(9-)5-8', cm, '"(9-)5-8" runs backwards'],
    ['5-8(-7)', cm, '"5-8(-7)" runs backwards'],
    ['> 5 to < 2', cm, '"> 5 to < 2" runs backwards'],
    ['12 mmm', cm, '"mmm" is not a unit (did you mean mm?)'],
    ['12 parsec', cm, '"parsec" is not a unit (the units are um, mm, cm,'],
    ['12 g', cm, 'a number in g does not fit here: this character is in cm'],
    ['12 mm', plain, 'a number in mm does not fit here: this character has no unit'],
    ['12 mm', count, 'a number in mm does not fit here: a count has no unit'],
    ['50 %', count, 'a number in % does not fit here: a count has no unit'],
    ['4.5', count, '"4.5" is not a whole number, and a count must be one'],
    ['4-6.5', count, '"6.5" is not a whole number'],
    ['1,000', cm, '"1,000" has its thousands separated: write "1000"'],
    ['1,234-2,500', cm, 'write "1234-2500" or "1.234-2.5"'],
    ['< 1,000 mm', cm, 'write "< 1000"'],
    ['1,000', count, 'write "1000"'],
    ['0,500', cm, '"0,500" has a decimal comma: write "0.5"'],
    ['1234,567', cm, '"1234,567" has a decimal comma: write "1234.567"'],
    ['1,234,567', cm, '"1,234,567" has its thousands separated: write "1234567"'],
    ['1,000.5', cm, '"1,000.5" has its thousands separated: write "1000.5"'],
    ['1.000,5', cm, '"1.000,5" has its thousands separated: write "1000.5"'],
    ['1 000', cm, '"1 000" has its thousands separated: write "1000"'],
    ['1\u202f000-2\u202f000', cm, 'has its thousands separated: write "1000-2000"'],
    ['1’000', cm, 'has its thousands separated: write "1000"'],
    ["1'000'000", count, 'write "1000000"'],
    ['1/2', cm, '"1/2" is a fraction: write "0.5"'],
    ['1 3/4 in', cm, '"1 3/4" is a fraction: write "1.75"'],
    ['1⅓', cm, '"1⅓" is a fraction: write "1.333"'],
    ['1/0', cm, '"1/0" is not a number'],
    ['5 8', cm, '"5 8" is not a number'],
    ['5 1000', cm, '"5 1000" is not a number'],
    ['e3', cm, '"e3" is not a number'],
    ['1e99', cm, '"1e99" has more than 60 digits'],
    ['1e-99', cm, '"1e-99" has more than 60 digits'],
    ['1e3', { whole: true, unit: ONE }, 'read as 1000'],
    ['4.0', count, 'read as 4'],
    ['0.5e1', count, 'read as 5'],
    ['1e-1', count, '"1e-1" is not a whole number'],
    ['1'.repeat(100_000), cm, 'is not a number as keys write them'],
    [`1${' '.repeat(1_000_000)}or 2`, cm, 'is not a number as keys write them'],
    ['\u001b[2J5', cm, '"\\u{1b}[2J5" is not a number'],
  ])('says what is wrong with %j', (written, scale, words) => {
    expect(problem(written, scale)).toContain(words);
  });

  it('keeps counts whole: 4-6 and 7-12 leave no gap', () => {
    expect(possible('4-6 or 7-12', count)).toBe('4-12');
    expect(possible('< 5', count)).toBe('<= 4');
    expect(possible('> 5', count)).toBe('>= 6');
    expect(possible('> 2 to < 5', count)).toBe('3-4');
    expect(possible('4-6 or 8-12', count)).toBe('4-6 or 8-12');
    expect(possible('4-6 or 7-12', plain)).toBe('4-6 or 7-12');
  });
});

describe('units', () => {
  it('convert exactly: the same length is the same number, whatever unit it was written in', () => {
    expect(toBase('12', unit('mm'))).toBe(toBase('1.2', unit('cm')));
    expect(toBase('24.5', unit('mm'))).toBe(toBase('2.45', unit('cm')));
    expect(toBase('0.1', unit('m'))).toBe(toBase('10', unit('cm')));
    expect(toBase('1', unit('in'))).toBe(toBase('25.4', unit('mm'))); // 25.4 mm by the agreement of 1959
    expect(toBase('12', unit('in'))).toBe(toBase('1', unit('ft')));
    expect(toBase('0.3', unit('um'))).toBe(toBase('0.0003', unit('mm')));
    // In binary fractions 3 * 0.1 is not 0.3, and 2.45 * 10 is not 24.5 by every way of working it out.
    expect(possible('< 24.5 mm')).toBe('< 2.45 cm');
  });

  it('tell a boundary from its nearest neighbours', () => {
    const boundary = toBase('2.45', unit('cm')) as number;
    expect(toBase('2.4499999999999', unit('cm'))).toBeLessThan(boundary);
    expect(toBase('2.4500000000001', unit('cm'))).toBeGreaterThan(boundary);
    expect(toBase('24.5', unit('mm'))).toBe(boundary);
  });

  it('round what could not be told apart, and refuse what is longer than any number', () => {
    expect(toBase('123456789012345', unit('mm'))).toBe(123456789012.345);
    expect(toBase('1234567890123456', unit('mm'))).toBe(1234567890123.46);
    expect(toBase('0.30000000000000004', unit('mm'))).toBe(toBase('0.3', unit('mm')));
    // In metres an inch has three digits more: twelve are kept, so that what is read can be written again.
    for (const name of unitNames) {
      const value = toBase('0.1234567890123456', unit(name)) as number;
      expect(toBase(fromBase(value, unit(name)), unit(name))).toBe(value);
      const ratio = value / (toBase('1', unit(name)) as number) / 0.1234567890123456;
      expect(Math.abs(ratio - 1)).toBeLessThan(1e-10);
    }
    expect(toBase(`${'0'.repeat(20)}1.5${'0'.repeat(20)}`, unit('mm'))).toBe(toBase('1.5', unit('mm')));
    expect(toBase('nonsense', unit('mm'))).toBeUndefined();
    for (const nothing of ['', '.', '-', 'e3', '.e3']) expect(toBase(nothing, unit('mm'))).toBeUndefined();
    expect(toBase('1'.repeat(61), unit('mm'))).toBeUndefined();
    expect(toBase('0'.repeat(1_000_000), unit('mm'))).toBeUndefined();
    expect(Object.is(toBase('-0', unit('mm')), 0)).toBe(true);
  });

  it('have no unit named after a property of all objects', () => {
    for (const name of ['__proto__', 'constructor', 'toString', '']) expect(findUnit(name)).toBeUndefined();
  });

  // Decimals of up to 9 digits, so that no unit's factor makes them longer than 15.
  const decimal = fc
    .tuple(fc.integer({ min: -999_999_999, max: 999_999_999 }), fc.integer({ min: 0, max: 9 }))
    .map(([n, places]) => {
      const digits = Math.abs(n)
        .toString()
        .padStart(places + 1, '0');
      const text = places === 0 ? digits : `${digits.slice(0, -places)}.${digits.slice(-places)}`;
      return n < 0 ? `-${text}` : text;
    });
  const plainest = (text: string) => {
    const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text;
    return short.replace(/^-0$/, '0');
  };

  it('write back what was read, in the same unit, exactly', () => {
    fc.assert(
      fc.property(decimal, fc.constantFrom(...unitNames), (written, name) => {
        const value = toBase(written, unit(name));
        if (value === undefined) throw new Error(`${written} ${name} was refused`);
        expect(fromBase(value, unit(name))).toBe(plainest(written));
      }),
      { numRuns: 2000 },
    );
  });

  it('keep the order of decimals of any length', () => {
    const digits = (most: number) =>
      fc.array(fc.constantFrom(...'0123456789'), { minLength: 1, maxLength: most }).map((d) => d.join(''));
    const long = fc.tuple(fc.constantFrom('0', '1', '12', '999'), digits(30)).map(([a, b]) => `${a}.${b}`);
    // Neighbours: the same digits, and one more behind them.
    const near = fc.tuple(long, digits(3)).map(([a, more]) => [a, a + more] as const);
    const exact = (text: string) =>
      BigInt(text.replace('.', '') + '0'.repeat(40 - (text.split('.')[1] ?? '').length));
    fc.assert(
      fc.property(fc.oneof(near, fc.tuple(long, long)), fc.constantFrom(...unitNames), ([a, b], name) => {
        const [x, y] = [toBase(a, unit(name)) as number, toBase(b, unit(name)) as number];
        if (exact(a) <= exact(b)) expect(x).toBeLessThanOrEqual(y);
        else expect(x).toBeGreaterThanOrEqual(y);
      }),
      { numRuns: 3000 },
    );
  });

  it('keep the order of decimals', () => {
    const exact = (text: string) => {
      const [whole = '', part = ''] = text.split('.');
      return BigInt(whole + part.padEnd(9, '0'));
    };
    fc.assert(
      fc.property(decimal, decimal, fc.constantFrom(...unitNames), (a, b, name) => {
        const [x, y] = [toBase(a, unit(name)) as number, toBase(b, unit(name)) as number];
        const order = exact(a) < exact(b) ? -1 : exact(a) > exact(b) ? 1 : 0;
        expect(Math.sign(x - y)).toBe(order);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('writing numbers', () => {
  const end = fc.integer({ min: -40, max: 40 }).map((n) => n / 4);
  const interval = fc
    .tuple(end, end, fc.boolean(), fc.boolean(), fc.constantFrom('both', 'low', 'high'))
    .map(([a, b, lowOpen, highOpen, ends]) => ({
      low: ends === 'high' ? -Infinity : Math.min(a, b),
      high: ends === 'low' ? Infinity : Math.max(a, b),
      lowOpen: ends === 'high' || lowOpen,
      highOpen: ends === 'low' || highOpen,
    }));

  it('is read back as the same set', () => {
    fc.assert(
      fc.property(fc.array(interval, { minLength: 1, maxLength: 4 }), fc.boolean(), (intervals, whole) => {
        const set = numberSet(intervals, whole);
        const scale = whole ? count : plain;
        const text = writeNumbers(set, ONE);
        if (text === 'no number' || text === 'any number') return;
        expect(numbers(text, scale).possible).toEqual(set);
      }),
      { numRuns: 2000 },
    );
  });

  it('names what has no numbers to write', () => {
    expect(writeNumbers(numberSet([], false), unit('cm'))).toBe('no number');
    expect(writeNumbers(everyNumber(false), unit('cm'))).toBe('any number');
  });
});
