import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import { find, observed, open } from '../support/open.js';
import { walkEveryPath } from '../support/oracle.js';
import { type KeyData, keyData, type Specimen, seen, specimen } from '../support/random-keys.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const withFind = (shape: 'tree' | 'reticulate') =>
  fc.tuple(keyData(7, shape), specimen).chain(([key, s]) => seen(s).map((written) => ({ key, written })));

const slipless = (key: KeyData, written: Record<string, string>) => {
  const compiled = open(key);
  return new Set(determine(compiled, find(observed(compiled, written))).candidates.map((c) => c.taxon.id));
};

for (const shape of ['tree', 'reticulate'] as const) {
  describe(`following evidence through random keys (${shape})`, () => {
    it('reaches what walking every path reaches, with the same slips', () => {
      fc.assert(
        fc.property(withFind(shape), ({ key, written }) => {
          const compiled = open(key);
          const result = determine(compiled, find(observed(compiled, written)), { slips: 3 });
          const every = walkEveryPath(key, written);
          const candidates = [...every].filter(([, r]) => r.slips === 0);
          expect(result.candidates.map((c) => c.taxon.id).sort()).toEqual(candidates.map(([t]) => t).sort());
          for (const c of result.candidates)
            expect([c.taxon.id, c.open === 0]).toEqual([c.taxon.id, every.get(c.taxon.id)?.firm]);
          const least = Math.min(...[...every.values()].map((r) => r.slips));
          const bound = candidates.length === 0 && least > 3 ? least : 3;
          const near = [...every]
            .filter(([, r]) => r.slips > 0 && r.slips <= bound)
            .map(([t, r]) => [t, r.slips]);
          expect(result.near.map((n) => [n.taxon.id, n.slips]).sort()).toEqual(near.sort());
          for (const n of result.near) {
            expect(n.recheck.length).toBeLessThanOrEqual(n.slips);
            // Without what speaks against it, the taxon is a candidate; the texture says that there is a ring, or none.
            const gone = new Set(n.recheck);
            if (gone.has('ring')) gone.add('texture');
            const rest = Object.fromEntries(Object.entries(written).filter(([c]) => !gone.has(c)));
            expect(slipless(key, rest)).toContain(n.taxon.id);
          }
        }),
        { numRuns: 400 },
      );
    });

    it('never adds a candidate when more is known of the same specimen', () => {
      const growing = fc.tuple(keyData(7, shape), specimen).chain(([key, s]) =>
        fc.tuple(seen(s), fc.subarray(Object.keys(s) as (keyof Specimen)[])).map(([written, looked]) => {
          const more = { ...written };
          for (const name of looked) more[name] = String(s[name]);
          return { key, written, more };
        }),
      );
      fc.assert(
        fc.property(growing, ({ key, written, more }) => {
          const before = slipless(key, written);
          for (const taxon of slipless(key, more)) expect(before).toContain(taxon);
        }),
        { numRuns: 300 },
      );
    });

    it('gives the same whatever the order of the observations and of the characters in the key', () => {
      const shuffled = withFind(shape).chain(({ key, written }) =>
        fc
          .tuple(
            fc.shuffledSubarray(Object.entries(key.characters), { minLength: 5, maxLength: 5 }),
            fc.shuffledSubarray(Object.entries(written), { minLength: 5, maxLength: 5 }),
          )
          .map(([characters, traits]) => ({
            key,
            written,
            other: { ...key, characters: Object.fromEntries(characters) },
            turned: Object.fromEntries(traits),
          })),
      );
      fc.assert(
        fc.property(shuffled, ({ key, written, other, turned }) => {
          const [a, b] = [open(key), open(other)];
          const plain = ({
            candidates,
            near,
            verdict,
            name,
            qualifier,
            warnings,
          }: ReturnType<typeof determine>) => ({
            candidates: candidates.map((c) => [c.taxon.id, c.ends, c.path, c.open]),
            near: near.map((c) => [c.taxon.id, c.ends, c.path, c.slips, [...c.recheck].sort()]),
            verdict,
            name,
            qualifier,
            warnings: warnings.map((w) => w.kind).sort(),
          });
          const result = (compiled: typeof a, what: Record<string, string>) =>
            plain(determine(compiled, find(observed(compiled, what))));
          expect(result(b, turned)).toEqual(result(a, written));
        }),
        { numRuns: 400 },
      );
    });
  });
}

describe('a key whose paths double at every couplet', () => {
  it('is followed in the time of its leads, not of its paths', () => {
    // 2^200 paths: couplet i leads to i+1 by either lead.
    const n = 200;
    const couplets = Object.fromEntries(
      Array.from({ length: n }, (_, i) => [
        String(i + 1),
        ['a', 'b'].map((lead) => (i === n - 1 ? { lead, taxon: 't' } : { lead, to: String(i + 2) })),
      ]),
    );
    const key = open({
      keywright: 1,
      id: 'ladder',
      title: 'Ladder',
      version: '1',
      couplets,
      taxa: { t: { name: 'T' } },
    });
    const result = determine(key, find([]));
    expect(result.candidates).toHaveLength(1);
    expect(result.candidates[0]?.path).toHaveLength(n);
  });
});
