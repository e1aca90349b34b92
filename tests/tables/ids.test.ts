import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { SeenIds } from '../../src/tables/ids.js';

describe('the memory of ids', () => {
  it('knows where an id stood before', () => {
    fc.assert(
      fc.property(fc.array(fc.string({ maxLength: 3 }), { maxLength: 600 }), (ids) => {
        const seen = new SeenIds();
        const first = new Map<string, number>();
        ids.forEach((id, i) => {
          const line = first.get(id);
          expect(seen.note(id, `file ${i % 2}`, i + 1)).toEqual(
            line === undefined ? undefined : { file: `file ${(line + 1) % 2}`, line },
          );
          if (line === undefined) first.set(id, i + 1);
        });
      }),
    );
  });

  it('tells a hundred thousand ids apart, and forgets the oldest of more', () => {
    const seen = new SeenIds();
    for (let i = 1; i <= 100_000; i++) expect(seen.note(`TH-2026-${i}`, 'a.csv', i)).toBeUndefined();
    expect(seen.note('TH-2026-1', 'a.csv', 200_000)).toEqual({ file: 'a.csv', line: 1 });
    for (let i = 1; i <= 100_000; i++) seen.note(`X-${i}`, 'b.csv', i);
    expect(seen.note('TH-2026-1', 'b.csv', 200_001)).toBeUndefined();
    expect(seen.note('X-99999', 'b.csv', 200_002)).toEqual({ file: 'b.csv', line: 99_999 });
  });
});
