import fc from 'fast-check';
import { expect, it } from 'vitest';
import { base91, fromBase91 } from '../../src/page/base91.js';

it('packs bytes in signs that mean nothing in HTML, and gives them back', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => {
      const signs = base91(bytes);
      expect(signs).toMatch(/^[!-~]*$/);
      expect(signs).not.toMatch(/[<>&]/);
      const back = fromBase91(signs);
      expect([...back.subarray(0, bytes.length)]).toEqual([...bytes]);
      expect(back.length - bytes.length).toBeLessThanOrEqual(1);
      expect([...fromBase91(`\n${signs}\n`)]).toEqual([...back]);
    }),
    { numRuns: 3000 },
  );
});

it('is shorter than base64 for what cannot be packed further', () => {
  const bytes = Uint8Array.from({ length: 30_000 }, (_, i) => (i * i * 31 + (i >> 3) * 7919) & 255);
  expect(base91(bytes).length).toBeLessThan(bytes.length * 1.24);
});
