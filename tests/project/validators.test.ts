import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import {
  validateCollections,
  validateKey,
  validateRecord,
  validateTaxa,
  validateTerms,
} from '../../src/key/validate.generated.js';

const bare = (properties: Record<string, unknown>): object => Object.assign(Object.create(null), properties);

describe('the generated validators', () => {
  it.each([
    ['key', validateKey],
    ['terms', validateTerms],
    ['taxa', validateTaxa],
    ['collections', validateCollections],
    ['record', validateRecord],
  ])('%s: refuse an empty document, and say more than one thing at once', (_, validate) => {
    expect(validate(bare({}))).toBe(false);
    expect(validate.errors?.every((e) => e.keyword === 'required')).toBe(true);
    expect(validate(bare({ zz: '1', yy: '2' }))).toBe(false);
    expect(validate.errors?.length).toBeGreaterThan(2);
  });

  it('compare lists of objects that have no prototype', () => {
    const twice = [bare({ a: bare({ b: '1' }) }), bare({ a: bare({ b: '1' }) })];
    const document = bare({ keywright: 1, authors: twice, couplets: bare({ '1': twice }), taxa: twice });
    expect(() => validateKey(document)).not.toThrow();
  });

  it('need nothing at run time', () => {
    const path = fileURLToPath(new URL('../../src/key/validate.generated.js', import.meta.url));
    expect(readFileSync(path, 'utf8')).not.toMatch(/\brequire\(|^import /m);
  });
});
