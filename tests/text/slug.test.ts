import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { normalized } from '../../src/text/normalized.js';
import { Ids, slug } from '../../src/text/slug.js';

vi.setConfig({ testTimeout: 60_000 });

describe('an id of words', () => {
  it.each([
    ['Tufted gilled fungi, Tarn Hollow', 'tufted-gilled-fungi-tarn-hollow'],
    ['Käfer & Größe', 'kaefer-groesse'],
    ['Ka\u0308fer', 'kaefer'],
    ['Ærøskøbing', 'aeroskobing'],
    ['Quercus × rosacea', 'quercus-x-rosacea'],
    ["Marlow's æther", 'marlows-aether'],
    ['красный', 'krasnyy'],
    ['赤', 'chi'],
    ['ＦＵＬＬ－ｗｉｄｔｈ', 'full-width'],
    ['İstanbul', 'istanbul'],
    ['+', 'plus'],
    ['-', 'minus'],
    ['±', 'plus-minus'],
    ['++', 'plus-plus'],
    ['K+', 'k-plus'],
    ['K-', 'k-minus'],
    ['K\u2212', 'k-minus'],
    ['K+ red, C-', 'k-plus-red-c-minus'],
    ['red-brown', 'red-brown'],
    ['2-lobed', '2-lobed'],
    ['C#', 'c-sharp'],
    ['♀', 'female'],
    ['> 5', 'more-than-5'],
    ['!', ''],
    [`${'ab '.repeat(40)}`, 'ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab-ab'],
  ])('%j is %s', (text, id) => {
    expect(slug(text)).toBe(id);
  });
});

describe('texts that say the same', () => {
  it.each([
    ['Red', ' red '],
    ['red brown', 'Red-Brown'],
    ['red brown', 'red\u00a0 brown'],
    ['STRASSE', 'straße'],
    ['STRA\u1e9eE', 'straße'],
    ['ΣΑΣ', 'σας'],
    ['caf\u00e9', 'cafe\u0301'],
    ['İ', 'i\u0307'],
    ['ｒｅｄ', 'red'],
    ['K\u2212', 'K-'],
    ['so\u00adft', 'soft'],
    ['♀\ufe0e', '♀'],
    ['don’t', "don't"],
  ])('%j and %j', (a, b) => {
    expect(normalized(a)).toBe(normalized(b));
  });

  it.each([
    ['K+', 'K-'],
    ['K-', 'K'],
    ['red+', 'red'],
    ['C#', 'C'],
    ['rose', 'rosé'],
    ['ı', 'i'],
    ['red/brown', 'red brown'],
    ['赤', '红'],
    ['x²', 'x2'],
    ['+', '++'],
    ['-', '--'],
  ])('but %j and %j do not, and have two ids', (a, b) => {
    expect(normalized(a)).not.toBe(normalized(b));
    const ids = new Ids('state');
    expect(ids.of(a)).not.toBe(ids.of(b));
  });

  // Letters that fold, compose, vanish or look alike, and any others.
  const letter = fc.oneof(
    fc.constantFrom(...'aAkKiIıİsSßẞσςΣéÉeкК赤红ａＡ+-−±#/ _\u0301\u0308\u200b\u00ad²2½♀'),
    fc.string({ unit: 'binary', minLength: 1, maxLength: 1 }).filter((c) => !/\p{Surrogate}/u.test(c)),
  );
  const text = fc
    .oneof(
      fc.array(letter, { minLength: 1, maxLength: 6 }).map((l) => l.join('')),
      fc.string({ unit: 'grapheme', minLength: 1, maxLength: 70 }),
    )
    .filter((t) => t.trim() !== '');
  /** Whatever is the same by this has one id ... */
  const fine = (t: string) => t.trim().normalize('NFC').toLowerCase();
  /** ... and what is not the same by this, which sees far fewer differences, never has. */
  const coarse = (t: string) =>
    t
      .normalize('NFKC')
      .toLowerCase()
      .toUpperCase()
      .normalize('NFKD')
      .replace(/[\p{Pd}\u2212_\s\p{Cf}]|\ufe0e|\ufe0f|['’ʼ]/gu, '');

  it('have one id, all others different ones, which are ids', () => {
    const variants = (t: string) => [t, ` ${t} `, t.normalize('NFD'), t.normalize('NFC'), t.toLowerCase()];
    fc.assert(
      fc.property(fc.array(text, { minLength: 2, maxLength: 12 }), (texts) => {
        const ids = new Ids('state');
        const all = texts.flatMap(variants);
        const given = all.map((t) => ids.of(t));
        for (const id of given) expect(id).toMatch(/^[a-z0-9][a-z0-9-]*$/);
        all.forEach((a, i) => {
          all.forEach((b, j) => {
            if (fine(a) === fine(b)) expect(given[i], JSON.stringify([a, b])).toBe(given[j]);
            if (given[i] === given[j]) expect(coarse(a), JSON.stringify([a, b])).toBe(coarse(b));
          });
        });
      }),
      { numRuns: 1000 },
    );
  });

  it('leave settled ids to what has them', () => {
    const ids = new Ids('taxon', ['rose', 'rose-2']);
    expect([ids.of('rosé'), ids.of('Rosé'), ids.fresh('rosé'), ids.of('!'), ids.of('?')]).toEqual([
      'rose-3',
      'rose-3',
      'rose-4',
      'taxon-1',
      'taxon-2',
    ]);
  });
});
