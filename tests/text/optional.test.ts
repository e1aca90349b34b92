import { describe, expect, it } from 'vitest';
import { defined, filled } from '../../src/text/optional.js';

describe('properties that may be left out', () => {
  it('drops what is undefined, and nothing else', () => {
    const given = { c: null, found: undefined, b: '', a: 0, no: false };
    expect(Object.entries({ ...defined(given) })).toEqual([
      ['c', null],
      ['b', ''],
      ['a', 0],
      ['no', false],
    ]);
  });

  it('drops empty lists', () => {
    const given = { near: ['a'], open: [], warnings: ['b', 'c'] };
    expect(Object.entries({ ...filled(given) })).toEqual([
      ['near', ['a']],
      ['warnings', ['b', 'c']],
    ]);
  });
});
