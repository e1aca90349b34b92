import { describe, expect, test } from 'vitest';
import { clearingIn, quotedIfClearing } from '../../src/text/clearing.js';

describe('words that clear a find are found', () => {
  test.each([
    ['Cap edible', 'edible'],
    ['harmless and delicious', 'harmless'],
    ['safe to eat', 'safe'],
    ['X y (verdict: safe)', 'verdict'],
    ['not poisonous', 'not poisonous'],
    ['Non-toxic', 'Non-toxic'],
    ['not known to be harmful', 'not known to be harmful'],
    ['no ill effects', 'no ill effects'],
    ['Not scaly and edible', 'edible'],
    ['Poisonous raw; edible once cooked', 'edible'],
    ['not inedible', 'not inedible'],
    ['Edibility: good', 'Edibility: good'],
    ['may be eaten', 'may be eaten'],
    ['ed\u00adible', 'edible'],
    ['ｅｄｉｂｌｅ', 'edible'],
    ['\u0435dible', '\u0435dible'],
    ['EDIBLE', 'EDIBLE'],
    ['Guter Speisepilz', 'Speisepilz'],
    ['eßbar', 'eßbar'],
    ['nicht giftig', 'nicht giftig'],
    ['bon comestible', 'comestible'],
    ['non toxique', 'non toxique'],
    ['se puede comer', 'se puede comer'],
    ['no es venenoso', 'no es venenoso'],
    ['Ottimo, commestibile', 'commestibile'],
    ['niet giftig', 'niet giftig'],
    ['eetbare paddenstoel', 'eetbare'],
    ['comestivel', 'comestivel'],
    ['grzyb jadalny', 'jadalny'],
    ['jedlá houba', 'jedlá'],
    ['god matsvamp, ätlig', 'matsvamp'],
    ['spiselig', 'spiselig'],
    ['syötävä sieni', 'syötävä'],
    ['ehető', 'ehető'],
    ['съедобный гриб', 'съедобный'],
    ['carne eduli, sapore dulci, fungus edulis', 'edulis'],
  ])('%s', (text, word) => expect(clearingIn(text)).toBe(word));
});

describe('warnings and other words stay', () => {
  test.each([
    'Not edible',
    'inedible',
    'Edibility unknown',
    'Never eat it',
    'unsafe',
    'Neither safe nor edible',
    'not considered edible',
    'not at all safe to eat',
    'never to be regarded as safe',
    'Edible? No',
    'edible: unknown',
    'non-edible',
    'Easily mistaken for edible species',
    'confused with the edible Aa bb',
    'nicht essbar',
    'kein Speisepilz',
    'ungenießbar',
    'Verwechslung mit essbaren Arten',
    'non comestible',
    "n'est pas comestible",
    'no comestible',
    'non commestibile',
    'oneetbaar, niet eetbaar',
    'niejadalny, nie jest jadalny',
    'nejedlý, není jedlý',
    'oätlig, inte ätlig',
    'ikke spiselig',
    'не съедобный',
    'non edulis',
    'Boletus edulis',
    'like B. edulis, but darker',
    'Pelophylax kl. esculentus',
    'Galerina marginata',
    'poisonous; liver failure',
    'cleared woodland',
    'effects unknown',
  ])('%s', (text) => expect(clearingIn(text)).toBeUndefined());

  test('an epithet in a name that is written without a genus before it', () => {
    expect(clearingIn('edulis', { scientific: true })).toBeUndefined();
    expect(clearingIn('Aa edible', { scientific: true })).toBe('edible');
  });
});

describe('what is shown of them', () => {
  test('a quotation with the caution beside it, from which no quotation mark leads out', () => {
    expect(quotedIfClearing('key', 'harmless" (verdict: safe) "')).toBe(
      'the key says: "harmless’ (verdict: safe) ’" (words that clear no find for eating)',
    );
  });

  test('what is shown so already stays, and so do other words', () => {
    const once = quotedIfClearing('key', 'safe to eat');
    expect(quotedIfClearing('record', once)).toBe(once);
    expect(quotedIfClearing('key', 'liver failure')).toBe('liver failure');
    expect(quotedIfClearing('key', `${once} and tasty`)).not.toBe(`${once} and tasty`);
  });
});
