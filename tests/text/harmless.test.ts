import { describe, expect, test } from 'vitest';
import { harmless, harmlessLines, hiddenIn, looksLike, visibleJson } from '../../src/text/harmless.js';

const HIDDEN = [
  ...[0x00, 0x1b, 0x7f, 0x9b, 0xad, 0x34f, 0x61c, 0x115f, 0x1160, 0x17b4, 0x180b, 0x180e, 0x180f, 0x200b],
  ...[0x200c, 0x200d, 0x200e, 0x202e, 0x2060, 0x2066, 0x206a, 0x206f, 0x2800, 0x3164, 0xfe00, 0xfe0f, 0xfeff],
  ...[0xffa0, 0xfff9, 0xfffb, 0xfdd0, 0xffff, 0x1bca0, 0x1d173, 0xe0001, 0xe0041, 0xe007f, 0xe0100, 0x10ffff],
];

describe('a sign that is not seen', () => {
  test.each(HIDDEN.map((c) => [c.toString(16)]))('U+%s is shown as its code', (hex) => {
    const sign = String.fromCodePoint(Number.parseInt(hex, 16));
    expect(harmless(`Aa${sign}bb`)).toBe(`Aa\\u{${hex}}bb`);
    expect(harmlessLines(`Aa${sign}\nbb`)).toBe(`Aa\\u{${hex}}\nbb`);
    expect(looksLike(`Aa${sign}bb`)).toBe('Aabb');
    expect(hiddenIn(`Aa${sign}bb`)).toBe(`U+${hex.toUpperCase().padStart(4, '0')}`);
    const json = visibleJson(JSON.stringify({ sign }, null, 1));
    expect(json).toMatch(/^[\n -~]*$/);
    expect(JSON.parse(json)).toEqual({ sign });
  });

  test('line breaks and tabs are spaces in one line', () => {
    expect(harmless('a\nb\tc\rd\u2028e\u2029f')).toBe('a b c d e f');
    expect(hiddenIn('a\nb\tc')).toBeUndefined();
  });
});

test.each([
  ['Persian', 'می\u200cخواهم'],
  ['Hindi', 'क्\u200dष'],
  ['Bengali', 'র\u200d\u09cdয'],
  ['Malayalam', 'ന്\u200d'],
  ['an emoji as a picture', '🍄\ufe0f'],
  ['an emoji of several', '👩\u200d🌾'],
  ['a key cap', '1\ufe0f\u20e3'],
  ['a form of a Chinese character', '葛\u{e0100}'],
  ['accents', 'Isoëtes Ångström ß'],
])('%s stays', (_, text) => {
  expect(harmless(text)).toBe(text);
  expect(hiddenIn(text)).toBeUndefined();
});

test.each([
  ['a joiner in a Latin word', 'Aa\u200dbb'],
  ['a joiner at the end', 'می\u200c'],
  ['a second selector', '🍄\ufe0f\ufe0f'],
  ['a selector behind a digit', '1\ufe0f'],
  ['a selector behind a letter', 'a\ufe0f'],
  ['half a pair', 'a\ud800b'],
])('%s does not', (_, text) => expect(harmless(text)).toMatch(/\\u\{/));

test('every sign that Unicode says is not seen is hidden, whatever it stands beside', () => {
  for (let c = 0; c <= 0x10ffff; c++) {
    const sign = String.fromCodePoint(c);
    if (/\p{Default_Ignorable_Code_Point}/u.test(sign) && harmless(`a${sign}b`) === `a${sign}b`)
      throw new Error(`U+${c.toString(16)} is shown as it is`);
  }
});
