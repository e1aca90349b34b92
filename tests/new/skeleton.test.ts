import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readCharacterList, skeleton } from '../../src/commands/new/skeleton.js';
import { emptyShelf, loadKey } from '../../src/key/load.js';
import { lintKey } from '../../src/lint/lint.js';
import { slug } from '../../src/text/slug.js';

describe('the skeleton', () => {
  const word = fc.oneof(
    fc.string({ unit: 'grapheme', minLength: 1, maxLength: 12 }),
    fc.constantFrom(
      'no',
      '12',
      'ring: x',
      'a # b',
      '{x}',
      "it's",
      '"q"',
      '- x',
      'Ödland',
      'null',
      '*a',
      '&b',
      '!t',
      '%',
    ),
  );

  it('loads without a finding and keeps every text, whatever is answered', () => {
    fc.assert(
      fc.property(
        fc.record({ title: word, group: word, author: word, leads: fc.tuple(word, word) }),
        fc.array(fc.record({ name: word, states: fc.array(word, { minLength: 2, maxLength: 4 }) }), {
          maxLength: 3,
        }),
        (texts, drawn) => {
          const written = drawn
            .map(
              ({ name, states }) =>
                `${name.replace(/[:;]/g, '')}: ${states.map((s) => s.replace(/[,;]/g, '')).join(',')}`,
            )
            .join('; ');
          const characters = readCharacterList(written);
          const texted = Object.values(texts)
            .flat()
            .every((t) => t.trim() !== '');
          fc.pre(typeof characters !== 'string' && texted);
          const text = skeleton({
            ...texts,
            id: 'test',
            regions: [],
            characters: characters as never,
            date: '2026-11-25',
          });
          const { key, findings } = loadKey(text, 'test.key.yaml', emptyShelf);
          expect(findings).toEqual([]);
          if (/^[\x20-\x7e]+$/.test(texts.title)) expect(key?.title).toBe(texts.title.trim());
          expect(key?.couplets.get('1')?.leads.length).toBe(2);
        },
      ),
      { numRuns: 200 },
    );
  });

  it.each([
    ['Tufted gilled fungi, Tarn Hollow', 'tufted-gilled-fungi-tarn-hollow'],
    ['Käfer & Größe', 'kaefer-groesse'],
    ["Marlow's æther", 'marlows-aether'],
    ['日本語', 'ribenyu'],
    ['--', ''],
    ['!?', ''],
  ])('makes an id of %s: %s', (text, id) => {
    expect(slug(text)).toBe(id);
  });
});

describe('a new key that nobody has touched', () => {
  const fresh = () =>
    skeleton({ id: 'test', title: 'Test', regions: [], characters: [], date: '2026-11-25' });
  const standIns = (text: string) =>
    lintKey(text, 'test.key.yaml').findings.flatMap((f) => (f.rule === 'stand-ins-replaced' ? f.found : []));

  it('is found with every stand-in, also when the marks are taken away', () => {
    const all = [
      'the authors of this key',
      'organisms of one kind',
      'ZZ',
      'Exemplum primum',
      'Exemplum secundum',
    ];
    expect(standIns(fresh())).toEqual(expect.arrayContaining([...all, 'surface-of-the-cap']));
    expect(standIns(fresh().replace(/ # STAND-IN.*/g, '')).sort()).toEqual(all.sort());
  });

  it('and half filled with what is left, marks too', () => {
    const half = fresh().replace('[ZZ]', '[GB]').replace('Exemplum primum # STAND-IN', 'Aa aa');
    expect(standIns(half)).toContain('GB');
    expect(standIns(half)).not.toContain('Aa aa');
    expect(standIns(half)).toContain('Exemplum secundum');
  });
});
